"""Swaps: what each piece of one rim would do in another, and so where the difference comes from.

Every piece in which the rims differ is put from the one into the other and back, each time a rim
of its own, solved in full. The two changes are seldom alike, for a wall helps the more the weaker
all else is: their mean is what the piece is said to do. What the means do not explain comes of
several pieces together; with it the parts are the whole difference.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from math import isfinite, nan
from typing import TypeAlias

from rimfea.brief import brief
from rimfea.errors import MeshError, SheetError, SolveError
from rimfea.profile.build import outline as drawn
from rimfea.profile.pieces import Piece, differing, swapped
from rimfea.profile.sheet import Sheet
from rimfea.study import setup as setups
from rimfea.study.analysis import inspect, solved
from rimfea.study.cases import USUAL, Loading, standard_cases
from rimfea.study.dent import dent
from rimfea.study.outcome import BY_KEY, HALF_MM
from rimfea.study.ride import Ride, ride
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import ASKED
from rimfea.vary.parallel import PROCESSES, Workers, each

Values: TypeAlias = Mapping[str, float]  # of outcomes, by key
Follow: TypeAlias = Callable[[Iterable[Values], int], Iterable[Values]]
Place: TypeAlias = tuple[Piece | None, str]  # a piece and its way; without one, a rim as it is

TOLD = ("mass_g", "yield_N", "dent_N", "dent_J", "most_tension_N", "squeeze_MPa")
WAYS = GIVES, TAKES = ("gives", "takes")
NOTHING: Values = {}
FAILS = "such a rim buckles under its spokes, or has no answer"


@dataclass(frozen=True)
class Swap:
    """One piece of the other rim put into the base, and that of the base into the other: what it
    ``gives`` to each outcome of the base, and what it ``takes`` from the other if that gets the
    base's; NaN where no such rim can be. ``clashes`` say why.
    """

    piece: Piece
    gives: Values
    takes: Values
    clashes: tuple[str, ...] = ()

    __repr__ = brief

    def change(self, outcome: str) -> float:
        """What the piece does on the way from the base to the other, the mean of both ends, or of
        that which can be; NaN where neither can.
        """
        known = [end[outcome] for end in (self.gives, self.takes) if isfinite(end[outcome])]
        return sum(known) / len(known) if known else nan


@dataclass(frozen=True)
class Swaps:
    """Two rims and their swaps; ``refused`` says why there are none, of rims of two families."""

    base: Sheet
    other: Sheet
    of_base: Values
    of_other: Values
    swaps: tuple[Swap, ...]
    refused: str = ""

    def __repr__(self) -> str:
        pieces = ", ".join(swap.piece for swap in self.swaps)
        return f"<Swaps of {self.other.name} into {self.base.name}: {pieces or 'none'}>"

    def whole(self, outcome: str) -> float:
        """How much more the other rim has than the base."""
        return self.of_other.get(outcome, nan) - self.of_base.get(outcome, nan)

    def together(self, outcome: str) -> float:
        """What of it no piece does alone."""
        changes = (swap.change(outcome) for swap in self.swaps)
        return self.whole(outcome) - sum(change for change in changes if isfinite(change))

    @property
    def outcomes(self) -> tuple[str, ...]:
        """Those that are known of both rims."""
        return tuple(key for key in TOLD if isfinite(self.whole(key)))


def _unseen(found: Iterable[Values], count: int) -> Iterable[Values]:
    del count
    return found


def swaps(
    base: Sheet,
    other: Sheet,
    setup: Setup,
    end: End,
    *,
    like: Loading = USUAL,
    dents: bool = False,
    processes: Workers = PROCESSES,
    follow: Follow = _unseen,
) -> Swaps:
    """The swaps of two rims as one wheel of a set-up; with ``dents`` they take three times as long.
    ``follow`` sees what comes of every rim, and how many there are. What a rim that buckles would
    do is not known.
    """
    refused = _refused(base, other)
    if refused:
        return Swaps(base, other, NOTHING, NOTHING, (), refused)
    plan, clashes = _plan(base, other)
    asked = partial(_Asked, setup, end, like, dents)
    found = follow(each(_values, plan.values(), asked, processes=processes), len(plan))
    values = dict(zip(plan, found, strict=True))
    clashes |= {place: FAILS for place in values if place[0] and not values[place]}
    of_base, of_other = values[None, GIVES], values[None, TAKES]
    made = (
        Swap(
            piece,
            gives=_less(values.get((piece, GIVES), NOTHING), of_base),
            takes=_less(of_other, values.get((piece, TAKES), NOTHING)),
            clashes=tuple(dict.fromkeys(clashes[place] for place in clashes if place[0] is piece)),
        )
        for piece in differing(base, other)
    )
    return Swaps(base, other, of_base, of_other, tuple(made))


def _refused(base: Sheet, other: Sheet) -> str:
    if base.family is other.family:
        return ""
    return (
        f"{base.name} is a {base.family} rim and {other.name} a {other.family} rim: they "
        "do not have the same pieces"
    )


def _plan(base: Sheet, other: Sheet) -> tuple[dict[Place, Sheet], dict[Place, str]]:
    """The rims to be solved, and why some cannot be drawn."""
    plan: dict[Place, Sheet] = {(None, GIVES): base, (None, TAKES): other}
    clashes: dict[Place, str] = {}
    for piece in differing(base, other):
        for way, one, two in ((GIVES, base, other), (TAKES, other, base)):
            try:
                rim = swapped(one, two, piece)
                drawn(rim)
            except SheetError as error:
                clashes[piece, way] = str(error).splitlines()[0]
            else:
                plan[piece, way] = rim
    return plan, clashes


def _less(one: Values, other: Values) -> Values:
    """Every outcome of one less that of another; NaN where one is not known."""
    return {key: one.get(key, nan) - other.get(key, nan) for key in TOLD}


@dataclass(frozen=True)
class _Asked:
    setup: Setup
    end: End
    like: Loading
    dents: bool


def _values(asked: _Asked, sheet: Sheet) -> Values:
    """The outcomes of one rim, ridden; none of one that buckles or cannot be solved."""
    try:
        ridden = _ridden(asked, sheet)
    except (MeshError, SolveError):
        return NOTHING
    if ridden.analysis.buckles:
        return NOTHING
    if asked.dents and not ridden.gives_way:
        with suppress(SolveError, MeshError):
            vars(ridden)["dent"] = dent(ridden.analysis, ridden.answer, set_mm=HALF_MM)
    return {key: BY_KEY[key].of(ridden) for key in TOLD}


def _ridden(asked: _Asked, sheet: Sheet) -> Ride:
    """As :func:`rimfea.study.ride.wheel_of`, with only what swaps are told of."""
    loading = setups.loading(asked.setup, asked.end, asked.like)
    lacing = setups.lacing(asked.setup, asked.end, sheet)
    cases = [case for case in standard_cases(sheet, loading) if case.name in ASKED]
    rim = solved(inspect(sheet), loading, lacing, cases)
    return ride(rim, asked.setup, asked.end)
