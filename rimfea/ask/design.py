"""A rim drawn anew: its walls as light as what it must bear allows, or as strong as its mass does.

First yield is the least of many walls' and so has kinks, the load of one wall has few: every wall
is held to the limit by itself. A mesh that was moved leaves cuts a little aslant, so the search
ends only on a fresh mesh (:mod:`rimfea.vary.search` has its steps).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from rimfea.arrays import Floats
from rimfea.ask.reconcile import Change
from rimfea.errors import Fault, LoadError, RimfeaError, SheetError
from rimfea.profile.fields import BY_KEY as FIELDS
from rimfea.profile.moved import dimensions
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import nearest
from rimfea.study.outcome import OUTCOMES, outcomes
from rimfea.study.ride import Ride
from rimfea.vary.aim import Aim
from rimfea.vary.datum import Datum
from rimfea.vary.search import (
    DIGIT_MM,
    ENOUGH,
    WITHIN,
    Bounds,
    Place,
    Search,
    anew,
    climbed,
    thickness,
)

THINNEST_MM, THICKEST_MM = 0.9, 4.0  # that are commonly extruded; assumed, no source
LARGEST_CHANGE = 0.4  # as a share of a wall; beyond, it is another rim
MOST_MESHES = 3
DRAWN_NOT_MEASURED = "designed, not measured"
ROUND_OFF = 1e-6
LONGEST_NAME = 180  # leaves room for what is added
TENSION = "most_tension_N"


@dataclass(frozen=True)
class Design:
    """A rim before and after, both freshly meshed as drafts, and what stopped it.

    ``seen`` is the ride after as the search had it last, on a mesh that was moved. ``keys`` are
    the walls that were varied within ``bounds``, ``left_out`` says by key why another was not.
    ``trials`` rims were solved; ``converged`` if no step from the last was worth it.
    """

    aim: Aim
    before: Datum
    after: Datum
    seen: Ride
    keys: tuple[str, ...]
    bounds: Bounds
    left_out: Mapping[str, str]
    trials: int
    converged: bool

    def __repr__(self) -> str:
        return f"<Design of {self.sheet.name}: {len(self.changes)} changes>"

    @cached_property
    def sheet(self) -> Sheet:
        """The rim to be drawn: not weighed, and its ERD that of the drawing."""
        return _drawn(self.before.ride.analysis.sheet, self.after.ride.analysis.sheet)

    @property
    def changes(self) -> tuple[Change, ...]:
        """The walls that changed; a spoke bed that is one with the nipple seat follows it."""
        was, sheet = self.before.ride.analysis.sheet, self.sheet
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
        names = self.aim.names(self.after.ride)
        return dict(zip(names, self.aim.margins(self.after.ride).tolist(), strict=True))

    @property
    def holds(self) -> bool:
        """Whether the rim keeps what it must."""
        return min(self.margins.values()) >= -2 * WITHIN

    def _at(self, bound: Floats) -> tuple[str, ...]:
        here = np.isclose(thickness(self.after, self.keys), bound, atol=DIGIT_MM / 10)
        return tuple(key for key, at in zip(self.keys, here, strict=True) if at)


def design(
    around: Datum,
    *,
    keep: Mapping[str, float],
    best: str = "mass_g",
    keys: Iterable[str] | None = None,
    thinnest_mm: float = THINNEST_MM,
    thickest_mm: float = THICKEST_MM,
) -> Design:
    """The rim with the best of one outcome that keeps others, by the thickness of its walls
    ``keys``, all of them if None.

    Unless something else is said of it, the highest tension is kept too: at the tension of the
    spokes, or what it is if that is less. A wall changes by at most :data:`LARGEST_CHANGE` of
    what it is; one that is thinner or thicker than the limits may stay so. Where what is to be
    kept is out of reach, the rim that comes nearest to it is given, and :attr:`Design.holds` is
    False. Raises :class:`~rimfea.errors.LoadError` for an aim that cannot be, and
    :class:`~rimfea.errors.SheetError` for keys that are no walls of this rim.
    """
    aim = Aim(_with_tension(around.ride, keep, best), best)
    start = Place(aim, around.ride, around, around, _chosen(around, keys))
    _check(start)
    search, seen, found = _settled(Search(start, _bounds(start, thinnest_mm, thickest_mm)))
    return Design(
        aim=aim,
        before=around,
        after=found.near,
        seen=seen.near.ride,
        keys=start.keys,
        bounds=search.bounds,
        left_out=found.slopes[2],
        trials=search.trials,
        converged=search.ended and found.merit >= search.here.merit - ENOUGH,
    )


def asked(
    ride: Ride, keep: Mapping[str, float | None], mass_g: float | None = None
) -> dict[str, float]:
    """What to keep: the outcomes of ``keep``, as they are now where no value is given, and the
    mass if it is; without either, all that the rim bears now.
    """
    wanted = dict(keep) if mass_g is None else {"mass_g": mass_g, **keep}
    wanted = wanted or {each.key: None for each in OUTCOMES if each.strength}
    now = outcomes(ride)
    return {key: now.get(key, 0.0) if to is None else to for key, to in wanted.items()}


def freshly(found: Design, coarseness: float = 1.0) -> tuple[Ride, Ride]:
    """The rim as it is and the designed sheet, drawn, meshed and ridden anew; by default on the
    mesh of an analysis.
    """
    base = found.before.ride
    sheets = (base.analysis.sheet, found.sheet)
    was, now = (anew(base, sheet, coarseness).ride for sheet in sheets)
    return was, now


def _settled(search: Search) -> tuple[Search, Place, Place]:
    """The search at its end, the best rim as the moved mesh has it, and as its own mesh does,
    if that can judge it.
    """
    found = seen = search.here
    for _ in range(MOST_MESHES):
        last, search = search.here, climbed(search)
        if search.here is last:
            break
        try:
            fresh = search.here.redrawn()
        except RimfeaError as error:
            search = replace(search, bounds=search.bounds.with_clash("", error))
            if search.here.merit > found.merit:
                found = seen = search.here
            break
        if fresh.merit > found.merit:
            found, seen = fresh, search.here
        if abs(fresh.merit - search.here.merit) < ENOUGH:
            break
        search = replace(search, here=fresh)
    return search, seen, found


def _with_tension(ride: Ride, keep: Mapping[str, float], best: str) -> dict[str, float]:
    if best == TENSION:
        return dict(keep)
    allowed = ride.window
    return {TENSION: min(allowed.highest.tension_N, allowed.target_N), **keep}


def _check(start: Place) -> None:
    if start.first.analysis.buckles:
        raise LoadError("the rim buckles sideways under its spokes: there is nothing to start from")
    if not start.scale:
        raise LoadError("the rim yields before any strike: there is nothing to start from")


def _chosen(around: Datum, keys: Iterable[str] | None) -> tuple[str, ...]:
    sheet = around.ride.analysis.sheet
    able = [wall.key_mm for wall in sheet.walls if wall.key_mm in dimensions(sheet)]
    chosen = tuple(able if keys is None else dict.fromkeys(keys))
    there = f"there are: {', '.join(able)}"
    faults = [
        Fault(key, "is no wall that can be varied", remedy=nearest(key, able) or there)
        for key in chosen
        if key not in able
    ]
    if not chosen:
        faults.append(Fault("", "no wall is varied", remedy=there))
    if faults:
        raise SheetError(faults, sheet.name)
    return chosen


def _bounds(start: Place, thinnest_mm: float, thickest_mm: float) -> Bounds:
    was, fields = start.at_mm, [FIELDS[key] for key in start.keys]
    least = [max(thinnest_mm, field.low) for field in fields]
    most = [min(thickest_mm, field.high) for field in fields]
    low = np.maximum((1 - LARGEST_CHANGE) * was, least)
    high = np.minimum((1 + LARGEST_CHANGE) * was, most)
    return Bounds(
        np.minimum(was, np.ceil(low / DIGIT_MM - ROUND_OFF) * DIGIT_MM),
        np.maximum(was, np.floor(high / DIGIT_MM + ROUND_OFF) * DIGIT_MM),
    )


def _drawn(was: Sheet, after: Sheet) -> Sheet:
    named = {"name": f"{was.name[:LONGEST_NAME]} designed", "note": DRAWN_NOT_MEASURED}
    return after.varied(**named, erd_mm=None, weighed_mass_g=None)
