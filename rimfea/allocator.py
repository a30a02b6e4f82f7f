"""What glibc's allocator keeps of the memory that arrays and factors took and no longer need."""

from __future__ import annotations

import ctypes
import sys

M_ARENA_MAX = -8  # of malloc.h


def share_one_arena() -> None:
    """Have all threads take from one heap. Each would have its own, and keep in it what the other
    needs: a fifth more for a rim that two threads solve, and no sooner.
    """
    choose = sys.platform == "linux" and getattr(ctypes.CDLL(None), "mallopt", None)
    if choose:
        choose(M_ARENA_MAX, 1)


def give_back() -> None:
    """Give the system back what factors took that are no longer kept. Of blocks of their size,
    which come and go, the allocator of glibc would keep a gigabyte for another time.
    """
    trim = sys.platform == "linux" and getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim:
        trim(0)
