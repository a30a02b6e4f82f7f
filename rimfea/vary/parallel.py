"""One question put to many rims, in two processes: SuperLU and numpy leave a core idle in one."""

from __future__ import annotations

import signal
import time
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import active_children, get_context
from multiprocessing.process import BaseProcess
from threading import Lock
from typing import Any, TypeAlias, TypeVar
from uuid import uuid4

from threadpoolctl import threadpool_limits

from rimfea.allocator import give_back
from rimfea.errors import SolveError

Made = TypeVar("Made")
Item = TypeVar("Item")
Result = TypeVar("Result")
Workers: TypeAlias = int | Executor  # how many processes, or what hands out work already
PROCESSES = 2
GRACE_S = 0.5


def each(
    function: Callable[[Made, Item], Result],
    items: Iterable[Item],
    start: Callable[[], Made],
    *,
    processes: Workers = PROCESSES,
    noticed: Callable[[Item, Result], object] = lambda _item, _found: None,
) -> Iterator[Result]:
    """``function(made, item)`` of every item, in their order, each as soon as it is there.

    ``made`` is what ``start()`` returns, called once in each process; all but what it returns
    must be picklable. One item, or one process, is served in this process. An error of
    :mod:`rimfea.errors` is raised here as itself, in its turn. Whoever stops asking, or
    interrupts, ends the other processes with the items they are at.

    Other processes import the caller's main module: a script needs its
    ``if __name__ == "__main__"``. In the place of a number of processes there may be an executor of
    :mod:`concurrent.futures`, such as that of a cluster: it gets all items at once, and stays open.
    ``noticed(item, result)`` is called here as soon as a result is there, before its turn.
    """
    asked = list(items)
    if not asked:
        return
    if isinstance(processes, Executor):
        yield from _handed_out(processes, function, asked, start, noticed)
        return
    workers = min(processes, len(asked))
    if workers == 1:
        made = start()
        for item in asked:
            found = _asked(function, made, item)
            noticed(item, found)
            yield found
        return
    # Not forked: threads of the algebra may hold locks.
    pool = ProcessPoolExecutor(workers, get_context("spawn"), _begin, (start,))
    others: list[BaseProcess] = []
    try:
        futures, others = _submitted(pool, function, asked)
        for future in _done(futures, asked, noticed):
            yield _result(future, others)
    except KeyboardInterrupt:
        for other in others:  # the keyboard reaches them too, a signal to this process does not
            other.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def _handed_out(
    executor: Executor,
    function: Callable[[Made, Item], Result],
    asked: list[Item],
    start: Callable[[], Made],
    noticed: Callable[[Item, Result], object],
) -> Iterator[Result]:
    ticket = uuid4().hex
    futures = [executor.submit(_of_ticket, ticket, start, function, item) for item in asked]
    try:
        for future in _done(futures, asked, noticed):
            yield future.result()
    finally:
        for future in futures:
            future.cancel()


def _done(
    futures: list[Future[Result]], asked: list[Item], noticed: Callable[[Item, Result], object]
) -> Iterator[Future[Result]]:
    """All in their order, each once it is done; those that are done before their turn are
    noticed while the others are waited for.
    """
    items, running = dict(zip(futures, asked, strict=True)), {*futures}
    for future in futures:
        while future in running:
            done, running = wait(running, return_when=FIRST_COMPLETED)
            for each in done:
                if not each.cancelled() and each.exception() is None:
                    noticed(items[each], each.result())
        yield future


_OWN: dict[str, Any] = {}  # of a process: how what it needs is made, and that, once made
_MAKING = Lock()


def _result(future: Future[Result], others: Iterable[BaseProcess]) -> Result:
    """What has come of an item. An interruption from the keyboard reaches every process, and may
    have ended the others before this one hears of it: it is an interruption all the same.
    """
    try:
        return future.result()
    except BrokenProcessPool:
        time.sleep(GRACE_S)  # until it comes here, too, and the others are known to have ended
        if any(other.exitcode == -signal.SIGINT for other in others):
            raise KeyboardInterrupt from None
        raise SolveError(
            "one of the two processes that share the work was ended from outside, mostly for want "
            "of memory: end other programs, or ask fewer rims at once"
        ) from None


def _submitted(
    pool: ProcessPoolExecutor, function: Callable[[Made, Item], Result], asked: list[Item]
) -> tuple[list[Future[Result]], list[BaseProcess]]:
    """All items on their way, and the processes that work on them; an interruption waits until
    these have started, or they would each tell of it.
    """
    held = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        return [pool.submit(_one, function, item) for item in asked], active_children()
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, held)


def _begin(start: Callable[[], object]) -> None:
    """Only noted: an error of ``start`` here would break the pool instead of reaching anyone."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # ends without a word; the caller has the last
    signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
    threadpool_limits(limits=1, user_api="blas")
    _OWN["start"] = start


def _one(function: Callable[[Any, Item], Result], item: Item) -> Result:
    if "made" not in _OWN:
        _OWN["made"] = _OWN["start"]()
    return _asked(function, _OWN["made"], item)


def _of_ticket(
    ticket: str, start: Callable[[], Made], function: Callable[[Made, Item], Result], item: Item
) -> Result:
    """One item in a process that is not ours: what it needs is made once for each question, of
    which the last alone is remembered.
    """
    with _MAKING:
        if _OWN.get("ticket") != ticket:
            _OWN["ticket"], _OWN["made for it"] = ticket, start()
        made = _OWN["made for it"]
    return _asked(function, made, item)


def _asked(function: Callable[[Made, Item], Result], made: Made, item: Item) -> Result:
    """One item; what it took of the memory is there for others, in whatever process they are."""
    try:
        return function(made, item)
    finally:
        give_back()
