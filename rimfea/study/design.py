"""A rim drawn anew: its walls as light as what it must bear allows, or as strong as its mass does.

Sequential linear programming with a trust region and an exact penalty (Nocedal and Wright,
Numerical Optimization, 2nd edition, 2006, section 18.5, with a linear model in place of the
quadratic one; citation from memory). First yield is the least of many walls' and so has kinks,
the load of one wall has few: every wall is held to the limit by itself. A step counts only if the
rim it leads to, solved in full on the same mesh moved, keeps what the slopes promised.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.optimize import linprog

from rimfea.arrays import Floats
from rimfea.errors import Fault, LoadError, MeshError, RimfeaError, SheetError
from rimfea.profile.fields import BY_KEY as FIELDS
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import nearest
from rimfea.profile.walls import Wall
from rimfea.study.aim import Aim
from rimfea.study.near import STEP_MM, Near, moved, near
from rimfea.study.reconcile import Change
from rimfea.study.ride import Ride
from rimfea.study.sensitivity import dimensions
from rimfea.study.variant import Variants

THINNEST_MM, THICKEST_MM = 0.9, 4.0  # that are commonly extruded; assumed, no source
LARGEST_CHANGE = 0.4  # as a share of a wall; beyond, it is another rim
DIGIT_MM, DIGITS = 0.01, 2  # a drawing says hundredths
FIRST_REACH_MM, LONGEST_REACH_MM = 0.1, 0.3
KEPT_SHARE, WELL_KEPT_SHARE = 0.1, 0.75  # of what the slopes promised
MOST_TRIALS, MOST_MESHES = 12, 4
ENOUGH = 5e-4  # relative gain that is not worth another step: 0.3 g of a rim
WITHIN = 2e-3  # share that a limit may be missed by: less than what the mesh leaves open
PENALTY = 10.0  # relative gain that a share of shortfall costs: what is kept comes first
LIGHTER = 1e-3  # weight of the mass where it is not the aim: of equals the lighter
DRAWN_NOT_MEASURED = "designed, not measured"
_BED, _SEAT = Wall.SPOKE_BED.key_mm, Wall.NIPPLE_SEAT.key_mm


@dataclass(frozen=True)
class Design:
    """A rim before and after, both freshly meshed as drafts, and what stopped it.

    ``seen`` is the ride after as the search had it last, on a mesh that was moved. ``keys`` are
    the walls that were varied within ``bounds``, ``left_out`` says by key why another was not.
    ``trials`` rims were solved; ``converged`` if no step from the last was worth it.
    """

    aim: Aim
    before: Near
    after: Near
    seen: Ride
    keys: tuple[str, ...]
    bounds: Bounds
    left_out: Mapping[str, str]
    trials: int
    converged: bool

    @cached_property
    def sheet(self) -> Sheet:
        """The rim to be drawn: not weighed, and its ERD that of the drawing."""
        return _drawn(self.before.base.analysis.sheet, self.after.base.analysis.sheet)

    @property
    def changes(self) -> tuple[Change, ...]:
        """The walls that changed; a spoke bed that is one with the nipple seat follows it."""
        was, sheet = self.before.base.analysis.sheet, self.sheet
        return tuple(
            Change(key, getattr(was, key), getattr(sheet, key), follows=key not in self.keys)
            for key in (wall.key_mm for wall in sheet.walls)
            if getattr(was, key) != getattr(sheet, key)
        )

    @property
    def thinnest(self) -> tuple[str, ...]:
        """The walls that are as thin as they may be."""
        return self._at(self.bounds.low)

    @property
    def thickest(self) -> tuple[str, ...]:
        """The walls that are as thick as they may be."""
        return self._at(self.bounds.high)

    @property
    def margins(self) -> Mapping[tuple[str, str], float]:
        """By outcome and wall how far it is on the good side of what is kept, as a share of it."""
        names = self.aim.names(self.after.base)
        return dict(zip(names, self.aim.margins(self.after.base).tolist(), strict=True))

    @property
    def holds(self) -> bool:
        """Whether the rim keeps what it must."""
        return min(self.margins.values()) >= -2 * WITHIN

    def _at(self, bound: Floats) -> tuple[str, ...]:
        here = np.isclose(thickness(self.after, self.keys), bound, atol=DIGIT_MM / 10)
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
    ``keys``, all of them if None.

    A wall changes by at most :data:`LARGEST_CHANGE` of what it is; one that is thinner or thicker
    than the limits may stay so. Where what is to be kept is out of reach, the rim that comes
    nearest to it is given, and :attr:`Design.holds` is False. Raises
    :class:`~rimfea.errors.LoadError` for an aim that cannot be, and
    :class:`~rimfea.errors.SheetError` for keys that are no walls of this rim.
    """
    start = Place(Aim(keep, best), around.base, around, around, _chosen(around, keys))
    search = Search(start, _bounds(start, thinnest_mm, thickest_mm))
    found, seen = start, start
    for _ in range(MOST_MESHES):
        last = search.here
        search = climbed(search)
        if search.here is last:
            break
        fresh = search.here.redrawn()
        if fresh.merit > found.merit:
            found, seen = fresh, search.here
        if abs(fresh.merit - search.here.merit) < ENOUGH:
            break
        search = replace(search, here=fresh)
    return Design(
        aim=start.aim,
        before=around,
        after=found.near,
        seen=seen.near.base,
        keys=start.keys,
        bounds=search.bounds,
        left_out=found.slopes[2],
        trials=search.trials,
        converged=search.ended and found.merit >= search.here.merit - ENOUGH,
    )


