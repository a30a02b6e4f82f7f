"""Where the command `rimfea` begins: whoever interrupts it while it loads is told so in a word.
What ends it from outside interrupts it too, so that it leaves no half of a file.
"""

from __future__ import annotations

import os
import signal
from types import FrameType

INTERRUPTED = "Interrupted"
STATUS = 130  # 128 and the number of the signal, as shells have it


def main() -> None:
    """Run the command line; an interruption before and after it is heeded as one within."""
    ours = signal.signal(signal.SIGINT, _end)
    from rimfea.cli.main import main as run

    signal.signal(signal.SIGINT, ours)
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        run()
    finally:
        signal.signal(signal.SIGINT, _end)


def _end(signum: int, frame: FrameType | None) -> None:
    del signum, frame
    os.write(2, f"{INTERRUPTED}\n".encode())
    os._exit(STATUS)
