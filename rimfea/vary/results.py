"""Results that are kept by what they depend on, so that nobody waits for the same twice."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any, Protocol, TypeVar

from rimfea.profile.sheet import Sheet
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.digest import digest
from rimfea.vary.parallel import PROCESSES, Workers, each

Made = TypeVar("Made")
FORM = 1  # of what is kept; grows when it changes
LONGEST = 40  # letters of a rim's name


class Results(Protocol):
    """What has been found, by a text that says what was asked."""

    def read(self, asked: str, look: Callable[[], Analysis]) -> Any | None:  # noqa: ANN401
        """What is kept of it; None: nothing. ``look`` draws and meshes the rim, of which only
        what was solved is kept.
        """

    def write(self, asked: str, found: object) -> None:
        """Keep it, as a whole or not at all."""


class Nothing:
    """What keeps no results: each is as light as one that is kept, and forgotten."""

    def read(self, _asked: str, _look: Callable[[], Analysis]) -> None:
        """Nothing is known."""

    def write(self, _asked: str, _found: object) -> None:
        """Nothing is kept."""


def named(sheet: Sheet, *under: object) -> str:
    """What was asked of a rim: its name for whoever looks, and the digest of all it depends on."""
    name = re.sub("[^a-z0-9]+", "-", sheet.name.lower())[:LONGEST].strip("-")
    return f"{name or 'rim'}-{digest(FORM, sheet, *under)}"


def each_once(
    function: Callable[[Made, Sheet], Any],
    sheets: Sequence[Sheet],
    start: Callable[[], Made],
    *,
    under: Sequence[object],
    results: Results | None = None,
    processes: Workers = PROCESSES,
) -> Iterator[Any]:
    """As :func:`rimfea.vary.parallel.each`, but for the rims of which ``results`` have what was
    found ``under`` the same; the others' are kept there as soon as they are found.
    """
    if results is None:
        yield from each(function, sheets, start, processes=processes)
        return
    known = [results.read(named(sheet, *under), partial(inspect, sheet)) for sheet in sheets]
    missing = [sheet for sheet, found in zip(sheets, known, strict=True) if found is None]

    def keep(sheet: Sheet, found: object) -> None:
        results.write(named(sheet, *under), found)

    coming = each(function, missing, start, processes=processes, noticed=keep)
    for found in known:
        yield next(coming) if found is None else found
