"""From a caliper sheet to the outline of its section.

Axes: x across the rim, y outward from the bead seat. The right half is walked from the spoke
bed up the outside, over the crown and down the tyre side to the middle; the left half is its
mirror image.
"""

from __future__ import annotations

from rimfea.errors import Fault, OutlineError, SheetError
from rimfea.geometry.corner import Corner, mirrored
from rimfea.geometry.outline import Outline
from rimfea.geometry.rounded import rounded
from rimfea.profile.proportions import sidewall_foot
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall


def outline(sheet: Sheet) -> Outline:
    """The section drawn from the sheet's numbers, every edge named after its wall.

    Raises :class:`~rimfea.errors.SheetError` when the numbers fit no closed section.
    """
    try:
        outer = rounded(mirrored(_outer_half(sheet), Wall.NIPPLE_SEAT))
        return Outline(outer, tuple(rounded(hole) for hole in sheet.family.body.holes(sheet)))
    except OutlineError as error:
        problem = f"these dimensions do not close to a section: {error}"
        remedy = "look for a number that belongs to another rim, or a slip of the decimal point"
        raise SheetError([Fault("", problem, remedy=remedy)], sheet.name) from error


def _outer_half(sheet: Sheet) -> list[Corner]:
    head, body = sheet.family.head, sheet.family.body
    edge = sheet.tyre_well_width_mm / 2
    return [
        *body.bed(sheet),
        Corner(sheet.outer_width_mm / 2, 0.0, Wall.SIDEWALL),
        *head.corners(sheet),
        Corner(sidewall_foot(sheet.known), 0.0, Wall.BEAD_SEAT, sheet.fillet_radius_mm),
        Corner(edge, 0.0, Wall.TYRE_WELL, sheet.corner_radius_mm),
        *body.floor(sheet),
    ]
