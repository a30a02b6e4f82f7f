"""The scales beside the drawing: how far they may lie apart, and what weighing tells of the walls.

A weighed mass is one more measurement, of all walls together. It moves every length a little, the
most those that are the least known and weigh the most, and leaves all of them in less doubt. What
no drawing shows (joint, valve hole, corners as extruded) must not be taken for metal in the walls:
it has a doubt of its own. Where the two masses lie further apart than all that explains, some
number is wrong and nothing is moved.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.errors import SheetError
from rimfea.geometry.outline import moments
from rimfea.profile.build import outline as drawn
from rimfea.profile.moved import dimensions, moved, unmeasured_walls
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import (
    COVERAGE,
    JOINT,
    Shape,
    of_drawing,
    of_scales,
    uncertainties,
)
from rimfea.section.rim import GRAM_PER_MM3
from rimfea.study.analysis import spoke_holes
from rimfea.vary.doubt import Doubt, Origin, Source, doubt_of

STEP_MM = 0.01
SIDES = 2  # of a difference
SHEETS = 64  # that are remembered


@dataclass(frozen=True)
class Weighed:
    """The lengths of a sheet by their ``keys`` (k), and the mass in its joint (g), how well they
    are known (s, k) without the scales, what one of each weighs (k,), and the mass of the drawn
    hoop; ``weighed_g`` is None where nobody weighed it. The last source is what the drawing leaves
    out, ``left_out_g`` one standard deviation of it. Beyond what is usual the two masses may lie
    ``reach_g`` apart.
    """

    rim: str
    keys: tuple[str, ...]
    lengths: Doubt
    per_mm_g: Floats
    drawn_g: float
    left_out_g: float
    weighed_g: float | None
    reach_g: float = 0.0

    __repr__ = brief

    @property
    def apart_g(self) -> float:
        """Weighed less drawn; 0 where nobody weighed it."""
        return 0.0 if self.weighed_g is None else self.weighed_g - self.drawn_g

    @property
    def open_g(self) -> float:
        """How far the two may lie apart (k = 2)."""
        return COVERAGE * math.hypot(*self.off_g, of_scales().standard)

    @property
    def agrees(self) -> bool:
        """Whether the rim was weighed and the drawing can be right."""
        return self.weighed_g is not None and abs(self.apart_g) <= max(self.open_g, self.reach_g)

    def picked(self, keys: Iterable[str]) -> Doubt:
        """The doubt of some of the lengths, without the scales."""
        return self.lengths.picked([self.keys.index(key) for key in keys])

    def conditioned(self, numbers: Doubt) -> tuple[Doubt, Floats]:
        """What the scales leave of a doubt by the same sources, and how much they move each number
        (n,). All stays as it is if nobody weighed the rim, and if drawing and scales do not agree.
        """
        still = np.zeros(numbers.shares.shape[1])
        if self.weighed_g is None:
            return numbers, still
        scales, error = Source(Origin.SCALES, "weighed_mass_g", self.rim), of_scales()
        if not self.agrees:
            return numbers.also(scales, still), still
        left, gain = numbers.read(self.off_g, scales, error.standard)
        return left, self.apart_g * gain

    def standard_mm(self, key: str) -> float:
        """How well a length is known with the scales."""
        return float(self.conditioned(self.picked([key]))[0].standard[0])

    @property
    def off_g(self) -> Floats:
        """What a standard deviation of every source (s,) puts the drawn mass off by."""
        off = self.lengths.shares @ self.per_mm_g
        off[-1] += self.left_out_g
        return np.asarray(off)


def weighed(sheet: Sheet, near: Sheet | None = None) -> Weighed:
    """A sheet beside the scales. Raises :class:`~rimfea.errors.SheetError` where its numbers fit no
    section.

    With a rim ``near`` it, moved from it, the mass is that on the tangent there, and walls that
    nobody measured may all be at the end of their ± before drawing and scales are held to be apart.
    """
    return _weighed(sheet, near)


@lru_cache(maxsize=SHEETS)  # asked by everybody who tells of a sheet, some without a rim near it
def _weighed(sheet: Sheet, near: Sheet | None) -> Weighed:
    known, there = uncertainties(sheet), near or sheet
    able, mass = (*dimensions(there), JOINT), drawn_mass_g(there)
    lengths = doubt_of([*known.items()], sheet.name)
    left_out = Source(Origin.DRAWING, "what no drawing shows", sheet.name)
    per_mm_g = np.array([_grams(there, key) if key in able else 0.0 for key in known])
    found = Weighed(
        rim=sheet.name,
        keys=tuple(known),
        lengths=lengths.also(left_out, np.zeros(len(known))),
        per_mm_g=per_mm_g,
        drawn_g=mass - float(apart_mm(there, sheet, tuple(known)) @ per_mm_g),
        left_out_g=of_drawing(sheet, mass).standard,
        weighed_g=sheet.weighed_mass_g,
    )
    return found if near is None else replace(found, reach_g=_reach_g(found, sheet))


def _reach_g(found: Weighed, sheet: Sheet) -> float:
    """How far the masses may lie apart if all guessed walls are off one way by all they may be:
    guesses are known within bounds, and bounds add up; what else is in doubt counts at k = 2.
    """
    walls = {Source(Origin.GUESS, key, sheet.name) for key in unmeasured_walls(sheet)}
    guessed = np.array([source in walls for source in found.lengths.sources])
    bounds = Shape.RECTANGLE.value * np.abs(found.off_g[guessed]).sum()
    rest = math.hypot(*found.off_g[~guessed], of_scales().standard)
    return float(bounds + COVERAGE * rest)


def apart_mm(there: Sheet, here: Sheet, keys: Sequence[str]) -> Floats:
    """How much larger each length is there than here."""
    return np.array([float(getattr(there, key)) - float(getattr(here, key)) for key in keys])


def drawn_mass_g(sheet: Sheet) -> float:
    """Mass of the drawn hoop, exact (Pappus) without any mesh, as :func:`rimfea.section.rim.hoop`
    has it. Raises :class:`~rimfea.errors.SheetError` where the numbers fit no section.
    """
    area, _, outward = moments(drawn(sheet))[:3]
    volume = 2 * math.pi * (sheet.seat_radius_mm * area + outward) - spoke_holes(sheet).volume_mm3
    return float(sheet.metal.density_kg_m3 * GRAM_PER_MM3 * volume) + sheet.joint_mass_g


def per_mm(sheet: Sheet, key: str, of: Callable[[Sheet], Floats]) -> Floats:
    """What a mm of a length adds to numbers of a drawing: central difference, or one-sided where
    the other side clashes.
    """
    value, found = getattr(sheet, key), []
    for step in (STEP_MM, -STEP_MM, 0.0):
        with suppress(SheetError):
            found.append((step, of(with_values(sheet, [key], [value + step]))))
        if len(found) == SIDES:
            break
    (one, above), (other, below) = found[0], found[1] if len(found) > 1 else (STEP_MM, found[0][1])
    return np.asarray((above - below) / (one - other))


def _grams(sheet: Sheet, key: str) -> float:
    def mass(of: Sheet) -> Floats:
        return np.array(drawn_mass_g(of))

    return 1.0 if key == JOINT else float(per_mm(sheet, key, mass))


def with_values(sheet: Sheet, keys: Sequence[str], values: Iterable[float]) -> Sheet:
    """The sheet moved to other values for those keys."""
    pairs = zip(keys, map(float, values), strict=True)
    return moved(sheet, {key: value - getattr(sheet, key) for key, value in pairs})
