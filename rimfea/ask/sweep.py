"""What a rim would be with other numbers: one or two dimensions of its sheet on a grid."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import product
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from rimfea.arrays import Floats
from rimfea.ask.dents import ask_half_mm
from rimfea.brief import brief
from rimfea.errors import Fault, RimfeaError, SheetError
from rimfea.profile.moved import movable, moved
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import nearest
from rimfea.study.analysis import inspect
from rimfea.study.cases import USUAL, Loading
from rimfea.study.dented import COARSE
from rimfea.study.digest import digest
from rimfea.study.outcome import OUTCOMES, named, outcomes
from rimfea.study.ride import Ride
from rimfea.study.setup import End, Setup
from rimfea.vary.axis import FORM, MOST_POINTS, Axis
from rimfea.vary.datum import Datum, datum
from rimfea.vary.parallel import PROCESSES, Workers, each
from rimfea.vary.variant import Variants

DECIDED = tuple(each.key for each in OUTCOMES if each.by_wall)

Place: TypeAlias = tuple[float, ...]
Names: TypeAlias = npt.NDArray[np.str_]


@dataclass(frozen=True)
class Sweep:
    """One wheel of a set-up, built of a rim with other numbers on one or two axes, under strikes
    as in ``like``, with the dents that these leave if they are asked for: several times the work.
    Raises :class:`~rimfea.errors.SheetError` with all faults.
    """

    sheet: Sheet
    setup: Setup
    end: End
    axes: tuple[Axis, ...]
    like: Loading = USUAL
    coarseness: float = 1.0
    dents: bool = False

    __repr__ = brief

    def __post_init__(self) -> None:
        """Refuse too many axes, points too many, and lengths that this sheet does not have."""
        faults = list(_sweep_faults(self))
        if faults:
            raise SheetError(faults, "sweep")

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys of the axes."""
        return tuple(axis.key for axis in self.axes)

    @property
    def shape(self) -> tuple[int, ...]:
        """Places along each axis."""
        return tuple(axis.count for axis in self.axes)

    @property
    def own(self) -> Place:
        """Where the rim itself is."""
        return tuple(getattr(self.sheet, key) for key in self.keys)

    @property
    def grid(self) -> tuple[Place, ...]:
        """All places, the last axis fastest."""
        return tuple(product(*(axis.values for axis in self.axes)))

    @property
    def places(self) -> tuple[Place, ...]:
        """The rim's own place and then those of the grid, each once."""
        return tuple(dict.fromkeys([self.own, *self.grid]))

    @property
    def digest(self) -> str:
        """A short text that no other sheet, set-up, wheel, loading or axes have."""
        wheel = (self.sheet, self.setup, self.end, self.like)
        return digest(*wheel, self.axes, self.coarseness, self.dents)

    def at(self, place: Place) -> Sheet:
        """The sheet moved to a place."""
        pairs = zip(self.keys, place, self.own, strict=True)
        return moved(self.sheet, {key: to - own for key, to, own in pairs})


@dataclass(frozen=True)
class Point:
    """What a rim with the numbers of ``place`` is: its ``outcomes`` that are known, by key, and for
    those that a wall decides the wall. ``remeshed`` says why it could not keep the mesh of its
    neighbours, ``gap`` why there are no outcomes; both are empty as a rule.
    """

    place: Place
    outcomes: Mapping[str, float] = field(default_factory=dict)
    walls: Mapping[str, str] = field(default_factory=dict)
    remeshed: str = ""
    gap: str = ""

    __repr__ = brief


