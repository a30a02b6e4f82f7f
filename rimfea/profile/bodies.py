"""What lies below the bead seats: how it is drawn, what contradicts it, what is assumed of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING

from rimfea.geometry.corner import Corner
from rimfea.profile.clash import SMALLEST_STEP_MM, Clash, Rule, short_edge
from rimfea.profile.defaults import WELL_SHARE, WELL_SLOPE_DEG, Assumption
from rimfea.profile.flank import (
    WIDTH,
    arch_inside,
    arch_tangent,
    bed_room,
    bends,
    bulge,
    can_be_drawn,
    flank_inside,
    flank_run,
    straight_width,
    tightest,
)
from rimfea.profile.proportions import (
    FLUSH_MM,
    Known,
    bearing,
    bed_edge,
    bed_face,
    bed_inside,
    bed_shift,
    chamber_height,
    halves,
    outer_half,
    seat_step,
    sidewall_foot,
    too_shallow,
    web_faces,
    well_back,
    well_floor_half,
    well_under,
)
from rimfea.profile.values import shown
from rimfea.profile.walls import Wall

if TYPE_CHECKING:
    from rimfea.profile.sheet import Sheet

SMALLEST_CHAMBER_MM = 1.0
SMALLEST_FLOOR_MM = 1.0
SMALLEST_BEND_MM = 0.2  # radius of the inner face of a curved flank
CURVED_SHARE = 0.5  # of a straight piece beside an arc; more where its other end leaves that
ARCH_SHARE = 0.8  # of an edge, which leaves a little to hold a caliper on
THICKENED_BED_SHARE = 0.7
SAME_MM = 0.01


@dataclass(frozen=True)
class Body:
    """``bed`` draws one half of the outside, as if it were the right one, from the edge of the
    nipple seat up to the outer face, ``floor`` that of the tyre well from the end of its side to
    the middle, ``holes`` the half of every hole, with the name of what lies between two halves.
    A sheet must leave out the keys ``without``: there is not such a thing, or it follows.
    """

    bed: Callable[[Sheet, Known], list[Corner]]
    floor: Callable[[Sheet], list[Corner]]
    holes: Callable[[Sheet, Known], list[tuple[list[Corner], Wall]]]
    rules: tuple[Rule, ...]
    assumptions: Mapping[str, Assumption] = field(default_factory=dict)
    without: frozenset[str] = frozenset()


def seat_zone(sheet: Sheet) -> float:
    """Half the width of the nipple seat: of the thickened one if there is one, else what bears."""
    return (sheet.nipple_seat_width_mm if sheet.seat_step_mm else sheet.bearing_diameter_mm) / 2


def _bed_and_flank(sheet: Sheet, known: Known) -> list[Corner]:
    bottom, outside = bed_face(known), sheet.outer_width_mm / 2
    return [
        Corner(bed_shift(known) + seat_zone(sheet), bottom, Wall.SPOKE_BED),
        Corner(
            bed_edge(known),
            bottom,
            Wall.FLANK,
            sheet.arch_radius_mm or sheet.corner_radius_mm,
        ),
        *_curve(known, bottom, -sheet.bead_seat_mm),
        Corner(outside, -sheet.bead_seat_mm, Wall.BEAD_SEAT, sheet.corner_radius_mm, Wall.FLANK),
    ]


def _curve(known: Known, low: float, high: float, depth: float = 0.0) -> list[Corner]:
    """What a curved flank has between two heights, on the face ``depth`` inside."""
    return [
        Corner(x, y, Wall.FLANK, radius, share=CURVED_SHARE)
        for x, y, radius in bends(known, low, high, depth)
    ]


def _well_floor(sheet: Sheet) -> list[Corner]:
    floor, depth = well_floor_half(sheet.known), sheet.tyre_well_depth_mm
    return [Corner(floor, -depth, Wall.TYRE_WELL, sheet.fillet_radius_mm)]


def _chamber(sheet: Sheet, known: Known) -> list[tuple[list[Corner], Wall]]:
    """From the nipple seat along the bed, the flank, the seat and the well; a web between them
    makes two chambers of it.
    """
    bed, seat, well = bed_inside(known), -sheet.bead_seat_mm, well_under(known)
    fillet, corner, flank = sheet.fillet_radius_mm, sheet.corner_radius_mm, sheet.flank_mm
    below = [
        *_bearing(sheet, bed, bed_shift(known)),
        Corner(
            flank_inside(known, bed),
            bed,
            Wall.FLANK,
            arch_inside(known) if sheet.arch_radius_mm else fillet,
        ),
    ]
    above = [
        Corner(flank_inside(known, seat), seat, Wall.BEAD_SEAT, fillet),
        Corner(well_back(known, seat), seat, Wall.TYRE_WELL, fillet),
        Corner(well_back(known, well), well, Wall.TYRE_WELL, corner),
    ]
    if sheet.web_mm is None:
        return [([*below, *_curve(known, bed, seat, flank), *above], Wall.NIPPLE_SEAT)]
    low, high = web_faces(known)
    return [
        (
            [
                *below,
                *_curve(known, bed, low, flank),
                Corner(flank_inside(known, low), low, Wall.WEB, fillet),
            ],
            Wall.NIPPLE_SEAT,
        ),
        (
            [
                Corner(flank_inside(known, high), high, Wall.FLANK, fillet),
                *_curve(known, high, seat, flank),
                *above,
            ],
            Wall.WEB,
        ),
    ]


def _bearing(sheet: Sheet, bed: float, shift: float) -> list[Corner]:
    """The chamber side of the nipple seat, split where the hole ends and the bearing ends."""
    face, zone = bed + sheet.seat_step_mm, shift + seat_zone(sheet)
    hole = Corner(shift + sheet.spoke_hole_mm / 2, face, Wall.NIPPLE_SEAT)
    if not sheet.seat_step_mm:
        return [hole, Corner(zone, face, Wall.SPOKE_BED)]
    foot = zone + sheet.seat_step_mm
    return [
        hole,
        Corner(shift + sheet.bearing_diameter_mm / 2, face, Wall.NIPPLE_SEAT),
        Corner(zone, face, Wall.SPOKE_BED, sheet.fillet_radius_mm),
        Corner(foot, bed, Wall.SPOKE_BED, sheet.fillet_radius_mm),
    ]


def _single_bed(sheet: Sheet, known: Known) -> list[Corner]:
    """The spoke bed, the outside of the well and the underside of the seat."""
    bottom, seat = bed_face(known), -sheet.bead_seat_mm
    return [
        Corner(seat_zone(sheet), bottom, Wall.SPOKE_BED),
        Corner(well_back(known, bottom), bottom, Wall.TYRE_WELL, sheet.corner_radius_mm),
        Corner(well_back(known, seat), seat, Wall.BEAD_SEAT, sheet.fillet_radius_mm),
        Corner(sheet.outer_width_mm / 2, seat, Wall.BEAD_SEAT, sheet.corner_radius_mm),
    ]


def _single_floor(sheet: Sheet) -> list[Corner]:
    """The floor of the well carries the nipples."""
    floor, depth = well_floor_half(sheet.known), sheet.tyre_well_depth_mm
    return [
        Corner(floor, -depth, Wall.SPOKE_BED, sheet.fillet_radius_mm),
        Corner(seat_zone(sheet), -depth, Wall.NIPPLE_SEAT),
        Corner(sheet.spoke_hole_mm / 2, -depth, Wall.NIPPLE_SEAT),
    ]


def _floor_is_left(known: Known) -> Iterator[Clash]:
    if 2 * well_floor_half(known) < SMALLEST_FLOOR_MM:
        because = f"its sides, leaning {shown(known['well_slope_deg'])} deg, leave no floor"
        remedy = "take less depth or less slope"
        yield Clash("tyre_well_depth_mm", "tyre_well_width_mm", because, remedy)


def _chamber_is_left(known: Known) -> Iterator[Clash]:
    height = chamber_height(known)
    if height < SMALLEST_CHAMBER_MM and not too_shallow(known):
        because = f"the chamber would be {shown(height)} mm high"
        remedy = "a rim without a chamber is of the family 'single wall'"
        beside = ("hook_height_mm", "tyre_well_mm", "nipple_seat_mm")
        yield Clash("overall_depth_mm", "tyre_well_depth_mm", because, remedy, beside)
    if known["bead_seat_mm"] > -well_under(known) - SMALLEST_STEP_MM:
        because = "the bead seat would reach below the bottom of the tyre well"
        remedy = "measure the thickness of the shelf under the bead alone"
        yield Clash("bead_seat_mm", "tyre_well_depth_mm", because, remedy)


def _flank(known: Known) -> Iterator[Clash]:
    sticks_out = max(bed_edge(each) for each in halves(known)) - outer_half(known)
    if known["spoke_bed_width_mm"] > 2 * outer_half(known) + FLUSH_MM:
        because = f"the bed would be wider than the rim, {shown(2 * outer_half(known))} mm"
        remedy = "measure the innermost face between its two edges"
        yield Clash("spoke_bed_width_mm", "inner_width_mm", because, remedy)
    elif sticks_out > FLUSH_MM:
        because = f"the bed would stand out sideways by {shown(sticks_out)} mm"
        remedy = "measure from both edges of the bed to the outer faces; half the difference"
        yield Clash("spoke_bed_offset_mm", "spoke_bed_width_mm", because, remedy)
    levels = (-known["bead_seat_mm"], well_under(known))
    room = min(flank_inside(each, y) - well_back(each, y) for y in levels for each in halves(known))
    if room < SMALLEST_CHAMBER_MM:
        because = f"{shown(room)} mm would be left between the flank and the side of the well"
        remedy = "look at the thickness of the flank and at the widths of the well and the bed"
        yield Clash("tyre_well_width_mm", "flank_mm", because, remedy)


def _bulge(known: Known) -> Iterator[Clash]:
    out = bulge(known)
    if not all(can_be_drawn(each) for each in halves(known)):
        straight = straight_width(known)
        because = f"each flank would stand {'out' if out > 0 else 'in'} by {shown(abs(out))} mm"
        remedy = (
            f"straight flanks measure {shown(straight)} mm; it is read half way between the "
            "shelves under the beads and the innermost face"
        )
        yield Clash(WIDTH, "spoke_bed_width_mm", because, remedy)
        return
    radius = tightest(known)
    if radius < known["flank_mm"] + SMALLEST_BEND_MM:
        because = f"of its curve, {shown(radius)} mm in radius, the flank would leave no inner face"
        remedy = "measure the flank at right angles to its faces, and the width half way down"
        yield Clash(WIDTH, "flank_mm", because, remedy)
    half_way = (bed_face(known) - known["bead_seat_mm"]) / 2
    room = 2 * min(flank_inside(each, half_way) for each in halves(known))
    if out and room < SMALLEST_CHAMBER_MM:
        because = f"half way up {shown(max(0.0, room))} mm would be left between the flanks"
        remedy = "the width is read over both flanks, from the outside"
        yield Clash(WIDTH, "flank_mm", because, remedy)


def _web(known: Known) -> Iterator[Clash]:
    low, high = web_faces(known)
    under, over = low - bed_inside(known) - seat_step(known), well_under(known) - high
    if min(under, over) < SMALLEST_CHAMBER_MM:
        below = under < over
        because = f"the chamber {'below' if below else 'above'} the web would be "
        because += f"{shown(max(0.0, under if below else over))} mm high"
        remedy = "measure from the spoke bed up to the web, and the web itself"
        beside = ("web_height_mm",) if "web_height_mm" in known.numbers else ()
        yield Clash("web_mm", "overall_depth_mm", because, remedy, beside)
    yield from short_edge(known, "fillet_radius_mm", "web_mm", min(under, over))


def _chamber_fillet(known: Known) -> Iterator[Clash]:
    return short_edge(known, "fillet_radius_mm", "overall_depth_mm", chamber_height(known))


def _single_depth(known: Known) -> Iterator[Clash]:
    if known["bead_seat_mm"] > -bed_face(known) - SMALLEST_STEP_MM:
        because = "the bead seat would reach below the spoke bed"
        remedy = "measure the thickness of the shelf, not its height above the spoke bed"
        yield Clash("bead_seat_mm", "overall_depth_mm", because, remedy)
    if well_back(known, -known["bead_seat_mm"]) > outer_half(known) - SMALLEST_STEP_MM:
        because = "the well's side would stand outside the sidewall"
        remedy = "measure the well at the height of the bead seats"
        yield Clash("tyre_well_width_mm", "inner_width_mm", because, remedy)


def _arch(known: Known) -> Iterator[Clash]:
    """An arch may begin beside the nipple seat, on both faces of the bed, and end on the flank."""
    step = seat_step(known)
    zone = (known["nipple_seat_width_mm"] if step else bearing(known)) / 2
    thick = known["arch_radius_mm"] - arch_inside(known)
    largest = math.inf
    for each in halves(known):
        room = ARCH_SHARE * min(known["spoke_bed_width_mm"] / 2 - zone, flank_run(each))
        beside = flank_inside(each, bed_inside(each)) - bed_shift(each)
        inner = ARCH_SHARE * (beside - zone - step)
        unit = arch_tangent(each, 1.0)
        largest = min(largest, room / unit, inner / unit + thick)
    if known["arch_radius_mm"] > largest:
        because = "the arch would begin under the nipple seat, or reach beyond the flank"
        remedy = f"the largest that has room is {shown(max(0.0, math.floor(10 * largest) / 10))} mm"
        yield Clash("arch_radius_mm", "spoke_bed_width_mm", because, remedy)


def _seat(wrong: Callable[[float], bool], because: str) -> Rule:
    """How much thicker (mm) than the spoke bed the nipple seat cannot be, and why."""

    def rule(known: Known) -> Iterator[Clash]:
        if wrong(known["nipple_seat_mm"] - known["spoke_bed_mm"]):
            remedy = (
                "measure the bed between two holes, the seat at a hole; or leave spoke_bed_mm out"
            )
            yield Clash("nipple_seat_mm", "spoke_bed_mm", because, remedy)

    return rule


def _bears(known: Known) -> str:
    return "washer_mm" if "washer_mm" in known.numbers else "nipple_head_mm"


def _room_for_seat(known: Known, flat: str, land: float, over: str = "") -> Iterator[Clash]:
    """The flat on which a nipple bears, ``land`` mm wide, and the bed under what is ``over`` it."""
    if land < bearing(known) + SMALLEST_STEP_MM:
        because = f"the flat on which it bears is {shown(land)} mm wide"
        remedy = "look at the diameter that bears, and at the width of the flat"
        yield Clash(_bears(known), flat, because, remedy)
    over = over or _bears(known)
    if known[over] + SMALLEST_STEP_MM > known["spoke_bed_width_mm"]:
        because = "the spoke bed would be narrower than the nipple seat on it"
        yield Clash(over, "spoke_bed_width_mm", because, "measure the innermost face again")


def _seat_in_chamber(known: Known) -> Iterator[Clash]:
    if seat_step(known):
        return _room_for_seat(
            known, "nipple_seat_width_mm", known["nipple_seat_width_mm"], "nipple_seat_width_mm"
        )
    return _room_for_seat(known, "spoke_bed_width_mm", 2 * bed_room(known))


def _seat_on_floor(known: Known) -> Iterator[Clash]:
    return _room_for_seat(known, "tyre_well_width_mm", 2 * well_floor_half(known))


def _seat_foot(known: Known) -> Iterator[Clash]:
    foot = known["nipple_seat_width_mm"] + 2 * seat_step(known)
    if seat_step(known) and foot + SMALLEST_STEP_MM > 2 * bed_room(known):
        because = f"the thickened seat's foot, {shown(foot)} mm, would not fit between the flanks"
        yield Clash(
            "nipple_seat_width_mm",
            "spoke_bed_width_mm",
            because,
            "measure the flat of the seat alone",
        )


def _slope_to_a_flat(known: Known) -> float:
    """20 degrees, less in a deep well, so that the nipple heads find a flat floor."""
    room = known["tyre_well_width_mm"] / 2 - bearing(known) / 2 - 1.0
    most = math.degrees(math.atan2(max(0.0, room), known["tyre_well_depth_mm"]))
    return min(WELL_SLOPE_DEG, most)


def _as_traced(key: str, known: Known) -> float:
    return known.traced[key]


_PLAIN_SEAT = _seat(lambda step: step < -FLUSH_MM, "the seat is part of the bed, so not thinner")
_THICKENED_SEAT = _seat(
    lambda step: step <= FLUSH_MM, "a thickened seat is thicker than the spoke bed"
)
_ONE_SEAT = _seat(lambda step: abs(step) > SAME_MM, "in a single wall the two are one wall")
_ANY_CHAMBER: tuple[Rule, ...] = (
    _floor_is_left,
    _chamber_is_left,
    _flank,
    _bulge,
    _seat_in_chamber,
    _seat_foot,
    _chamber_fillet,
    _arch,
    _web,
)

_SECTION = "section"  # what a drawn family has no use for
CHAMBER = Body(
    _bed_and_flank,
    _well_floor,
    _chamber,
    (*_ANY_CHAMBER, _PLAIN_SEAT),
    without=frozenset({_SECTION}),
)
THICKENED = replace(
    CHAMBER,
    rules=(*_ANY_CHAMBER, _THICKENED_SEAT),
    assumptions={
        "spoke_bed_mm": Assumption(
            lambda known: THICKENED_BED_SHARE * known["nipple_seat_mm"],
            f"{THICKENED_BED_SHARE:g} of the nipple seat",
        )
    },
)
_FROM_OTHERS = "follows from the overall depth, the hook height and the tyre well"
_FOLLOWS: Mapping[str, Callable[[Known], float]] = {
    "tyre_well_depth_mm": lambda known: -bed_face(known) - known["spoke_bed_mm"],
    "spoke_bed_width_mm": lambda known: 2 * well_back(known, bed_face(known)),
    "nipple_seat_width_mm": bearing,
}
SINGLE = Body(
    _single_bed,
    _single_floor,
    lambda *_: [],
    (_single_depth, _ONE_SEAT, _seat_on_floor),
    {
        **{key: Assumption(rule, _FROM_OTHERS) for key, rule in _FOLLOWS.items()},
        "tyre_well_width_mm": Assumption(
            lambda known: WELL_SHARE * 2 * sidewall_foot(known),
            f"{WELL_SHARE:g} of the distance between the inner faces of the sidewalls",
        ),
        "well_slope_deg": Assumption(
            _slope_to_a_flat,
            f"{WELL_SLOPE_DEG:g} degrees; less if deep, so that the nipple head finds a flat",
        ),
    },
    without=frozenset(
        {
            *_FOLLOWS,
            _SECTION,
            *("flank_mm", "spoke_bed_offset_mm", "arch_radius_mm"),
            *("middle_width_mm", "web_mm", "web_height_mm"),
        }
    ),
)
# What a traced section shows, and what it has no need of.
_SHAPE = (
    *("inner_width_mm", "overall_depth_mm", "hook_height_mm", "tyre_well_depth_mm"),
    *("tyre_well_width_mm", "spoke_bed_width_mm", "spoke_bed_offset_mm"),
)
_NO_NEED = (
    *("sidewall_foot_mm", "lip_taper_mm", "crown_slope_deg", "bead_ridge_mm", "well_slope_deg"),
    *("middle_width_mm", "web_height_mm", "arch_radius_mm"),
    *("crown_radius_mm", "corner_radius_mm", "fillet_radius_mm"),
)
_READ_OFF = "read off the section"
TRACED = Body(
    lambda *_: [],
    lambda _: [],
    lambda *_: [],
    (),
    {
        **{
            key: Assumption(partial(_as_traced, key), _READ_OFF)
            for key in (*_SHAPE, *_NO_NEED, *(wall.key_mm for wall in Wall))
        },
        "nipple_seat_width_mm": Assumption(bearing, "what bears"),
    },
    without=frozenset({*_SHAPE, *_NO_NEED, "nipple_seat_width_mm"}),
)
