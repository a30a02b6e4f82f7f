"""Rims side by side in millimetres: every dimension against the base's, and whether the caliper can
tell the two.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rimfea.brief import brief
from rimfea.profile import moved
from rimfea.profile.fields import BY_KEY
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import COVERAGE, uncertainties
from rimfea.profile.walls import Wall
from rimfea.vary.doubt import doubt_of

SEAT_WIDTH = "nipple_seat_width_mm"
THICKNESSES = frozenset(wall.key_mm for wall in Wall)
SIZE, SLOPE = "bead_seat_diameter_mm", "well_slope_deg"


@dataclass(frozen=True)
class Dimension:
    """One dimension of several rims (r): ``values`` in its unit, NaN where a rim has none, whether
    each was ``measured``, and ``expanded``, k = 2, what measurements and guesses leave open of the
    difference from the rim at ``base``: the zero of a caliper that read both is off by the same
    in both. NaN where that is not known.
    """

    key: str
    values: tuple[float, ...]
    measured: tuple[bool, ...]
    expanded: tuple[float, ...]
    base: int = 0

    __repr__ = brief

    def gap(self, rim: int) -> float:
        """How much more that rim has than the base."""
        return self.values[rim] - self.values[self.base]

    def percent(self, rim: int) -> float:
        """The same in per cent of the base."""
        base = self.values[self.base]
        return 100 * self.gap(rim) / base if base else math.nan

    def is_told(self, rim: int) -> bool:
        """Whether the difference exceeds that error."""
        return abs(self.gap(rim)) > self.expanded[rim]

    @property
    def differs(self) -> bool:
        """Whether some rim's does, or some rim has not this wall while another has."""
        lacks = self.key in THICKNESSES and any(map(math.isnan, self.values))
        return lacks or any(map(self.is_told, range(len(self.values))))


def side_by_side(sheets: Sequence[Sheet], base: int = 0) -> tuple[Dimension, ...]:
    """Every dimension that any of the sections is drawn from, in the order of the sheet."""
    drawn = {key for sheet in sheets for key in (SIZE, SLOPE, *moved.dimensions(sheet))}
    found = [_dimension(key, sheets, base) for key in BY_KEY if key in drawn]
    return tuple(each for each in found if not all(map(math.isnan, each.values)))


def _dimension(key: str, sheets: Sequence[Sheet], base: int) -> Dimension:
    return Dimension(
        key,
        tuple(_value(sheet, key) for sheet in sheets),
        tuple(key not in sheet.assumed for sheet in sheets),
        tuple(_expanded(key, sheet, sheets[base]) for sheet in sheets),
        base,
    )


def _value(sheet: Sheet, key: str) -> float:
    there = BY_KEY[key].used_by(sheet.family) and not (
        key == SEAT_WIDTH and moved.is_one_wall(sheet)
    )
    value = getattr(sheet, key) if there else None
    return math.nan if value is None else float(value)


def _expanded(key: str, sheet: Sheet, base: Sheet) -> float:
    if sheet is base:
        return 0.0
    one, other = (uncertainties(each).get(key) for each in (sheet, base))
    if one is None or other is None:
        return math.nan
    left = doubt_of([(key, one)], "one").minus(doubt_of([(key, other)], "other"))
    return COVERAGE * float(left.standard[0])
