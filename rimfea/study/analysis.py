"""One rim from sheet to verdict, one call a stage: the page to read first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from rimfea.elastic.field import Field
from rimfea.elastic.slice import solve_slice
from rimfea.geometry.outline import Outline
from rimfea.mesh.build import mesh_outline
from rimfea.mesh.mesh import Mesh
from rimfea.profile.build import outline as drawn
from rimfea.profile.proportions import bed_face
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.section.properties import Section, section_properties
from rimfea.section.rim import Hoop, MassDifference, SpokeHoles, hoop, mass_difference
from rimfea.stress.cuts import Cuts, cuts, linearised
from rimfea.stress.verdict import Verdict, verdict
from rimfea.stress.walls import wall_stresses
from rimfea.study.cases import USUAL, Loading, standard_cases

# Smaller triangles where loads touch the rim.
UNDER_LOADS: Mapping[str, float] = MappingProxyType(
    {Wall.BEAD_HOOK: 0.6, Wall.HOOK_LIP: 0.7, Wall.NIPPLE_SEAT: 0.6}
)


@dataclass(frozen=True)
class Answer:
    """What one case does to the rim, and the verdict on it."""

    field: Field
    verdict: Verdict

    @property
    def name(self) -> str:
        """The name of the case."""
        return self.field.case.name

    @property
    def load_N(self) -> float:
        """Size of the case's leading load: the strike's force, or the tension of each spoke."""
        return self.field.case.loads[0].size_N


@dataclass(frozen=True)
class Analysis:
    """Everything known about one rim; ``answers`` holds one for each case, or none where the
    rim was only looked at.
    """

    sheet: Sheet
    outline: Outline
    mesh: Mesh
    section: Section
    hoop: Hoop
    cuts: Cuts
    loading: Loading
    answers: tuple[Answer, ...] = ()

    @property
    def governing(self) -> Answer:
        """The answer to the first of the standard cases, on which the rim's verdict rests."""
        return self.answers[0]

    @property
    def mass_difference(self) -> MassDifference | None:
        """Computed against weighed mass, if the rim was weighed."""
        weighed = self.sheet.weighed_mass_g
        return None if weighed is None else mass_difference(self.hoop, weighed)


def analyse(
    sheet: Sheet,
    *,
    loading: Loading = USUAL,
    outline: Outline | None = None,
    coarseness: float = 1.0,
) -> Analysis:
    """Draw, mesh, solve and judge one rim.

    ``outline`` replaces the one drawn from the sheet, say by a traced section whose edges are
    named; ``coarseness`` scales the triangles. Raises errors of :mod:`rimfea.errors`.
    """
    looked = inspect(sheet, outline=outline, coarseness=coarseness)
    cases = standard_cases(sheet, loading)
    answers = tuple(
        Answer(field, _verdict(sheet, looked.cuts, field))
        for field in solve_slice(looked.mesh, sheet.metal, sheet.seat_radius_mm, cases)
    )
    return replace(looked, loading=loading, answers=answers)


def inspect(sheet: Sheet, *, outline: Outline | None = None, coarseness: float = 1.0) -> Analysis:
    """Draw and mesh one rim and give its section and mass, without any load."""
    shape = drawn(sheet) if outline is None else outline
    mesh = mesh_outline(shape, coarseness=coarseness, finer=UNDER_LOADS)
    section = section_properties(shape, mesh)
    rim = hoop(section, sheet.metal, sheet.seat_radius_mm, _holes(sheet))
    across = cuts(shape, mesh, spacing=_thinnest(sheet) / 2)
    return Analysis(sheet, shape, mesh, section, rim, across, USUAL)


def _verdict(sheet: Sheet, across: Cuts, field: Field) -> Verdict:
    line = linearised(across, field.stress)
    return verdict(wall_stresses(across, line, sheet.metal.proof_MPa))


def _thinnest(sheet: Sheet) -> float:
    return min(sheet.thickness(wall) for wall in sheet.walls)


def _holes(sheet: Sheet) -> SpokeHoles:
    seat = sheet.nipple_seat_mm
    middle = bed_face(sheet.known) + seat / 2
    return SpokeHoles(sheet.spoke_count, sheet.spoke_hole_mm, seat, middle)
