"""What a number is taken to be while nobody has measured it.

Each is a smooth function of what is known (no rounding to a tenth): a sheet that is varied by a
hundredth of a millimetre then moves by about a hundredth everywhere, which sensitivities need.
A default that needs a number which is missing raises KeyError.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple, TypeAlias

from rimfea.profile.flank import bed_room, flank_inside
from rimfea.profile.hook import nose_thickness
from rimfea.profile.proportions import (
    Known,
    bearing,
    bed_face,
    bed_shift,
    halves,
    outer_half,
    sidewall_foot,
    well_back,
    well_under,
)

Default: TypeAlias = Callable[[Known], float]


class Assumption(NamedTuple):
    """What one family takes a number to be, and how that is told."""

    rule: Default
    note: str


WELL_SHARE = 0.62  # of the width between the sidewalls: leaves the bead about a fifth each side
_WELL_ROOM_MM = 1.2
_BED_SHARE = 0.6
WELL_SLOPE_DEG = 20.0


def same_as(key: str) -> Default:
    """The value of another key."""
    return lambda known: known[key]


def tyre_well_depth(known: Known) -> float:
    """3.5 mm or half of what the depth leaves."""
    room = -bed_face(known) - known["tyre_well_mm"] - known["nipple_seat_mm"]
    return max(0.5, min(3.5, room / 2))


def tyre_well_width(known: Known) -> float:
    """A share of the distance between the sidewalls, less where the flanks come too near."""
    share = WELL_SHARE * 2 * sidewall_foot(known)
    levels = (-known["bead_seat_mm"], well_under(known))
    drawn = known.with_assumed({"tyre_well_width_mm": share})
    excess = max(
        well_back(drawn, y) + _WELL_ROOM_MM - flank_inside(each, y)
        for y in levels
        for each in halves(known)
    )
    return share - 2 * max(0.0, excess)


def spoke_bed_width(known: Known) -> float:
    """0.6 of the outer width, more where the nipples need it."""
    needed = bearing(known) + 2 * known["flank_mm"] + 2.0
    room = outer_half(known) - abs(bed_shift(known))
    return min(2 * room, max(_BED_SHARE * 2 * outer_half(known), needed))


def seat_width(known: Known) -> float:
    """What bears plus 3 mm, less where the bed is too narrow."""
    step = known["nipple_seat_mm"] - known["spoke_bed_mm"]
    flat = 2 * bed_room(known)
    return bearing(known) + max(0.5, min(3.0, flat - 2 * step - 1.0 - bearing(known)))


def crown_radius(known: Known) -> float:
    """0.4 mm, less on a thin hook."""
    return min(0.4, 0.4 * min(known["hook_lip_mm"], nose_thickness(known)))


def corner_radius(known: Known) -> float:
    """1 mm, less on thin walls, so that the wall keeps its thickness round the corner."""
    return min(1.0, 0.8 * _thinnest(known))


def fillet_radius(known: Known) -> float:
    """0.8 mm, less between thin walls."""
    return min(0.8, 0.6 * _thinnest(known))


def effective_rim_diameter(known: Known) -> float:
    """Diameter at the face on which the nipples bear."""
    return known["bead_seat_diameter_mm"] + 2 * (bed_face(known) + known["nipple_seat_mm"])


def joint_mass(known: Known) -> float:
    """What is in a joint of that kind; nothing in one that is not said."""
    return known.joint.mass_g if known.joint else 0.0


def _thinnest(known: Known) -> float:
    walls = ("sidewall_mm", "tyre_well_mm", "bead_seat_mm", "spoke_bed_mm", "flank_mm")
    return min(known[key] for key in walls)
