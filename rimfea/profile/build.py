"""From a caliper sheet to the outline of its section.

Axes: x across the rim, y outward from the bead seat. The right half is walked from the spoke
bed up the outside, over the crown and down the tyre side to the middle; the left half is its
mirror image.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rimfea.errors import Fault, OutlineError, SheetError
from rimfea.geometry.outline import Outline
from rimfea.geometry.rounded import Corner, rounded
from rimfea.profile.proportions import bed_face, flank_inside, well_back, well_floor_half
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall


def outline(sheet: Sheet) -> Outline:
    """The section drawn from the sheet's numbers, every edge named after its wall.

    Raises :class:`~rimfea.errors.SheetError` when the numbers fit no closed section.
    """
    try:
        outer = rounded(_mirrored(_outer_half(sheet)))
        if not sheet.family.has_chamber:
            return Outline(outer)
        return Outline(outer, (rounded(_mirrored(_chamber_half(sheet))),))
    except OutlineError as error:
        problem = f"these dimensions do not close to a section: {error}"
        remedy = "look for a number that belongs to another rim, or a slip of the decimal point"
        raise SheetError([Fault("", problem, remedy=remedy)], sheet.name) from error


def seat_zone(sheet: Sheet) -> float:
    """Half the width of the nipple seat: the pad where there is one, else what bears, mm."""
    return (sheet.pad_width_mm if sheet.pad_step_mm else sheet.bearing_diameter_mm) / 2


def _outer_half(sheet: Sheet) -> list[Corner]:
    below = _bed_and_flank(sheet) if sheet.family.has_chamber else _single_bed(sheet)
    return [*below, *_side(sheet), *_well(sheet)]


def _bed_and_flank(sheet: Sheet) -> list[Corner]:
    """The innermost face from the edge of the nipple seat outward, and the flank."""
    bottom, outside = bed_face(sheet.known), sheet.outer_width_mm / 2
    return [
        Corner(seat_zone(sheet), bottom, Wall.SPOKE_BED),
        Corner(sheet.spoke_bed_width_mm / 2, bottom, Wall.FLANK, sheet.corner_radius_mm),
        Corner(outside, -sheet.bead_seat_mm, Wall.BEAD_SEAT, sheet.corner_radius_mm, Wall.FLANK),
    ]


def _single_bed(sheet: Sheet) -> list[Corner]:
    """The spoke bed of a single wall, the outside of its well and the underside of the seat."""
    known = sheet.known
    bottom, seat = bed_face(known), -sheet.bead_seat_mm
    radius = sheet.fillet_radius_mm
    return [
        Corner(seat_zone(sheet), bottom, Wall.SPOKE_BED),
        Corner(well_back(known, bottom), bottom, Wall.TYRE_WELL, sheet.corner_radius_mm),
        Corner(well_back(known, seat), seat, Wall.BEAD_SEAT, radius),
        Corner(sheet.outer_width_mm / 2, seat, Wall.BEAD_SEAT, sheet.corner_radius_mm),
    ]


def _side(sheet: Sheet) -> list[Corner]:
    """Up the outside, over the crown and down to the bead seat."""
    outside, inside = sheet.outer_width_mm / 2, sheet.inner_width_mm / 2
    hooked = sheet.family.has_hook
    foot = outside - sheet.sidewall_mm if hooked else inside
    return [
        Corner(outside, 0.0, Wall.SIDEWALL),
        *(_hooked_head(sheet, foot) if hooked else _hookless_head(sheet, outside)),
        Corner(foot, 0.0, Wall.BEAD_SEAT, sheet.fillet_radius_mm),
    ]


def _hooked_head(sheet: Sheet, foot: float) -> list[Corner]:
    """The crown and the nose that stands inward of the sidewall's inner face."""
    outside, inside = sheet.outer_width_mm / 2, sheet.inner_width_mm / 2
    top, crown = sheet.hook_height_mm, sheet.crown_radius_mm
    nose = top - sheet.bead_hook_mm
    return [
        Corner(outside, nose, Wall.HOOK_LIP),
        Corner(outside, top, Wall.BEAD_HOOK, crown),
        Corner(inside, top, Wall.HOOK_LIP, crown, Wall.BEAD_HOOK),
        Corner(inside, nose, Wall.BEAD_HOOK, crown),
        Corner(foot, nose, Wall.SIDEWALL, sheet.fillet_radius_mm),
    ]


