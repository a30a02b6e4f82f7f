"""Numbers of nipples and spoke bed that are each possible but impossible together."""

from __future__ import annotations

from collections.abc import Iterator

from rimfea.profile.clash import SMALLEST_STEP_MM, Clash, Rule
from rimfea.profile.proportions import (
    FLUSH_MM,
    Known,
    bearing,
    bed_face,
    flank_inside,
    pad_step,
    seat_land,
)
from rimfea.profile.values import shown
from rimfea.profile.walls import Family

SMALLEST_BEARING_MM = 1.0  # how much the nipple's head must be larger than its hole
LARGEST_ERD_ERROR_MM = 15.0
SAME_MM = 0.01


def _seat_thickness(known: Known) -> Iterator[Clash]:
    seat, bed = known["nipple_seat_mm"], known["spoke_bed_mm"]
    if known.family is Family.SINGLE:
        wrong, because = abs(seat - bed) > SAME_MM, "in a single wall the two are one wall"
    elif known.family is Family.PADDED:
        wrong, because = seat <= bed + FLUSH_MM, "a padded seat is thicker than the spoke bed"
    else:
        wrong, because = seat < bed - FLUSH_MM, "the seat is part of the bed, so not thinner"
    if wrong:
        remedy = "measure the bed between two holes, the seat at a hole; or leave spoke_bed_mm out"
        yield Clash("nipple_seat_mm", "spoke_bed_mm", because, remedy)


def _bears(known: Known) -> str:
    return "washer_mm" if "washer_mm" in known.numbers else "nipple_head_mm"


def _seat_width(known: Known) -> Iterator[Clash]:
    flat = "tyre_well_width_mm" if not known.family.has_chamber else "spoke_bed_width_mm"
    flat = "pad_width_mm" if pad_step(known) > 0 else flat
    land = seat_land(known)
    if land < bearing(known) + SMALLEST_STEP_MM:
        because = f"the flat on which it bears is {shown(land)} mm wide"
        remedy = "look at the diameter that bears, and at the width of the flat"
        yield Clash(_bears(known), flat, because, remedy)


def _pad(known: Known) -> Iterator[Clash]:
    padded = pad_step(known) > 0
    over = known["pad_width_mm"] if padded else bearing(known)
    if over + SMALLEST_STEP_MM > known["spoke_bed_width_mm"]:
        because = "the spoke bed would be narrower than the nipple seat on it"
        first = "pad_width_mm" if padded else _bears(known)
        yield Clash(first, "spoke_bed_width_mm", because, "measure the innermost face again")
    foot = known["pad_width_mm"] + 2 * pad_step(known)
    bed = bed_face(known) + known["spoke_bed_mm"]
    if padded and foot + SMALLEST_STEP_MM > 2 * flank_inside(known, bed):
        because = f"the pad's foot, {shown(foot)} mm, would not fit between the flanks"
        remedy = "measure the flat of the seat alone"
        yield Clash("pad_width_mm", "spoke_bed_width_mm", because, remedy)


def _spoke_hole(known: Known) -> Iterator[Clash]:
    if known["spoke_hole_mm"] + SMALLEST_BEARING_MM > bearing(known):
        because = "it would pull through the hole: 1 mm more is the least that bears"
        yield Clash(
            "spoke_hole_mm", _bears(known), because, "measure the hole in the spoke bed itself"
        )


def _washer(known: Known) -> Iterator[Clash]:
    if known["washer_mm"] < known["nipple_head_mm"]:
        because = "the washer would vanish under the head"
        yield Clash("washer_mm", "nipple_head_mm", because, "give the outer diameter of the washer")


def _rim_diameter(known: Known) -> Iterator[Clash]:
    drawn = known["bead_seat_diameter_mm"] + 2 * (bed_face(known) + known["nipple_seat_mm"])
    if abs(known["erd_mm"] - drawn) > LARGEST_ERD_ERROR_MM:
        because = f"the depth, hook height and nipple seat make {shown(drawn)} mm"
        remedy = "measure between the faces on which opposite nipples bear"
        yield Clash("erd_mm", "overall_depth_mm", because, remedy)


SEAT_RULES: tuple[Rule, ...] = (
    _seat_thickness,
    _seat_width,
    _pad,
    _spoke_hole,
    _washer,
    _rim_diameter,
)
