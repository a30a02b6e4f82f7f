"""Numbers of a section that are each possible but impossible together."""

from __future__ import annotations

from collections.abc import Iterator

from rimfea.errors import Fault
from rimfea.profile.clash import SMALLEST_STEP_MM, Clash, Rule, clash_faults, stated
from rimfea.profile.proportions import (
    FLUSH_MM,
    Known,
    bed_face,
    chamber_height,
    flank_inside,
    lip_step,
    outer_half,
    sidewall_foot,
    well_back,
    well_floor_half,
)
from rimfea.profile.seat_clashes import SEAT_RULES
from rimfea.profile.values import shown

SMALLEST_GAP_MM = 0.5  # between the hook's underside and the bead seat
SMALLEST_SHELF_MM = 0.8  # of bead seat on each side of the tyre well
SMALLEST_CHAMBER_MM = 1.0
LARGEST_CORNER = 1.5


def clashes(known: Known) -> tuple[Fault, ...]:
    """All contradictions between the numbers of the section that are known."""
    return clash_faults(_RULES, known)


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


def _wear_mark(known: Known) -> Iterator[Clash]:
    if known["wear_mark_mm"] >= known["sidewall_mm"]:
        because = "the brake track would be worn past its mark"
        remedy = "measure both again; if it is so, the rim is worn out"
        yield Clash("wear_mark_mm", "sidewall_mm", because, remedy)


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
        told = ", ".join(stated(known, key) for key in parts)
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
    _wear_mark,
    _well_width,
    _depth,
    _single_depth,
    _chamber,
    _flank,
    *SEAT_RULES,
    _radii,
    _corner_radius,
)
