"""A rim drawn anew: its walls as light as what it must bear allows, or as strong as its mass does.

First yield is the least of many walls' and so has kinks, the load of one wall has few: every wall
is held to the limit by itself. The search is on a coarse mesh that is moved, each of its loads read
as a fine mesh has it where it was last drawn anew, and the fine mesh has the last word
(:mod:`rimfea.vary.search` has the steps).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

import numpy as np

from rimfea.arrays import Floats
from rimfea.ask.dents import ask_dents
from rimfea.ask.reconcile import Change
from rimfea.errors import Fault, LoadError, RimfeaError, SheetError
from rimfea.profile.fields import BY_KEY as FIELDS
from rimfea.profile.heads import HOOKED
from rimfea.profile.moved import dimensions
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import nearest
from rimfea.profile.walls import Wall
from rimfea.study.outcome import BY_KEY, OUTCOMES, outcomes
from rimfea.study.ride import Ride
from rimfea.vary.aim import Aim
from rimfea.vary.datum import Datum
from rimfea.vary.known import Known, known
from rimfea.vary.results import Results, built_as, once, with_ring
from rimfea.vary.search import (
    DIGIT_MM,
    ENOUGH,
    Bounds,
    Place,
    Search,
    anew,
    climbed,
    holds,
    thickness,
)
from rimfea.vary.sensitivity import Sensitivity, sensitivity

THINNEST_MM, THICKEST_MM = 0.9, 4.0  # that are commonly extruded; assumed, no source
# What holds a bead: how thick a hook is, and how far it stands in from the sidewall. Common
# practice, no source; a rim that has less may keep it.
HOOK_MM, NOSE_MM = 1.4, 0.7
LARGEST_CHANGE = 0.4  # as a share of a wall; beyond, it is another rim
FINEST = 1.0  # coarseness of the last word: that of an analysis
MOST_MESHES = 4
DRAWN_NOT_MEASURED = "designed, not measured"
ROUND_OFF = 1e-6
LONGEST_NAME = 180  # leaves room for what is added
TENSION = "most_tension_N"


@dataclass(frozen=True)
class Design:
    """A rim before and after, both freshly meshed as drafts, and what stopped it.

    ``was`` and ``now`` are the rides of both on the fine mesh, and what is told of them, with their
    dents if these were asked for. ``keys``
    are the walls that were varied within ``bounds``, ``left_out`` says by key why another was not.
    ``trials`` rims were solved; ``converged`` if no step from the last was worth it. ``short`` is
    the share by which a rim on the way, good on its coarse mesh, fell short on the fine one.
    """

    aim: Aim
    before: Datum
    after: Datum
    was: Ride
    now: Ride
    keys: tuple[str, ...]
    bounds: Bounds
    left_out: Mapping[str, str]
    trials: int
    converged: bool
    short: float = 0.0

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
        names = self.aim.names(self.now)
        return dict(zip(names, self.aim.margins(self.now).tolist(), strict=True))

    @property
    def holds(self) -> bool:
        """Whether the rim keeps what it must."""
        return holds(np.array([*self.margins.values()]))

    @property
    def least_nose_mm(self) -> float | None:
        """How far the hook stands in, if it was varied and that is the least that it may."""
        least = _least_nose(self.before.ride.analysis.sheet)
        varied = {*NOSE} & {*self.keys}
        step = self.sheet.lip_step_mm
        return step if varied and least and step < least + DIGIT_MM / 2 else None

    def _at(self, bound: Floats) -> tuple[str, ...]:
        here = np.isclose(thickness(self.after, self.keys), bound, atol=DIGIT_MM / 10)
        return tuple(key for key, at in zip(self.keys, here, strict=True) if at)


def design(  # noqa: PLR0913 -- as many as the command has options
    around: Datum,
    *,
    keep: Mapping[str, float | None],
    best: str = "mass_g",
    keys: Iterable[str] | None = None,
    thinnest_mm: float = THINNEST_MM,
    thickest_mm: float = THICKEST_MM,
    finest: float = FINEST,
    dents: bool = False,
    results: Results | None = None,
) -> Design:
    """The rim with the best of one outcome that keeps others, by the thickness of its walls
    ``keys``, all of them if None; kept is a value, or where that is None what the rim has now,
    both by a mesh of the coarseness ``finest``. Dents are not searched for, which would take too
    long, but those of the rim as it is and of the one found are told if ``dents`` are asked for.
    What ``results`` have of a rim on the way is not solved again, and what is found is kept there.

    Unless something else is said of it, the highest tension is kept too: at the tension of the
    spokes, or what it is if that is less. A wall changes by at most :data:`LARGEST_CHANGE` of
    what it is; one that is thinner or thicker than the limits may stay so, and a hook stays one
    that holds a bead. Where what is to be
    kept is out of reach, the rim that comes nearest to it is given, and :attr:`Design.holds` is
    False. Raises :class:`~rimfea.errors.LoadError` for an aim that cannot be, and
    :class:`~rimfea.errors.SheetError` for keys that are no walls of this rim.
    """
    _refuse_dents((best, *keep))
    chosen = _chosen(around, keys)
    was = anew(around.ride, around.ride.analysis.sheet, finest, results).ride
    aim = Aim(_with_tension(was, _as_now(was, keep), best), best)
    seen = aim.seen(around.ride, was)
    start = Place(seen, around.ride, around, around, chosen, was, finest, results)
    _check(start)
    search, found, short = _settled(Search(start, _bounds(start, thinnest_mm, thickest_mm)))
    told = [was, found.fine]
    if dents:
        told = [_with_dents(ride, finest, results) for ride in told]
    return Design(
        aim=aim,
        before=around,
        after=found.near,
        was=told[0],
        now=told[1],
        keys=start.keys,
        bounds=search.bounds,
        left_out=found.slopes[2],
        trials=search.trials,
        converged=search.ended and found.merit >= search.here.merit - ENOUGH,
        short=short,
    )


def asked(keep: Mapping[str, float | None], mass_g: float | None = None) -> dict[str, float | None]:
    """What to keep: the outcomes of ``keep``, and the mass if it is given; without either, all
    that the rim bears now.
    """
    wanted = dict(keep) if mass_g is None else {"mass_g": mass_g, **keep}
    return wanted or {each.key: None for each in OUTCOMES if each.strength}


def doubts(found: Design, results: Results | None = None) -> tuple[Sensitivity, Sensitivity]:
    """How well the outcomes before and after are known, as well as the rim is measured now; without
    its scales and tones, as the designed rim has none.
    """
    own = found.before.ride.analysis.sheet
    drawn = known(own.varied(weighed_mass_g=None, tones_Hz=None))
    was = _doubt(found.before, None, own, drawn, results)
    return was, _doubt(found.after, was.keys, own, drawn, results)


def _doubt(
    near: Datum,
    keys: Sequence[str] | None,
    own: Sheet,
    drawn: Known,
    results: Results | None,
) -> Sensitivity:
    """That of a rim, by the lengths of the rim that was measured, its ``own``."""
    rim = near.ride.analysis
    under = ("doubts", *built_as(near.ride), near.variants.coarseness, keys, own)
    return once(
        lambda: sensitivity(with_ring(near), keys, known=drawn),
        rim.sheet,
        under,
        lambda: rim,
        results,
    )


def _with_dents(ride: Ride, coarseness: float, results: Results | None) -> Ride:
    """The ride with its dent, from a ring of its own where it was kept without."""
    rim = ride.analysis

    def find() -> Ride:
        whole = ride if rim.built else anew(ride, rim.sheet, coarseness).ride
        ask_dents([whole])
        return whole

    under = ("dents", *built_as(ride), coarseness)
    return once(find, rim.sheet, under, lambda: rim, results)


def _as_now(ride: Ride, keep: Mapping[str, float | None]) -> dict[str, float]:
    now = outcomes(ride)
    return {key: now.get(key, 0.0) if to is None else to for key, to in keep.items()}


def _settled(search: Search) -> tuple[Search, Place, float]:
    """The search at its end, the best rim of those that fine meshes judged, what is kept before
    what is won, and the share that one which they did not pass fell short by.
    """
    found, short = search.here, 0.0
    for _ in range(MOST_MESHES):
        last, search = search.here, climbed(search)
        if search.here is last:
            break
        try:
            fresh = search.here.redrawn()
        except RimfeaError as error:
            search = replace(search, bounds=search.bounds.with_clash("", error))
            break
        if search.here.holds and not fresh.holds:
            short = max(short, -float(fresh.margins.min()))
        found = max(found, fresh, key=lambda each: (each.holds, each.merit))
        if abs(fresh.merit - search.here.merit) < ENOUGH:
            break
        search = replace(search, here=fresh)
    return search, found, short


def _with_tension(ride: Ride, keep: Mapping[str, float], best: str) -> dict[str, float]:
    if best == TENSION:
        return dict(keep)
    allowed = ride.window
    return {TENSION: min(allowed.highest.tension_N, allowed.target_N), **keep}


def _refuse_dents(keys: Iterable[str]) -> None:
    for key in keys:
        if key in BY_KEY and BY_KEY[key].dent:
            told = f"{BY_KEY[key].title}: a dent takes too long to be searched for"
            raise LoadError(
                f"{told}; keep set and first-yield, and look at the dents told at the end"
            )


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
        Fault(key, "is not a wall that can be varied", remedy=nearest(key, able) or there)
        for key in chosen
        if key not in able
    ]
    if not chosen:
        faults.append(Fault("", "no wall is left to vary", remedy=there))
    if faults:
        raise SheetError(faults, sheet.name)
    return chosen


def _bounds(start: Place, thinnest_mm: float, thickest_mm: float) -> Bounds:
    was, fields = start.at_mm, [FIELDS[key] for key in start.keys]
    sheet = start.first.analysis.sheet
    least = [max(thinnest_mm, field.low, _floor(sheet, field.key)) for field in fields]
    most = [min(thickest_mm, field.high) for field in fields]
    low = np.maximum((1 - LARGEST_CHANGE) * was, least)
    high = np.minimum((1 + LARGEST_CHANGE) * was, most)
    return Bounds(
        np.minimum(was, np.ceil(low / DIGIT_MM - ROUND_OFF) * DIGIT_MM),
        np.maximum(was, np.floor(high / DIGIT_MM + ROUND_OFF) * DIGIT_MM),
        sums=_nose(sheet, start.keys),
    )


NOSE: Mapping[str, float] = MappingProxyType({"hook_lip_mm": 1.0, "sidewall_mm": -1.0})
# The top of a tapered sidewall moves twice as far as its middle: the foot stays.
TAPERED: Mapping[str, float] = MappingProxyType(
    {"hook_lip_mm": 1.0, "sidewall_mm": -2.0, "sidewall_foot_mm": 1.0}
)


def _nose(sheet: Sheet, keys: Sequence[str]) -> tuple[tuple[Floats, float], ...]:
    """That the hook stands in far enough, as a weighted sum of the walls that are varied."""
    least = _least_nose(sheet)
    if not least or not {*NOSE} & {*keys}:
        return ()
    share = TAPERED if sheet.sidewall_foot_mm else NOSE
    held = sum(by * getattr(sheet, key) for key, by in share.items() if key not in keys)
    return ((np.array([share.get(key, 0.0) for key in keys]), least - held),)


def _least_nose(sheet: Sheet) -> float:
    """How far a hook must stand in, mm; 0 where there is none."""
    return min(NOSE_MM, sheet.lip_step_mm) if sheet.family.head is HOOKED else 0.0


def _floor(sheet: Sheet, key: str) -> float:
    """How thick a hook must be, mm; 0 for what is none."""
    is_hook = key == Wall.BEAD_HOOK.key_mm and sheet.family.head is HOOKED and sheet.lip_step_mm
    return HOOK_MM if is_hook else 0.0


def _drawn(was: Sheet, after: Sheet) -> Sheet:
    named = {"name": f"{was.name[:LONGEST_NAME]} designed", "note": DRAWN_NOT_MEASURED}
    return after.varied(**named, erd_mm=None, weighed_mass_g=None)
