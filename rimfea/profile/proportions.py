"""The sharp-cornered half section that caliper numbers describe, as plain numbers.

Axes: x lateral from the middle of the rim, y radially outward from the bead seat (y = 0).
Everything here works on whatever numbers are known; one that is missing raises KeyError, so
that a rule or a default that needs it stays silent.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from rimfea.profile.walls import Family

FLUSH_MM = 0.05
"""Two walls that differ by no more than this are drawn in one line: a caliper, and the rounding
of an edge, cannot tell such a step from none."""


@dataclass(frozen=True)
class Known:
    """The numbers of a sheet as far as they are known: mm, degrees, grams, counts."""

    family: Family
    numbers: Mapping[str, float]
    assumed: frozenset[str] = field(default=frozenset())

    def __getitem__(self, key: str) -> float:
        return self.numbers[key]

    def with_assumed(self, numbers: Mapping[str, float]) -> Known:
        """A copy that also knows ``numbers``, marked as assumed."""
        merged = {**self.numbers, **numbers}
        return Known(self.family, merged, self.assumed | numbers.keys())


def outer_half(known: Known) -> float:
    """Lateral place x of the outer face of the sidewall."""
    if known.family is Family.HOOKLESS:
        return known["inner_width_mm"] / 2 + known["sidewall_mm"]
    return known["inner_width_mm"] / 2 + known["hook_lip_mm"]


def sidewall_foot(known: Known) -> float:
    """Lateral place x of the inner face of the sidewall, where it meets the bead seat."""
    return outer_half(known) - known["sidewall_mm"]


def lip_step(known: Known) -> float:
    """How far the lip stands out from the sidewall: inward for a hook, outward without one."""
    step = known["hook_lip_mm"] - known["sidewall_mm"]
    return step if known.family.has_hook or step > FLUSH_MM else 0.0


def bed_face(known: Known) -> float:
    """Radial place y of the innermost face of the spoke bed."""
    return known["hook_height_mm"] - known["overall_depth_mm"]


def pad_step(known: Known) -> float:
    """How far the nipple seat stands up from the spoke bed into the chamber."""
    step = known["nipple_seat_mm"] - known["spoke_bed_mm"]
    return step if known.family.has_chamber and step > FLUSH_MM else 0.0


def bearing(known: Known) -> float:
    """Outer diameter of what bears on the nipple seat: the washer, else the nipple head."""
    return known.numbers.get("washer_mm", known["nipple_head_mm"])


def slope(known: Known) -> float:
    """Tangent of the lean of the well sides from the radial."""
    return math.tan(math.radians(known["well_slope_deg"]))


def well_floor_half(known: Known) -> float:
    """Lateral place x of the end of the well's floor on the tyre side."""
    return known["tyre_well_width_mm"] / 2 - known["tyre_well_depth_mm"] * slope(known)


def well_back(known: Known, y: float) -> float:
    """Lateral place x of the well's side wall on its far side, one thickness from the tyre side."""
    lean = slope(known)
    return known["tyre_well_width_mm"] / 2 + y * lean + known["tyre_well_mm"] * math.hypot(1, lean)


def flank_drop(known: Known) -> float:
    """Radial height of the flank, from the underside of the bead seat to the innermost face."""
    drop = -bed_face(known) - known["bead_seat_mm"]
    if drop <= 0:
        raise KeyError("flank")
    return drop


def flank_lean(known: Known) -> float:
    """Tangent of the lean of the flank from the radial."""
    return (outer_half(known) - known["spoke_bed_width_mm"] / 2) / flank_drop(known)


def flank_inside(known: Known, y: float) -> float:
    """Lateral place x of the chamber side of the flank at height y."""
    lean = flank_lean(known)
    outside = known["spoke_bed_width_mm"] / 2 + (y - bed_face(known)) * lean
    return outside - known["flank_mm"] * math.hypot(1, lean)


def chamber_height(known: Known) -> float:
    """Radial room between the far side of the well's floor and the nipple seat."""
    walls = known["tyre_well_depth_mm"] + known["tyre_well_mm"] + known["nipple_seat_mm"]
    return -bed_face(known) - walls


def seat_land(known: Known) -> float:
    """Width of the flat on which the nipple or washer can bear, between sharp corners."""
    if not known.family.has_chamber:
        return 2 * well_floor_half(known)
    if pad_step(known) > 0:
        return known["pad_width_mm"]
    return 2 * flank_inside(known, bed_face(known) + known["spoke_bed_mm"])
