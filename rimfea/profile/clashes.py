"""Numbers that are each possible but impossible together.

Every rule works on what is known; one that needs a number which is missing, or itself at fault,
stays silent. A rule names the two keys between which the builder has to look.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import TypeAlias

from rimfea.errors import Fault
from rimfea.profile.fields import BY_KEY
from rimfea.profile.proportions import (
    FLUSH_MM,
    Known,
    bearing,
    bed_face,
    chamber_height,
    flank_inside,
    lip_step,
    outer_half,
    pad_step,
    seat_land,
    sidewall_foot,
    well_back,
    well_floor_half,
)
from rimfea.profile.values import shown
from rimfea.profile.walls import Family

SMALLEST_GAP_MM = 0.5  # between the hook's underside and the bead seat
SMALLEST_SHELF_MM = 0.8  # of bead seat on each side of the tyre well
SMALLEST_CHAMBER_MM = 1.0
SMALLEST_STEP_MM = 0.2
SMALLEST_BEARING_MM = 1.0  # how much the nipple's head must be larger than its hole
LARGEST_ERD_ERROR_MM = 15.0
SAME_MM = 0.01
LARGEST_CORNER = 1.5


@dataclass(frozen=True)
class Clash:
    """Two keys that contradict each other, why, and what to do."""

    first: str
    second: str
    because: str
    remedy: str


Rule: TypeAlias = Callable[[Known], Iterator[Clash]]


def clashes(known: Known) -> tuple[Fault, ...]:
    """All contradictions between the numbers that are known."""
    return tuple(_fault(known, clash) for rule in _RULES for clash in _found(rule, known))


def _found(rule: Rule, known: Known) -> list[Clash]:
    found: list[Clash] = []
    with suppress(KeyError):
        found.extend(rule(known))
    return found


def _fault(known: Known, clash: Clash) -> Fault:
    first, second = clash.first, clash.second
    if first in known.assumed and second not in known.assumed:
        first, second = second, first
    pair = f"{_stated(known, first)} and {_stated(known, second)} clash"
    return Fault(first, f"{pair}: {clash.because}", remedy=clash.remedy)


def _stated(known: Known, key: str) -> str:
    assumed = " (assumed)" if key in known.assumed else ""
    return f"{key} = {shown(known[key])} {BY_KEY[key].unit}{assumed}"


def _hook_thickness(known: Known) -> Iterator[Clash]:
    height, hook = known["hook_height_mm"], known["bead_hook_mm"]
    if hook >= height:
        because = "the hook would be thicker than the sidewall is high"
    elif height - hook < SMALLEST_GAP_MM:
        because = f"only {shown(height - hook)} mm would be left between hook and bead seat"
    else:
        return
    remedy = "measure the hook from its crown to its underside, the height from the bead seat"
    yield Clash("bead_hook_mm", "hook_height_mm", because, remedy)


def _lip(known: Known) -> Iterator[Clash]:
    lip, wall = known["hook_lip_mm"], known["sidewall_mm"]
    if lip < wall - FLUSH_MM:
        because = "the lip contains the sidewall, so it cannot be thinner"
        remedy = "measure the lip over the whole crown, from its nose to the outer face"
        yield Clash("hook_lip_mm", "sidewall_mm", because, remedy)
    elif known.family.has_hook and lip < wall + SMALLEST_STEP_MM:
        because = f"the nose would stand out by {shown(lip - wall)} mm, which holds no bead"
        remedy = "measure both again; a rim without a hook is 'hookless double wall'"
        yield Clash("hook_lip_mm", "sidewall_mm", because, remedy)
    elif FLUSH_MM < lip - wall < SMALLEST_STEP_MM:
        because = f"a step of {shown(lip - wall)} mm is neither a lip nor none"
        remedy = "measure both again; give the same number for a straight sidewall"
        yield Clash("hook_lip_mm", "sidewall_mm", because, remedy)
    if known.family.has_hook and 2 * lip >= known["inner_width_mm"]:
        because = "the two lips would be wider than the gap between them"
        remedy = "measure the width between the hooks with the inside jaws"
        yield Clash("hook_lip_mm", "inner_width_mm", because, remedy)


def _sidewalls(known: Known) -> Iterator[Clash]:
    if 2 * known["sidewall_mm"] >= known["inner_width_mm"]:
        because = "the two sidewalls would be thicker than the gap between them"
        remedy = "look for a slip of the decimal point"
        yield Clash("sidewall_mm", "inner_width_mm", because, remedy)


def _well_width(known: Known) -> Iterator[Clash]:
    shelf = sidewall_foot(known) - known["tyre_well_width_mm"] / 2
    if shelf < SMALLEST_SHELF_MM:
        because = f"{shown(shelf)} mm of bead seat would be left each side, too little for a bead"
        remedy = "measure the well at the height of the bead seats"
        yield Clash("tyre_well_width_mm", "inner_width_mm", because, remedy)
    floor = 2 * well_floor_half(known)
    if known.family.has_chamber and floor < 1.0:
        because = f"its sides, leaning {shown(known['well_slope_deg'])} deg, leave no floor"
        remedy = "take less depth or less slope"
        yield Clash("tyre_well_depth_mm", "tyre_well_width_mm", because, remedy)


def _too_shallow(known: Known) -> bool:
    return -bed_face(known) <= known["nipple_seat_mm"]


def _depth(known: Known) -> Iterator[Clash]:
    if _too_shallow(known):
        because = "the hook alone, with the spoke bed, would be as deep as the whole rim"
        remedy = "measure the depth from the crown to the innermost face of the spoke bed"
        yield Clash("overall_depth_mm", "hook_height_mm", because, remedy)


def _single_depth(known: Known) -> Iterator[Clash]:
    if known.family.has_chamber:
        return
    if known["bead_seat_mm"] > -bed_face(known) - SMALLEST_STEP_MM:
        because = "the bead seat would reach below the spoke bed"
        remedy = "measure the thickness of the shelf, not its height above the spoke bed"
        yield Clash("bead_seat_mm", "overall_depth_mm", because, remedy)
    if well_back(known, -known["bead_seat_mm"]) > outer_half(known) - SMALLEST_STEP_MM:
        because = "the well's side would stand outside the sidewall"
        remedy = "measure the well at the height of the bead seats"
        yield Clash("tyre_well_width_mm", "inner_width_mm", because, remedy)


def _chamber(known: Known) -> Iterator[Clash]:
    if not known.family.has_chamber:
        return
    height = chamber_height(known)
    if height < SMALLEST_CHAMBER_MM and not _too_shallow(known):
        parts = ("hook_height_mm", "tyre_well_mm", "nipple_seat_mm")
        told = ", ".join(_stated(known, key) for key in parts)
        because = f"with {told} the chamber would be {shown(height)} mm high"
        remedy = "a rim without a chamber is of the family 'single wall'"
        yield Clash("overall_depth_mm", "tyre_well_depth_mm", because, remedy)
    below = known["tyre_well_depth_mm"] + known["tyre_well_mm"]
    if known["bead_seat_mm"] > below - SMALLEST_STEP_MM:
        because = "the bead seat would reach below the bottom of the tyre well"
        remedy = "measure the thickness of the shelf under the bead alone"
        yield Clash("bead_seat_mm", "tyre_well_depth_mm", because, remedy)


def _flank(known: Known) -> Iterator[Clash]:
    if not known.family.has_chamber:
        return
    if known["spoke_bed_width_mm"] > 2 * outer_half(known) + FLUSH_MM:
        because = f"the bed would be wider than the rim, {shown(2 * outer_half(known))} mm"
        remedy = "measure the innermost face between its two edges"
        yield Clash("spoke_bed_width_mm", "inner_width_mm", because, remedy)
    levels = (-known["bead_seat_mm"], -known["tyre_well_depth_mm"] - known["tyre_well_mm"])
    room = min(flank_inside(known, y) - well_back(known, y) for y in levels)
    if room < SMALLEST_CHAMBER_MM:
        because = f"{shown(room)} mm would be left between the flank and the side of the well"
        remedy = "look at the thickness of the flank and at the widths of the well and the bed"
        yield Clash("tyre_well_width_mm", "flank_mm", because, remedy)


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


def _radii(known: Known) -> Iterator[Clash]:
    """A radius that was given may be at most half the edge it rounds at both ends.

    An assumed one is only a wish: it is drawn smaller where an edge is short.
    """
    for radius, edge, length in _rounded_edges(known):
        if radius not in known.assumed and 0 < length < 2 * known[radius]:
            because = f"the edge it rounds at both ends is {shown(length)} mm long"
            yield Clash(radius, edge, because, "a radius is at most half that")


def _corner_radius(known: Known) -> Iterator[Clash]:
    walls = ("tyre_well_mm", "bead_seat_mm", "spoke_bed_mm", "flank_mm")
    thinnest = min(walls, key=lambda key: known[key])
    if known["corner_radius_mm"] > LARGEST_CORNER * known[thinnest]:
        because = "the wall would be cut through at its rounded corner"
        remedy = f"a corner is at most {LARGEST_CORNER} times as round as its walls are thick"
        yield Clash("corner_radius_mm", thinnest, because, remedy)


def _rounded_edges(known: Known) -> Iterator[tuple[str, str, float]]:
    yield "crown_radius_mm", "hook_lip_mm", known["hook_lip_mm"]
    if lip_step(known) > FLUSH_MM:
        yield "crown_radius_mm", "bead_hook_mm", known["bead_hook_mm"]
        gap = known["hook_height_mm"] - known["bead_hook_mm"]
        yield "fillet_radius_mm", "hook_height_mm", gap
    if known.family.has_chamber:
        yield "fillet_radius_mm", "overall_depth_mm", chamber_height(known)


_RULES: tuple[Rule, ...] = (
    _hook_thickness,
    _lip,
    _sidewalls,
    _well_width,
    _depth,
    _single_depth,
    _chamber,
    _flank,
    _seat_thickness,
    _seat_width,
    _pad,
    _spoke_hole,
    _washer,
    _rim_diameter,
    _radii,
    _corner_radius,
)
