"""A section from outside as a caliper sheet: what every other question takes."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, sqrt

from rimfea.ask.trace import Traced
from rimfea.profile.fields import BY_KEY
from rimfea.profile.sheet import Sheet
from rimfea.traced.fit import Fit, fitted

LEAST_MM = 0.005  # of a tolerance
FINEST = 3  # decimals of a mm
FITS_MM = 0.03  # typical distance up to which a sheet is taken to draw the section


def sheet_of(found: Traced, **numbers: object) -> Fit:
    """The sheet whose drawing lies nearest to a section. ``numbers`` are those that no outline
    shows, by the sheet's keys; name and bead_seat_diameter_mm must be given.

    The ± of a scan, by its grey level and by how well the sheet fits, is in the sheet as the
    tolerance of every length; lengths of a drawing have that of the usual caliper. Raises
    :class:`~rimfea.errors.OutlineError` and :class:`~rimfea.errors.SheetError` as
    :func:`~rimfea.traced.fit.fitted` does.
    """
    fit = fitted(found.outline, **numbers)
    return replace(fit, sheet=_rounded(fit, found.wall_mm if found.scan else None))


def fits(fit: Fit) -> bool:
    """Whether the sheet draws the section, or only something like it."""
    return fit.typical_mm <= FITS_MM


def _rounded(fit: Fit, wall_mm: float | None) -> Sheet:
    """The lengths to a thousandth; as readings of that ± where there is one. An instrument that is
    good for ± a has the expanded uncertainty 2 a / √3.
    """
    changes: dict[str, object] = {}
    for key, expanded in fit.expanded.items():
        length = round(getattr(fit.sheet, key), FINEST)
        changes[key] = length
        if wall_mm is not None and BY_KEY[key].unit == "mm":
            good_for = max(LEAST_MM, sqrt(3) / 2 * hypot(expanded, wall_mm))
            tolerance = round(min(good_for, 1.0), FINEST)
            changes[key] = {"readings": [length, length], "tolerance_mm": tolerance}
    return fit.sheet.varied(**changes)
