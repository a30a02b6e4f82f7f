"""A section from outside as a caliper sheet: what every other question takes."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from math import hypot, sqrt
from types import MappingProxyType

from rimfea.ask.trace import Traced, as_traced
from rimfea.errors import OutlineError, SheetError
from rimfea.geometry.outline import Outline
from rimfea.profile.build import outline as drawn
from rimfea.profile.families import Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.traced.arcs import arced
from rimfea.traced.as_traced import trace_of
from rimfea.traced.fit import Fit, fitted
from rimfea.traced.like import Boxes, agreement, in_boxes, named_like, with_ramps

LEAST_MM = 0.005  # of a tolerance
FINEST = 3  # decimals of a mm
NO_BOXES: Boxes = MappingProxyType({})
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


@dataclass(frozen=True)
class Rated:
    """What a section from outside is to every other question: a ``sheet`` that draws it, or one
    that keeps it as it was traced; the ``fit`` of the sheet whose drawing lies nearest, if any
    could be drawn. Of walls that were named on the trace, the share of their length on which both
    ways of naming them agree.
    """

    sheet: Sheet
    fit: Fit | None
    named_alike: Mapping[Wall, float]

    @property
    def outline(self) -> Outline:
        """The section with named edges."""
        return drawn(self.sheet)


def rated(
    found: Traced, boxes: Boxes = NO_BOXES, *, as_traced: bool = False, **numbers: object
) -> Rated:
    """The sheet whose drawing lies nearest to a section; where that is not near enough, or with
    ``as_traced``, a sheet that keeps the outline, its walls named after that drawing's, and last by
    the ``boxes`` in which a builder says they are. ``numbers`` as for :func:`sheet_of`.

    Raises :class:`~rimfea.errors.OutlineError` and :class:`~rimfea.errors.SheetError` where no
    walls can be told apart.
    """
    fit: Fit | None = None
    with suppress(SheetError, OutlineError):
        fit = sheet_of(found, **numbers)
        if fits(fit) and not as_traced:
            return Rated(fit.sheet, fit, {})
    plain = arced(found.outline)
    by_place = _by_place(plain, numbers)
    named = named_like(plain, fit.sheet) if fit else by_place
    alike = agreement(named, by_place) if named is not None and by_place is not None else {}
    if named is None:
        raise OutlineError("the walls cannot be told apart")
    section = trace_of(with_ramps(in_boxes(named, boxes)))
    wall_mm = found.wall_mm if found.scan else None
    walls = {
        wall.key_mm: _reading(section.sizes[wall.key_mm], 0.0, wall_mm)
        for wall in Wall
        if wall.key_mm in section.sizes
    }
    own = {"family": Family.TRACED, "section": section}
    return Rated(Sheet({**own, **walls, **numbers}), fit, alike)


def _by_place(plain: Outline, numbers: Mapping[str, object]) -> Outline | None:
    """The section with its walls named by where they lie."""
    with suppress(SheetError, OutlineError):
        return drawn(as_traced(plain, **numbers))
    return None


def fits(fit: Fit) -> bool:
    """Whether the sheet draws the section, or only something like it."""
    return fit.typical_mm <= FITS_MM


def _rounded(fit: Fit, wall_mm: float | None) -> Sheet:
    """The lengths to a thousandth; as readings of that ± where there is one. An instrument that is
    good for ± a has the expanded uncertainty 2 a / √3.
    """
    changes: dict[str, object] = {}
    for key, expanded in fit.expanded.items():
        is_read = BY_KEY[key].unit == "mm"
        changes[key] = _reading(getattr(fit.sheet, key), expanded, wall_mm if is_read else None)
    return fit.sheet.varied(**changes)


def _reading(mm: float, expanded: float, wall_mm: float | None) -> object:
    """A length to a thousandth; with the ± of a scan's grey level as readings of that ±."""
    length = round(mm, FINEST)
    if wall_mm is None:
        return length
    good_for = max(LEAST_MM, sqrt(3) / 2 * hypot(expanded, wall_mm))
    return {"readings": [length, length], "tolerance_mm": round(min(good_for, 1.0), FINEST)}
