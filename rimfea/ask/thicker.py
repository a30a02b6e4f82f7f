"""What a little more metal at one wall buys and costs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace

from rimfea.allocator import give_back
from rimfea.elastic.harmonics import ONE_DENSE_THREAD, THREADS
from rimfea.errors import MeshError, OutlineError, SheetError
from rimfea.profile.moved import dimensions, moved
from rimfea.profile.walls import Wall
from rimfea.study.ride import Ride
from rimfea.vary.datum import STEP_MM as STEP_SLOPE_MM
from rimfea.vary.datum import around

STEP_MM = 0.1
LEAST = 0.01  # what counts as a gain, a share of both strengths together
LEAST_G = 0.5  # a step that weighs less is no place to put metal


@dataclass(frozen=True)
class Gain:
    """What ``step_mm`` more at one wall adds to the loads of first yield and of permanent set, as
    shares of them, and to the mass.
    """

    wall: Wall
    step_mm: float
    first_yield: float
    set: float
    mass_g: float

    @property
    def strength(self) -> float:
        """Both shares together."""
        return self.first_yield + self.set

    @property
    def per_gram(self) -> float:
        """That by the gram, 0 where it is next to nothing."""
        return self.strength / self.mass_g if self.strength >= LEAST else 0.0


def thicker(ride: Ride, wall: str, *, step_mm: float = STEP_MM) -> Ride:
    """The same wheel with one wall thicker, on the mesh and the cuts of the rim as it was, moved
    along, so that no other mesh is seen.

    Raises :class:`~rimfea.errors.SheetError` where the thicker wall clashes with the rest of the
    sheet, and :class:`~rimfea.errors.OutlineError` for a section that was not drawn from its
    sheet.
    """
    base = around(ride)
    return base.of(moved(ride.analysis.sheet, {Wall(wall).key_mm: step_mm}))


def best_gain(rides: Sequence[Ride]) -> Gain | None:
    """Where a little more metal is best spent in the last of some rides: most for its grams, by
    first yield and permanent set together; None where that cannot be said.
    """
    for ride in rides[-1:]:
        with suppress(OutlineError):
            return max(gains(ride), key=lambda gain: gain.per_gram, default=None)
    return None


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def gains(ride: Ride, *, step_mm: float = STEP_MM) -> tuple[Gain, ...]:
    """The same of every wall, from the slopes at the rim as it is; none where it yields before
    any strike. Raises :class:`~rimfea.errors.OutlineError` as :func:`thicker` does.
    """
    give_back()  # what the rim itself took, before factors are kept
    near, sheet = replace(around(ride), every=False), ride.analysis.sheet
    before, able = near.strengths(), dimensions(sheet)
    if not all(0 < load < math.inf for load in before):
        return ()

    def gain(wall: Wall) -> Gain | None:
        with suppress(MeshError, SheetError):
            after = near.strengths(wall.key_mm)
            more = [step_mm / STEP_SLOPE_MM * (a - b) for a, b in zip(after, before, strict=True)]
            return Gain(wall, step_mm, more[0] / before[0], more[1] / before[1], more[2])
        return None

    near.ready()
    with ThreadPoolExecutor(THREADS) as pool:  # the kept factors serve two threads at a time
        found = list(pool.map(gain, (wall for wall in sheet.walls if wall.key_mm in able)))
    return tuple(each for each in found if each and each.mass_g >= LEAST_G)
