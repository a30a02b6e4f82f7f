"""Results that are kept by what they depend on, so that nobody waits for the same twice."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any, Protocol, TypeVar

from rimfea.elastic.spokes import Lacing
from rimfea.profile.sheet import Sheet
from rimfea.study import setup as setups
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.cases import USUAL, Loading
from rimfea.study.digest import digest
from rimfea.study.light import light
from rimfea.study.outcome import BY_KEY
from rimfea.study.ride import Ride
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import Datum, around, datum
from rimfea.vary.parallel import PROCESSES, Workers, each

Made = TypeVar("Made")
Found = TypeVar("Found")
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
    """What was asked of a rim: its name for whoever looks, and the digest of all it depends on, the
    outcomes that there are among it.
    """
    name = re.sub("[^a-z0-9]+", "-", sheet.name.lower())[:LONGEST].strip("-")
    return f"{name or 'rim'}-{digest(FORM, [*BY_KEY], sheet, *under)}"


def built_as(ride: Ride) -> tuple[object, ...]:
    """What a ride depends on beside its sheet and its mesh."""
    return ride.setup, ride.end, ride.analysis.loading, ride.analysis.lacing


def once(
    find: Callable[[], Found],
    sheet: Sheet,
    under: Sequence[object],
    look: Callable[[], Analysis],
    results: Results | None,
) -> Found:
    """What ``results`` have of a rim ``under`` the same, else what is found now, and kept there; a
    ride is kept light, and has to be found again for its ring (:func:`with_ring`).
    """
    if results is None:
        return find()
    asked = named(sheet, *under)
    found: Found | None = results.read(asked, look)
    if found is None:
        found = find()
        results.write(asked, light(found) if isinstance(found, Ride) else found)
    return found


def datum_once(
    sheet: Sheet,
    setup: Setup,
    end: End,
    *,
    like: Loading = USUAL,
    lacing: Lacing | None = None,
    coarseness: float = 1.0,
    results: Results | None = None,
) -> Datum:
    """As :func:`rimfea.vary.datum.datum`, its ride from ``results`` if it is there."""
    laced = lacing or setups.lacing(setup, end, sheet)

    def find() -> Ride:
        found: Datum = datum(sheet, setup, end, like=like, lacing=laced, coarseness=coarseness)
        return found.ride

    under = ("ride", setup, end, like, laced, coarseness)
    look = partial(inspect, sheet, coarseness=coarseness)
    return around(once(find, sheet, under, look, results), coarseness)


def with_ring(near: Datum) -> Datum:
    """The same, its ring solved again where it was kept without; on a mesh of its own."""
    rim, ridden = near.ride.analysis, near.ride
    if rim.built:
        return near
    found: Datum = datum(
        rim.sheet,
        ridden.setup,
        ridden.end,
        like=rim.loading,
        lacing=rim.lacing,
        coarseness=near.variants.coarseness,
    )
    return found


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