@dataclass(frozen=True)
class Swept:
    """All points of a sweep by place; raises ValueError if one is missing."""

    sweep: Sweep
    points: Mapping[Place, Point]

    def __repr__(self) -> str:
        along = " by ".join(self.sweep.keys)
        return f"<Swept {self.sweep.sheet.name} by {along}: {len(self.points)} points>"

    def __post_init__(self) -> None:
        """Refuse to be half done."""
        missing = [place for place in self.sweep.places if place not in self.points]
        if missing:
            raise ValueError(f"nothing is known at {missing[0]}")

    @property
    def own(self) -> Point:
        """The rim itself."""
        return self.points[self.sweep.own]

    @property
    def grid(self) -> tuple[Point, ...]:
        """The points of the grid, the last axis fastest."""
        return tuple(self.points[place] for place in self.sweep.grid)

    def values(self, outcome: str) -> Floats:
        """An outcome, by name or key, on the grid, in its shape; NaN in gaps."""
        key = named(outcome).key
        found = [point.outcomes.get(key, np.nan) for point in self.grid]
        return np.array(found).reshape(self.sweep.shape)

    def walls(self, outcome: str) -> Names:
        """Names of the walls that decide an outcome on the grid, in its shape; empty in gaps,
        and for outcomes that no wall decides.
        """
        found = [str(point.walls.get(outcome, "")) for point in self.grid]
        return np.array(found, dtype=np.str_).reshape(self.sweep.shape)

    def per_mm(self, outcome: str) -> Place:
        """How much an outcome grows by a mm along each axis, over the cell of the grid that the
        rim itself is in or next to; NaN beside a gap, or where it is infinite.
        """
        cell = []
        for axis, own in zip(self.sweep.axes, self.sweep.own, strict=True):
            below = int(np.searchsorted(axis.values, own, side="right")) - 1
            cell.append(slice(low := min(max(below, 0), axis.count - 2), low + 2))
        corners = self.values(outcome)[tuple(cell)]
        corners = np.where(np.isfinite(corners), corners, np.nan)
        step = [(axis.end_mm - axis.start_mm) / (axis.count - 1) for axis in self.sweep.axes]
        return tuple(float(np.diff(corners, axis=k).mean()) / by for k, by in enumerate(step))


def points(
    sweep: Sweep, places: Sequence[Place], *, processes: Workers = PROCESSES
) -> Iterator[Point]:
    """The points at some places, in their order, each as soon as it is known; errors of
    :mod:`rimfea.errors` at a place are its gap. For ``processes`` see
    :func:`rimfea.vary.parallel.each`.
    """
    return each(partial(_point, sweep), places, partial(_middle, sweep), processes=processes)


def swept(sweep: Sweep, *, processes: Workers = 1) -> Swept:
    """The whole sweep."""
    found = points(sweep, sweep.places, processes=processes)
    return Swept(sweep, {point.place: point for point in found})


@dataclass(frozen=True)
class _Middle:
    """The rim in the middle of the grid, whose mesh need move least far for the others, and that
    rim on the coarse triangles of a dent.
    """

    near: Datum
    coarse: Variants | None

    __repr__ = brief


def _middle(sweep: Sweep) -> _Middle:
    """The rim in the middle; the rim itself where there is none."""
    try:
        sheet = sweep.at(tuple((axis.start_mm + axis.end_mm) / 2 for axis in sweep.axes))
    except SheetError:
        sheet = sweep.sheet
    near = datum(sheet, sweep.setup, sweep.end, like=sweep.like, coarseness=sweep.coarseness)
    coarse = Variants(inspect(sheet, coarseness=COARSE), COARSE) if sweep.dents else None
    return _Middle(near, coarse)


def _point(sweep: Sweep, middle: _Middle, place: Place) -> Point:
    base = middle.near
    try:
        sheet = sweep.at(place)
        ridden = base.of(sheet)
        looked = middle.coarse and middle.coarse.inspect(sheet).analysis
    except RimfeaError as error:
        return Point(place, gap=" / ".join(str(error).splitlines()))
    if ridden.analysis.buckles:
        return Point(place, gap="the rim buckles under its spokes")
    moved = ridden.analysis.mesh.triangles is base.ride.analysis.mesh.triangles
    why = "" if moved else base.variants.inspect(sheet).remeshed
    if looked:
        ask_half_mm(ridden, looked)
    known = {key: value for key, value in outcomes(ridden).items() if not math.isnan(value)}
    return Point(place, known, _walls(ridden), remeshed=" / ".join(why.splitlines()))


def _walls(ride: Ride) -> dict[str, str]:
    """The wall that decides each outcome of :data:`DECIDED`."""
    return {each.key: next(iter(each.by_wall(ride))) for each in OUTCOMES if each.by_wall}


def _sweep_faults(sweep: Sweep) -> Iterator[Fault]:
    keys, known = sweep.keys, movable(sweep.sheet)
    if not 1 <= len(keys) <= 2:
        yield Fault("", f"a sweep has one axis or two, not {len(keys)}", remedy=FORM)
    for key in dict.fromkeys(keys):
        if key not in known:
            why = f"cannot be swept in a {sweep.sheet.family} rim"
            yield Fault(key, why, allowed=", ".join(known), remedy=nearest(key, known))
        if keys.count(key) > 1:
            yield Fault(key, "is on two axes", remedy="sweep two lengths, or one")
    if math.prod(sweep.shape) > MOST_POINTS:
        shape = " x ".join(map(str, sweep.shape))
        allowed = f"{MOST_POINTS} in all"
        yield Fault("", f"{shape} are too many points", allowed=allowed, remedy="take fewer")