def freshly(found: Design, coarseness: float = 1.0) -> Ride:
    """The designed sheet drawn, meshed and ridden anew; by default on the mesh of an analysis."""
    return anew(found.before.base, found.sheet, coarseness).base


def _chosen(around: Near, keys: Iterable[str] | None) -> tuple[str, ...]:
    sheet = around.base.analysis.sheet
    able = [wall.key_mm for wall in sheet.walls if wall.key_mm in dimensions(sheet)]
    if keys is None:
        return tuple(able)
    chosen = tuple(dict.fromkeys(keys))
    faults = [
        Fault(key, "is no wall that can be varied", remedy=f"there are: {', '.join(able)}")
        if not nearest(key, able)
        else Fault(key, "is no wall that can be varied", remedy=nearest(key, able))
        for key in chosen
        if key not in able
    ]
    if faults or not chosen:
        none = [Fault("", "no wall to vary", remedy=f"there are: {', '.join(able)}")]
        raise SheetError(faults or none, sheet.name)
    return chosen


def _bounds(start: Place, thinnest_mm: float, thickest_mm: float) -> Bounds:
    was, fields = start.at_mm, [FIELDS[key] for key in start.keys]
    low = np.maximum.reduce(
        [(1 - LARGEST_CHANGE) * was, [max(thinnest_mm, field.low) for field in fields]]
    )
    high = np.minimum.reduce(
        [(1 + LARGEST_CHANGE) * was, [min(thickest_mm, field.high) for field in fields]]
    )
    return Bounds(
        np.minimum(was, np.ceil(low / DIGIT_MM - 1e-6) * DIGIT_MM),
        np.maximum(was, np.floor(high / DIGIT_MM + 1e-6) * DIGIT_MM),
        {},
    )


def _drawn(was: Sheet, after: Sheet) -> Sheet:
    """The new sheet, in which only what would move along is pinned down: the rest stays assumed
    where it was.
    """
    walls = [wall.key_mm for wall in after.walls]
    changed = {
        key: round(getattr(after, key), 3)
        for key in walls
        if abs(getattr(after, key) - getattr(was, key)) > DIGIT_MM / 10
    }
    apart = {"erd_mm": None, "weighed_mass_g": None}
    named = {"name": f"{was.name[:180]} designed", "note": DRAWN_NOT_MEASURED}
    sheet = was.varied(**changed, **apart, **named)
    while pinned := {
        key: getattr(after, key)
        for key in sheet.assumed
        if key not in apart and getattr(sheet, key) != getattr(after, key)
    }:
        sheet = sheet.varied(**pinned)
    return sheet
