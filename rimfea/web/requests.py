"""Requests of the page and their answers: bytes in, plain data out, no server."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Any

from rimfea.errors import RimfeaError, SheetError
from rimfea.web import entering, trying
from rimfea.web.asked import LONGEST_TEXT, RequestError, understood
from rimfea.web.bench import Bench
from rimfea.web.payload import told_of_fault
from rimfea.web.which import ALSO, WHICH
from rimfea.words.keys import in_words

Answer = Callable[[Bench, Mapping[str, Any]], dict[str, Any]]


class Queue(StrEnum):
    """Where a request waits: those of one queue are worked out one after the other."""

    TYPED = "typed"  # a form, beside whatever goes on
    QUICK = "quick"  # a drag
    SLOW = "slow"  # a wheel
    SLOWEST = "slowest"  # many wheels, or a dent


@dataclass(frozen=True)
class Request:
    """One kind of request: what answers it, the keys that it must and may have, where it waits, and
    whether a later one of the same client makes it useless.
    """

    answer: Answer
    keys: tuple[str, ...] = WHICH
    optional: tuple[str, ...] = ALSO
    queue: Queue = Queue.QUICK
    latest_only: bool = False


@dataclass(frozen=True)
class Reply:
    """The status of the answer and its data."""

    status: int
    data: Mapping[str, Any]


def answered(on: Bench, what: str, body: bytes) -> Reply:
    """The answer to one request; what is wrong with it is an answer as well."""
    try:
        asked = request(what)
        return Reply(200, asked.answer(on, understood(body, asked.keys, asked.optional)))
    except RequestError as error:
        wanted = {"wanted": error.wanted} if error.wanted else {}
        return Reply(error.status, {"problem": str(error), **wanted})
    except SheetError as error:
        told = [told_of_fault(fault) for fault in error.faults]
        return Reply(422, {"problem": in_words(str(error)), "faults": told})
    except RimfeaError as error:
        return Reply(422, {"problem": str(error)})


def request(what: str) -> Request:
    """That kind of request. Raises :class:`~rimfea.web.asked.RequestError` where there is none."""
    if what not in REQUESTS:
        raise RequestError(404, f"there is no request {what[:LONGEST_TEXT]}")
    return REQUESTS[what]


def _told(name: str) -> Answer:
    """That answer of the module which is loaded when it is first asked for."""

    def answer(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
        from rimfea.web import telling

        told: dict[str, Any] = getattr(telling, name)(on, asked)
        return told

    return answer


BESIDE = (*WHICH, "others")
REQUESTS: Mapping[str, Request] = MappingProxyType(
    {
        "form": Request(entering.form, ("family",), (), Queue.TYPED),
        "entered": Request(entering.entered, ("entries", "guessed"), ("remarks",), Queue.TYPED),
        "entries": Request(entering.entries, ("name", "text"), (), Queue.TYPED),
        "explain": Request(entering.explain, ("text",), (), Queue.TYPED),
        "open": Request(trying.opened),
        "ready": Request(trying.ready, (*WHICH, "key")),
        "draft": Request(trying.draft, (*WHICH, "key", "value"), (*ALSO, "mesh"), latest_only=True),
        "sheet": Request(trying.sheet),
        "setup": Request(trying.setup, (*WHICH, "name")),
        "fine": Request(trying.fine, WHICH, (*ALSO, "mesh"), Queue.SLOW, latest_only=True),
        "seen": Request(trying.seen, WHICH, ALSO, Queue.SLOW, latest_only=True),
        "ride": Request(_told("ride"), WHICH, ALSO, Queue.SLOW, latest_only=True),
        "around": Request(_told("around"), WHICH, (*ALSO, "heard"), Queue.SLOW, latest_only=True),
        "beside": Request(_told("beside"), BESIDE, ALSO, Queue.SLOW, latest_only=True),
        "traced": Request(_told("traced"), (*WHICH, "name", "text"), (*ALSO, "unit"), Queue.SLOW),
        "answers": Request(_told("answers"), WHICH, ALSO, Queue.SLOW),
        "report": Request(_told("report"), WHICH, ALSO, Queue.SLOW),
        "dent": Request(trying.dent, WHICH, ALSO, Queue.SLOWEST, latest_only=True),
        "dented": Request(_told("dented"), WHICH, ALSO, Queue.SLOWEST, latest_only=True),
        "ranks": Request(_told("ranks"), BESIDE, ALSO, Queue.SLOWEST, latest_only=True),
        "comparison": Request(_told("comparison"), BESIDE, ALSO, Queue.SLOWEST, latest_only=True),
        "swaps": Request(_told("swaps"), BESIDE, ALSO, Queue.SLOWEST, latest_only=True),
    }
)
