"""The effective rim diameter (ERD) that was measured, beside the one that the section draws."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rimfea.profile.defaults import effective_rim_diameter
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import AS_DRAWN, COVERAGE, uncertainties

_PER_MM = {
    "bead_seat_diameter_mm": 1.0,
    "hook_height_mm": 2.0,
    "overall_depth_mm": 2.0,
    "nipple_seat_mm": 2.0,
}


@dataclass(frozen=True)
class DiameterDifference:
    """Both ERDs, mm, each with its expanded uncertainty (k = 2)."""

    sheet_mm: float
    sheet_expanded_mm: float
    drawn_mm: float
    drawn_expanded_mm: float

    @property
    def agree(self) -> bool:
        """Whether the two differ by no more than their uncertainties leave open together."""
        open_mm = math.hypot(self.sheet_expanded_mm, self.drawn_expanded_mm)
        return abs(self.sheet_mm - self.drawn_mm) <= open_mm


def diameter_difference(sheet: Sheet) -> DiameterDifference | None:
    """The measured ERD against the drawn one; None where nobody measured it."""
    if "erd_mm" in sheet.assumed:
        return None
    known = uncertainties(sheet)
    own = (known[key].standard * factor for key, factor in _PER_MM.items())
    return DiameterDifference(
        sheet_mm=sheet.erd_mm,
        sheet_expanded_mm=known["erd_mm"].expanded(),
        drawn_mm=drawn_diameter_mm(sheet),
        drawn_expanded_mm=COVERAGE * math.hypot(AS_DRAWN.standard, *own),
    )


def drawn_diameter_mm(sheet: Sheet) -> float:
    """The ERD that depth, hook height and nipple seat make."""
    return effective_rim_diameter(sheet.known)
