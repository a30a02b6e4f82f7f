"""From a caliper sheet to the outline of its section.

Axes: x across the rim, y outward from the bead seat. The right half is walked from the spoke
bed up the outside, over the crown and down the tyre side to the middle; the left half is drawn in
the same way, with its own spoke bed if that lies to one side, and mirrored.
"""

from __future__ import annotations

from dataclasses import replace

from rimfea.errors import Fault, OutlineError, SheetError
from rimfea.geometry.corner import Corner, joined
from rimfea.geometry.outline import Outline
from rimfea.geometry.rounded import rounded
from rimfea.profile.proportions import Known, ridge_foot, ridge_height, ridge_top, sidewall_foot
from rimfea.profile.sheet import Sheet
from rimfea.profile.thickened import thickened
from rimfea.profile.walls import Wall


def outline(sheet: Sheet) -> Outline:
    """The section drawn from the sheet's numbers, or traced; every edge named after its wall.

    Raises :class:`~rimfea.errors.SheetError` when the numbers fit no closed section.
    """
    try:
        if sheet.section is not None:
            return thickened(sheet.section, sheet.known.numbers)
        halves = (replace(sheet.known, side=side) for side in (1, -1))
        outer, *holes = (
            rounded(joined(right, left, between))
            for (right, between), (left, _) in zip(
                *(_rings(sheet, half) for half in halves), strict=True
            )
        )
        return Outline(outer, tuple(holes))
    except OutlineError as error:
        problem = f"these dimensions do not close to a section: {error}"
        remedy = "look for a number that belongs to another rim, or a slip of the decimal point"
        raise SheetError([Fault("", problem, remedy=remedy)], sheet.name) from error


def _rings(sheet: Sheet, half: Known) -> list[tuple[list[Corner], Wall]]:
    """One half of every ring, the outer one first, with the name of what joins it to the other."""
    return [(_outer_half(sheet, half), Wall.NIPPLE_SEAT), *sheet.family.body.holes(sheet, half)]


def _outer_half(sheet: Sheet, half: Known) -> list[Corner]:
    head, body = sheet.family.head, sheet.family.body
    edge, height = ridge_top(sheet.known), ridge_height(sheet.known)
    return [
        *body.bed(sheet, half),
        Corner(sheet.outer_width_mm / 2, 0.0, Wall.SIDEWALL),
        *head.corners(sheet),
        Corner(sidewall_foot(sheet.known), 0.0, Wall.BEAD_SEAT, sheet.fillet_radius_mm),
        *_ridge(sheet),
        Corner(edge, height, Wall.TYRE_WELL, sheet.corner_radius_mm),
        *body.floor(sheet),
    ]


def _ridge(sheet: Sheet) -> list[Corner]:
    """The ridge that keeps the bead, beside the tyre well: its foot and the edge of its top."""
    foot, height = ridge_foot(sheet.known), ridge_height(sheet.known)
    if not height:
        return []
    return [
        Corner(foot, 0.0, Wall.BEAD_SEAT, sheet.fillet_radius_mm),
        Corner(foot - height, height, Wall.BEAD_SEAT, sheet.corner_radius_mm),
    ]