def _hookless_head(sheet: Sheet, outside: float) -> list[Corner]:
    """The crown; a lip wider than the sidewall stands outward of its outer face."""
    inside, top, crown = sheet.inner_width_mm / 2, sheet.hook_height_mm, sheet.crown_radius_mm
    nose, lip = top - sheet.bead_hook_mm, outside + sheet.lip_step_mm
    overhang = [
        Corner(outside, nose, Wall.BEAD_HOOK, sheet.fillet_radius_mm),
        Corner(lip, nose, Wall.HOOK_LIP, crown, Wall.BEAD_HOOK),
    ]
    plain = [Corner(outside, nose, Wall.HOOK_LIP)]
    return [
        *(overhang if sheet.lip_step_mm else plain),
        Corner(lip, top, Wall.BEAD_HOOK, crown),
        Corner(inside, top, Wall.HOOK_LIP, crown, Wall.BEAD_HOOK),
        Corner(inside, nose, Wall.SIDEWALL),
    ]


def _well(sheet: Sheet) -> list[Corner]:
    """Over the edge of the well and down to its floor; a single wall carries the nipples there."""
    edge, depth = sheet.tyre_well_width_mm / 2, sheet.well_depth_mm
    floor = well_floor_half(sheet.known)
    down = Corner(edge, 0.0, Wall.TYRE_WELL, sheet.corner_radius_mm)
    if sheet.family.has_chamber:
        return [down, Corner(floor, -depth, Wall.TYRE_WELL, sheet.fillet_radius_mm)]
    return [
        down,
        Corner(floor, -depth, Wall.SPOKE_BED, sheet.fillet_radius_mm),
        Corner(seat_zone(sheet), -depth, Wall.NIPPLE_SEAT),
        Corner(sheet.spoke_hole_mm / 2, -depth, Wall.NIPPLE_SEAT),
    ]


def _chamber_half(sheet: Sheet) -> list[Corner]:
    """The chamber from the nipple seat along the bed, the flank, the seat and the well."""
    known = sheet.known
    bed, seat = bed_face(known) + sheet.spoke_bed_mm, -sheet.bead_seat_mm
    well = -sheet.well_depth_mm - sheet.tyre_well_mm
    fillet, corner = sheet.fillet_radius_mm, sheet.corner_radius_mm
    return [
        *_bearing(sheet, bed),
        Corner(flank_inside(known, bed), bed, Wall.FLANK, fillet),
        Corner(flank_inside(known, seat), seat, Wall.BEAD_SEAT, fillet),
        Corner(well_back(known, seat), seat, Wall.TYRE_WELL, fillet),
        Corner(well_back(known, well), well, Wall.TYRE_WELL, corner),
    ]


def _bearing(sheet: Sheet, bed: float) -> list[Corner]:
    """The chamber side of the nipple seat, split where the hole ends and the bearing ends."""
    face, zone = bed + sheet.pad_step_mm, seat_zone(sheet)
    hole = Corner(sheet.spoke_hole_mm / 2, face, Wall.NIPPLE_SEAT)
    if not sheet.pad_step_mm:
        return [hole, Corner(zone, face, Wall.SPOKE_BED)]
    foot = zone + sheet.pad_step_mm
    return [
        hole,
        Corner(sheet.bearing_diameter_mm / 2, face, Wall.NIPPLE_SEAT),
        Corner(zone, face, Wall.SPOKE_BED, sheet.fillet_radius_mm),
        Corner(foot, bed, Wall.SPOKE_BED, sheet.fillet_radius_mm),
    ]


def _mirrored(right: Sequence[Corner]) -> list[Corner]:
    """The right half followed by its mirror image; the closing edge is the nipple seat."""
    named = [replace(c, arc_label=c.arc_label or c.label) for c in right]
    leaving = [Wall.NIPPLE_SEAT, *(c.label for c in named[:-1])]
    left = [replace(c, x=-c.x, label=label) for c, label in zip(named, leaving, strict=True)]
    return [*named, *reversed(left)]
