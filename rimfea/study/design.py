"""A rim drawn anew: its walls as light as what it must bear allows, or as strong as its mass does.

Sequential linear programming with a trust region (Nocedal and Wright, Numerical Optimization, 2nd
edition, 2006, section 18.5, with a linear in place of the quadratic model; citation from memory).
First yield and dent are the least over the walls, which has kinks; the load of each single wall
has fewer, so every wall is held to the limit by itself. A step counts only once the rim it leads
to, solved in full on the same moved mesh, keeps what the slopes promised.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.optimize import linprog

from rimfea.arrays import Bools, Floats
from rimfea.errors import Fault, LoadError, RimfeaError, SheetError
from rimfea.profile.fields import BY_KEY as FIELD
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import nearest
from rimfea.profile.walls import Wall
from rimfea.study.cases import BOTH_HOOKS, ONE_HOOK
from rimfea.study.near import STEP_MM, Near, moved, near
from rimfea.study.outcome import BY_KEY
from rimfea.study.reconcile import Change
from rimfea.study.ride import Ride
from rimfea.study.sensitivity import dimensions
from rimfea.study.variant import Variants

THINNEST_MM, THICKEST_MM = 0.9, 4.0  # that extruders commonly draw; assumed, no source
LARGEST_CHANGE = 0.4  # of a wall; beyond it is another rim
DIGITS = 2  # a drawing says hundredths
FIRST_REACH_MM, LONGEST_REACH_MM = 0.1, 0.3
MOST_TRIALS = 16
ENOUGH = 5e-4  # relative gain that is not worth another step: 0.3 g of a rim
WITHIN = 2e-3  # how far below its limit a wall may end: less than what the mesh leaves open
SLIP = 10.0  # gain that one of shortfall costs: what is kept comes first
LIGHTER = 1e-3  # weight of the mass where it is not the aim: of equals the lighter
FAR = 1e9  # in place of infinity
ANYWHERE = (None, None)

BY_WALL: Mapping[str, tuple[str, str]] = {
    "yield_N": (ONE_HOOK, "first_yield"),
    "dent_N": (ONE_HOOK, "hinge"),
    "yield_both_N": (BOTH_HOOKS, "first_yield"),
    "dent_both_N": (BOTH_HOOKS, "hinge"),
}
"""The outcomes that walls decide: the case, and the utilisation of a wall in it."""
UNCHANGED = ("name", "note", "weighed_mass_g", "erd_mm")  # of the metal: not what is drawn


@dataclass(frozen=True)
class Aim:
    """The outcome that is to be ``best``, and what others must ``keep``; both by key, a kept one
    at least or at most at its value, whichever is better. Raises
    :class:`~rimfea.errors.LoadError` for what cannot be asked.
    """

    keep: Mapping[str, float]
    best: str = "mass_g"

    def __post_init__(self) -> None:
        """Refuse outcomes that there are not, and values that no rim has."""
        for key in (self.best, *self.keep):
            if key not in BY_KEY:
                told = nearest(key, BY_KEY) or f"there are: {', '.join(BY_KEY)}"
                raise LoadError(f"no outcome is called {key!r}: {told}")
        for key, value in self.keep.items():
            if not 0 < value < math.inf:
                raise LoadError(f"{BY_KEY[key].title} cannot be kept at {value:g}")
        if self.best in self.keep or not self.keep:
            raise LoadError("what is to be best needs something else that is kept")

    def gains(self, ride: Ride) -> Floats:
        """What is to be best (g,), wall by wall where walls decide it; more is better."""
        lighter = LIGHTER * ride.analysis.hoop.mass_g
        return BY_KEY[self.best].better * _values(ride, self.best) - lighter

    def margins(self, ride: Ride) -> Floats:
        """How far all that is kept (m,) is on the good side of its value, as a share of it."""
        parts = [
            BY_KEY[key].better * (_values(ride, key) / value - 1)
            for key, value in self.keep.items()
        ]
        return np.concatenate(parts)

    def names(self, ride: Ride) -> list[tuple[str, str]]:
        """The outcome and the wall, if walls decide it, of every margin."""
        return [(key, wall) for key in self.keep for wall in _loads(ride, key)]


@dataclass(frozen=True)
class Bounds:
    """How thin and how thick (k,) the walls may be, mm, and by key why a sheet with a wall beyond
    its bound is none.
    """

    low: Floats
    high: Floats
    clash: Mapping[str, str]

    def tightened(self, k: int, key: str, was_mm: float, asked_mm: float, why: str) -> Bounds:
        """The same where one wall cannot be as asked: half of the way to there."""
        half = round((was_mm + asked_mm) / 2, DIGITS) if abs(asked_mm - was_mm) > 0.02 else was_mm
        low, high = self.low.copy(), self.high.copy()
        (high if asked_mm > was_mm else low)[k] = half
        return Bounds(low, high, {**self.clash, key: why})


@dataclass(frozen=True)
class Design:
    """A rim before and after, both on one draft mesh, and what stopped it.

    ``keys`` are the walls that were varied within ``bounds``, ``left_out`` says by key why
    another was not. ``trials`` rims were solved; ``converged`` if no step was left that is worth
    it.
    """

    aim: Aim
    before: Near
    after: Near
    keys: tuple[str, ...]
    bounds: Bounds
    left_out: Mapping[str, str]
    trials: int
    converged: bool

    @cached_property
    def sheet(self) -> Sheet:
        """The rim to be drawn: no longer weighed, and no ERD read."""
        return _drawn(self.before.base.analysis.sheet, self.after.base.analysis.sheet)

    @property
    def changes(self) -> tuple[Change, ...]:
        """The walls that changed; a spoke bed that is one with the nipple seat follows it."""
        was, sheet = self.before.base.analysis.sheet, self.sheet
        pairs = [(wall.key_mm, getattr(was, wall.key_mm)) for wall in sheet.walls]
        return tuple(
            Change(key, before, getattr(sheet, key), follows=key not in self.keys)
            for key, before in pairs
            if before != getattr(sheet, key)
        )

    @property
    def thinnest(self) -> tuple[str, ...]:
        """The walls that would be thinner if they might."""
        return self._at(self.bounds.low)

    @property
    def thickest(self) -> tuple[str, ...]:
        """The walls that would be thicker if they might."""
        return self._at(self.bounds.high)

    @property
    def margins(self) -> Mapping[tuple[str, str], float]:
        """By outcome and wall how far it is on the good side of what is kept, as a share of it."""
        ride = self.after.base
        names = self.aim.names(ride)
        return dict(zip(names, self.aim.margins(ride).tolist(), strict=True))

    @property
    def holds(self) -> bool:
        """Whether the rim keeps what it must."""
        return min(self.margins.values()) >= -2 * WITHIN

    def _at(self, bound: Floats) -> tuple[str, ...]:
        free = self.bounds.high > self.bounds.low
        here = np.isclose(_thickness(self.after, self.keys), bound, atol=1e-6) & free
        return tuple(key for key, at in zip(self.keys, here, strict=True) if at)


def design(
    around: Near,
    *,
    keep: Mapping[str, float],
    best: str = "mass_g",
    keys: Iterable[str] | None = None,
    thinnest_mm: float = THINNEST_MM,
    thickest_mm: float = THICKEST_MM,
) -> Design:
    """The rim with the best of one outcome that keeps others, by the thickness of its walls
    ``keys``; all of them if None.

    A wall changes by at most the share :data:`LARGEST_CHANGE` of what it is; one that is beyond
    the thinnest or thickest already may stay. Whether what is kept can be had at all is told by
    :attr:`Design.holds`. Raises :class:`~rimfea.errors.LoadError` for an aim that cannot be, and
    :class:`~rimfea.errors.SheetError` for keys that are no walls of this rim.
    """
    sheet, aim = around.base.analysis.sheet, Aim(keep, best)
    chosen = _chosen(sheet, keys)
    start = _Place(aim, around, chosen)
    bounds = _bounds(start, thinnest_mm, thickest_mm)
    here, reach = start, FIRST_REACH_MM
    for trials in range(MOST_TRIALS):
        asked = _asked(here, bounds, reach)
        promised = here.foreseen(asked) - here.merit
        if promised < ENOUGH:
            return _ended(start, here, bounds, trials, converged=True)
        try:
            there = here.moved_to(start, asked)
        except RimfeaError as error:
            tighter = _tighter(start, here, asked, bounds)
            reach = reach if tighter else _longest(asked - here.at_mm) / 2
            bounds = tighter or replace(bounds, clash={**bounds.clash, "": str(error)})
            continue
        kept_share = (there.merit - here.merit) / promised
        if kept_share < 0.1:
            reach = _longest(asked - here.at_mm) / 2
            continue
        here = there
        reach = min(2 * reach, LONGEST_REACH_MM) if kept_share > 0.75 else reach
    return _ended(start, here, bounds, MOST_TRIALS, converged=False)


def freshly(found: Design, coarseness: float = 1.0) -> Ride:
    """The designed sheet drawn, meshed and ridden anew, by default on the mesh of an analysis."""
    base = found.before.base
    same = {"like": base.analysis.loading, "lacing": base.analysis.lacing}
    return near(found.sheet, base.setup, base.end, **same, coarseness=coarseness).base
