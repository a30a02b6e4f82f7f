"""What a little more metal at one wall buys and costs."""

from __future__ import annotations

from dataclasses import dataclass

from rimfea.elastic.harmonics import ONE_DENSE_THREAD
from rimfea.errors import OutlineError, SheetError
from rimfea.profile.fields import BY_KEY
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.answer import built_ring, ring_answers
from rimfea.study.cases import usual_lacing
from rimfea.vary.variant import Variants

STEP_MM = 0.1


@dataclass(frozen=True)
class Thicker:
    """A wall thickened by ``step_mm``: the case's load at first yield changes by the factor
    ``strength``, the mass by ``mass_g``; ``governing`` names the wall that then yields first.
    Where what stands by was too much before, ``strength`` is infinite, or NaN if it still is.

    On the mesh and the cuts of the rim as it was, moved along, so that no other mesh is seen.
    """

    wall: Wall
    step_mm: float
    strength: float
    mass_g: float
    governing: str


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def thicker(analysis: Analysis, wall: Wall, *, step_mm: float = STEP_MM) -> Thicker | None:
    """Thicken one wall and judge the rim again under its governing case, or None where the
    thicker wall clashes with the rest of the sheet.
    """
    case, sheet = analysis.governing, analysis.sheet
    try:
        other = _looked(analysis, thickened(sheet, wall, step_mm))
    except SheetError:
        return None
    lacing = analysis.lacing or usual_lacing(sheet, analysis.loading)
    ring = built_ring(other.sheet, other.mesh, analysis.loading, lacing, [case.case])
    (answer,) = ring_answers(other.sheet, other.cuts, ring, [case.case])
    before, after = case.verdict.governing.first_yield, answer.verdict.governing
    return Thicker(
        wall=wall,
        step_mm=step_mm,
        strength=before / after.first_yield,
        mass_g=other.hoop.mass_g - analysis.hoop.mass_g,
        governing=after.wall,
    )


def _looked(analysis: Analysis, sheet: Sheet) -> Analysis:
    """The sheet on the mesh of the rim that was analysed, or, where that was not drawn from its
    sheet, on one of its own.
    """
    try:
        return Variants(analysis).inspect(sheet).analysis
    except OutlineError:
        return inspect(sheet)


def thickened(sheet: Sheet, wall: Wall, step_mm: float) -> Sheet:
    """The sheet with that wall thicker and everything else as it was."""
    grown = {each.key_mm: sheet.thickness(each) + step_mm for each in _one_with(sheet, wall)}
    return altered(sheet, **grown)


def altered(sheet: Sheet, **changes: float) -> Sheet:
    """The sheet with those numbers changed and everything else, assumed or not, as it was."""
    kept = {
        key: getattr(sheet, key)
        for key in sheet.assumed
        if BY_KEY[key].used_by(sheet.family) and getattr(sheet, key) is not None
    }
    return sheet.varied(**{**kept, **changes})


def _one_with(sheet: Sheet, wall: Wall) -> tuple[Wall, ...]:
    """The walls that are one piece with this one: a seat without a pad is the spoke bed."""
    bed = (Wall.SPOKE_BED, Wall.NIPPLE_SEAT)
    return bed if wall in bed and not sheet.pad_step_mm else (wall,)
