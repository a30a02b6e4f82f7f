"""Numbers of a section that are each possible but impossible together, and how that is told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress

from rimfea.errors import Fault
from rimfea.profile.clash import Clash, Rule, short_edge
from rimfea.profile.families import Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.heads import SMALLEST_GAP_MM
from rimfea.profile.proportions import (
    FLUSH_MM,
    Known,
    bearing,
    bed_face,
    lip_step,
    ridge_foot,
    ridge_height,
    sidewall_foot,
    thickest_sidewall,
    too_shallow,
    top_thickness,
)
from rimfea.profile.values import shown
from rimfea.profile.walls import Wall

SMALLEST_SHELF_MM = 0.8  # of bead seat on each side of the tyre well
SMALLEST_BEARING_MM = 1.0  # how much the nipple's head must be larger than its hole
LARGEST_ERD_ERROR_MM = 15.0
LARGEST_CORNER = 1.5
ROUND_CROWN_MM = 0.1  # a crown that is round all over has half its lip, as well as both are read


def clashes(known: Known) -> tuple[Fault, ...]:
    """All contradictions between the numbers of the section that are known."""
    drawn = () if known.family is Family.TRACED else _OF_THE_SHAPE
    rules = (*_RULES, *drawn, *known.family.head.rules, *known.family.body.rules)
    return clash_faults(rules, known)


def clash_faults(rules: Sequence[Rule], known: Known) -> tuple[Fault, ...]:
    """All contradictions that the rules find between the numbers that are known."""
    return tuple(_fault(known, clash) for rule in rules for clash in _found(rule, known))


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
    beside = ", ".join(_stated(known, key) for key in clash.beside)
    because = f"with {beside} {clash.because}" if beside else clash.because
    return Fault(first, f"{pair}: {because}", remedy=clash.remedy)


def _stated(known: Known, key: str) -> str:
    """A key with its number and unit, and whether that was assumed."""
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
    if known["hook_lip_mm"] < known.family.head.within_lip(known) - FLUSH_MM:
        because = "the lip contains the sidewall, so it cannot be thinner"
        remedy = "measure the lip over the whole crown, from its nose to the outer face"
        yield Clash("hook_lip_mm", "sidewall_mm", because, remedy)


def _sidewalls(known: Known) -> Iterator[Clash]:
    if 2 * thickest_sidewall(known) >= known["inner_width_mm"]:
        because = "the two sidewalls would be thicker than the gap between them"
        remedy = "look for a slip of the decimal point"
        yield Clash("sidewall_mm", "inner_width_mm", because, remedy)


def _taper(known: Known) -> Iterator[Clash]:
    if "sidewall_foot_mm" not in known.numbers:
        return
    top, remedy = top_thickness(known), "what the foot has more than half way up, the top has less"
    if top < Wall.SIDEWALL.field.low:
        because = f"the sidewall would be {shown(top)} mm thick under the hook"
        yield Clash("sidewall_foot_mm", "sidewall_mm", because, remedy)


def _wear_mark(known: Known) -> Iterator[Clash]:
    if known["wear_mark_mm"] >= known["sidewall_mm"]:
        because = "the brake track would be worn past its mark"
        remedy = "measure both again; if it is so, the rim is worn out"
        yield Clash("wear_mark_mm", "sidewall_mm", because, remedy)


def _shelf(known: Known) -> Iterator[Clash]:
    shelf = sidewall_foot(known) - known["tyre_well_width_mm"] / 2
    if shelf < SMALLEST_SHELF_MM:
        because = f"{shown(shelf)} mm of bead seat would be left each side, too little for a bead"
        remedy = "measure the well at the height of the bead seats"
        yield Clash("tyre_well_width_mm", "inner_width_mm", because, remedy)


def _ridge(known: Known) -> Iterator[Clash]:
    height = ridge_height(known)
    if not height:
        return
    shelf = sidewall_foot(known) - ridge_foot(known)
    if shelf < SMALLEST_SHELF_MM:
        because = f"beside the ridge {shown(shelf)} mm of bead seat would be left for the bead"
        remedy = "measure the ridge from the bead seat, the well at the height of the bead seats"
        yield Clash("bead_ridge_mm", "tyre_well_width_mm", because, remedy, ("inner_width_mm",))
    if height > known["hook_height_mm"] - known["bead_hook_mm"] - SMALLEST_GAP_MM:
        because = "no bead would pass between the ridge and the hook"
        remedy = "measure the ridge from the bead seat up to its top"
        yield Clash("bead_ridge_mm", "hook_height_mm", because, remedy, ("bead_hook_mm",))


def _depth(known: Known) -> Iterator[Clash]:
    if too_shallow(known):
        because = "the hook alone, with the spoke bed, would be as deep as the whole rim"
        remedy = "measure the depth from the crown to the innermost face of the spoke bed"
        yield Clash("overall_depth_mm", "hook_height_mm", because, remedy)


def _spoke_hole(known: Known) -> Iterator[Clash]:
    if known["spoke_hole_mm"] + SMALLEST_BEARING_MM > bearing(known):
        because = "it would pull through the hole: 1 mm more is the least that bears"
        bears = "washer_mm" if "washer_mm" in known.numbers else "nipple_head_mm"
        yield Clash("spoke_hole_mm", bears, because, "measure the hole in the spoke bed itself")


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


def _crown(known: Known) -> Iterator[Clash]:
    lip = known["hook_lip_mm"]
    if 2 * known["crown_radius_mm"] > lip + ROUND_CROWN_MM:
        yield from short_edge(known, "crown_radius_mm", "hook_lip_mm", lip)
    if lip_step(known):
        gap = known["hook_height_mm"] - known["bead_hook_mm"]
        yield from short_edge(known, "fillet_radius_mm", "hook_height_mm", gap)


def _corner_radius(known: Known) -> Iterator[Clash]:
    walls = ("tyre_well_mm", "bead_seat_mm", "spoke_bed_mm", "flank_mm")
    thinnest = min(walls, key=lambda key: known[key])
    if known["corner_radius_mm"] > LARGEST_CORNER * known[thinnest]:
        because = "the wall would be cut through at its rounded corner"
        remedy = f"a corner is at most {LARGEST_CORNER} times as round as its walls are thick"
        yield Clash("corner_radius_mm", thinnest, because, remedy)


_RULES: tuple[Rule, ...] = (_wear_mark, _spoke_hole, _washer, _rim_diameter)
_OF_THE_SHAPE: tuple[Rule, ...] = (
    _hook_thickness,
    _lip,
    _sidewalls,
    _taper,
    _shelf,
    _ridge,
    _depth,
    _crown,
    _corner_radius,
)
