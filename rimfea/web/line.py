"""Who waits for an answer, and whose turn is next."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from threading import Condition

from rimfea.web.requests import Reply

MOST_WAITING = 60
MOST_TURNS = 64  # remembered
ENDED = Reply(503, {"problem": "the server is ending"})
OVERTAKEN = Reply(409, {"problem": "a later request has overtaken this one"})
CROWDED = Reply(429, {"problem": "too many requests wait already; ask again in a while"})


@dataclass(eq=False)
class Waiting:
    """The request of a client, how it is worked out, and the reply that is to come. One with a
    ``number`` is useless once there is one of that client with a larger number.
    """

    client: str
    work: Callable[[], Reply]
    number: int | None = None
    reply: Future[Reply] = field(default_factory=Future)

    def is_useless(self, client: str, number: int) -> bool:
        """Whether that one has overtaken it."""
        return self.client == client and self.number is not None and self.number < number

    def tell(self, reply: Reply) -> None:
        """Reply without any work."""
        if self.reply.set_running_or_notify_cancel():
            self.reply.set_result(reply)

    def answer(self) -> None:
        """Work it out, unless nobody waits for it any more."""
        if not self.reply.set_running_or_notify_cancel():
            return
        try:
            self.reply.set_result(self.work())
        except BaseException as error:  # noqa: BLE001 -- whoever waits raises it
            self.reply.set_exception(error)


class Line:
    """Works requests out one after the other. Next is a client that had the fewest turns since the
    line was last empty, and of its requests the newest, for the oldest are mostly given up. If too
    many wait, the one that would be last is refused: so a flood holds up itself. Nothing is begun
    while one of the lines is busy that this one comes ``after``; all of them share their ``news``.
    """

    def __init__(self, name: str, news: Condition, after: Sequence[Line] = ()) -> None:
        self.pool = ThreadPoolExecutor(1, name)
        self._news, self._after = news, after
        self._waiting: list[Waiting] = []
        self._turns: deque[str] = deque(maxlen=MOST_TURNS)
        self._is_busy = False

    def __len__(self) -> int:
        return len(self._waiting)

    @property
    def is_busy(self) -> bool:
        """Whether something is being worked out."""
        return self._is_busy

    def join(self, one: Waiting) -> None:
        """Wait for a turn."""
        with self._news:
            there = [each for each in self._waiting if not each.reply.cancelled()]
            self._waiting = [*there, one]
            refused = self._last() if len(self._waiting) > MOST_WAITING else None
            begins, self._is_busy = not self._is_busy, True
        if refused:
            refused.tell(CROWDED)
        if begins:
            try:
                self.pool.submit(self._work)
            except RuntimeError:  # closed
                self.close()

    def overtake(self, client: str, number: int) -> None:
        """Send away those of a client that have a smaller number."""
        with self._news:
            useless = [each for each in self._waiting if each.is_useless(client, number)]
            self._waiting = [each for each in self._waiting if each not in useless]
        for each in useless:
            each.tell(OVERTAKEN)

    def close(self) -> None:
        """Begin nothing more."""
        self.pool.shutdown(wait=False, cancel_futures=True)
        with self._news:
            left, self._waiting = self._waiting, []
            self._news.notify_all()
        for each in left:
            each.tell(ENDED)

    def _work(self) -> None:
        while (one := self._next()) is not None:
            one.answer()

    def _next(self) -> Waiting | None:
        with self._news:
            while self._waiting and any(line.is_busy for line in self._after):
                self._news.wait()
            if not self._waiting:
                self._turns.clear()
                self._is_busy = False
                self._news.notify_all()
                return None
            one = min(reversed(self._waiting), key=self._had)
            self._waiting.remove(one)
            self._turns.append(one.client)
            return one

    def _last(self) -> Waiting:
        one = max(self._waiting, key=self._had)
        self._waiting.remove(one)
        return one

    def _had(self, one: Waiting) -> int:
        return self._turns.count(one.client)
