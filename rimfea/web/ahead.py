"""Work done beforehand, in the pauses between requests."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor
from contextlib import contextmanager, suppress
from threading import Condition, Thread

from rimfea.errors import RimfeaError

PAUSE_S = 0.15  # after an answer, so that the next request finds nobody at work
Work = Callable[[], object]


class Ahead:
    """Does one piece of a plan after the other in a pool, while nobody waits for an answer; a new
    plan takes the place of the old one.
    """

    def __init__(self, pool: Executor) -> None:
        self._pool = pool
        self._plan: Iterator[Work] | None = None
        self._waiting, self._answered = 0, 0.0
        self._closed = False
        self._news = Condition()
        Thread(target=self._run, daemon=True, name="ahead").start()

    def plan(self, works: Iterable[Work]) -> None:
        """What may be asked next, the likeliest first."""
        with self._news:
            self._plan = iter(works)
            self._news.notify()

    @contextmanager
    def waiting(self) -> Iterator[None]:
        """Somebody waits for an answer as long as this lasts."""
        with self._news:
            self._waiting += 1
        try:
            yield
        finally:
            with self._news:
                self._waiting -= 1
                self._answered = time.monotonic()
                self._news.notify()

    def close(self) -> None:
        """Do nothing more."""
        with self._news:
            self._closed, self._plan = True, None
            self._news.notify()

    def _run(self) -> None:
        while (work := self._next()) is not None:
            with suppress(RimfeaError, RuntimeError):  # a rim that cannot be; the pool is closed
                self._pool.submit(work).result()

    def _next(self) -> Work | None:
        """The next piece, once there is one and nobody has waited for a while; None at the end."""
        with self._news:
            while not self._closed:
                quiet = time.monotonic() - self._answered
                if self._plan is None or self._waiting:
                    self._news.wait()
                elif quiet < PAUSE_S:
                    self._news.wait(PAUSE_S - quiet)
                elif (work := next(self._plan, None)) is not None:
                    return work
                else:
                    self._plan = None
        return None
