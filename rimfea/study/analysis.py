"""One rim from sheet to verdict, one call a stage: the page to read first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import radians
from types import MappingProxyType

from rimfea.elastic.harmonics import ONE_DENSE_THREAD
from rimfea.elastic.loads import Case
from rimfea.elastic.ring import Ring
from rimfea.elastic.ring_field import RingField, solve_loads
from rimfea.elastic.spokes import Lacing
from rimfea.elastic.wheel import Wheel, wheel
from rimfea.errors import LoadError
from rimfea.fem.solve import solvable
from rimfea.geometry.outline import Outline
from rimfea.mesh.build import mesh_outline
from rimfea.mesh.mesh import Mesh
from rimfea.profile.build import outline as drawn
from rimfea.profile.erd import DiameterDifference, diameter_difference
from rimfea.profile.proportions import bed_face
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.section.properties import Section, section_properties
from rimfea.section.rim import Hoop, MassDifference, SpokeHoles, hoop, mass_difference
from rimfea.stress.cuts import Cuts, cuts
from rimfea.study.answer import Answer, slice_answers, with_share_of_rim
from rimfea.study.cases import (
    USUAL,
    Loading,
    inflation,
    leaning,
    slice_cases,
    standard_cases,
    standing,
    usual_lacing,
    wheel_load,
)
from rimfea.study.ring_answers import Start, built_ring, ring_answers

# Smaller triangles where loads touch the rim.
UNDER_LOADS: Mapping[str, float] = MappingProxyType(
    {Wall.BEAD_HOOK: 0.6, Wall.HOOK_LIP: 0.7, Wall.NIPPLE_SEAT: 0.6}
)

FAN = (-radians(20.0), radians(20.0))  # from which a strike may also come; common practice


@dataclass(frozen=True)
class Analysis:
    """Everything known about one rim; ``answers``, ``wheel`` and the field ``built`` of tension and
    air are empty where the rim was only looked at.
    """

    sheet: Sheet
    outline: Outline
    mesh: Mesh
    section: Section
    hoop: Hoop
    cuts: Cuts
    loading: Loading
    lacing: Lacing | None = None
    answers: tuple[Answer, ...] = ()
    wheel: Wheel | None = None
    built: RingField | None = None

    @property
    def governing(self) -> Answer:
        """The answer to the first of the standard cases, on which the rim's verdict rests. Raises
        :class:`~rimfea.errors.LoadError` for a rim that was only looked at.
        """
        if not self.answers:
            raise LoadError(f"{self.sheet.name} was only looked at: analyse it for a verdict")
        return self.answers[0]

    def __repr__(self) -> str:
        """The rim and how much is known of it; all its numbers would fill a book."""
        asked = f"{len(self.answers)} cases" if self.answers else "only looked at"
        return f"<Analysis of {self.sheet.name}: {self.hoop.mass_g:.0f} g, {asked}>"

    @property
    def buckles(self) -> bool:
        """Whether the spokes pull harder than the rim bears sideways: nothing else said of it
        then holds.
        """
        if self.wheel is None or self.lacing is None:
            return False
        return self.lacing.tension_N >= self.wheel.buckling_tension_N

    @property
    def ring(self) -> Ring | None:
        """The ring that was solved, if any was."""
        return self.built.ring if self.built else None

    @property
    def only_looked_at(self) -> Analysis:
        """The same as if nothing had been solved."""
        return replace(self, lacing=None, answers=(), wheel=None, built=None)

    @property
    def mass_g(self) -> float:
        """Of the bare rim: what the scales say, else the drawing."""
        weighed = self.sheet.weighed_mass_g
        return self.hoop.mass_g if weighed is None else weighed

    @property
    def mass_difference(self) -> MassDifference | None:
        """Computed against weighed mass, if the rim was weighed."""
        weighed = self.sheet.weighed_mass_g
        return None if weighed is None else mass_difference(self.hoop, weighed)

    @property
    def diameter_difference(self) -> DiameterDifference | None:
        """Measured against drawn ERD, if it was measured."""
        return diameter_difference(self.sheet)


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def analyse(
    sheet: Sheet,
    *,
    loading: Loading = USUAL,
    lacing: Lacing | None = None,
    outline: Outline | None = None,
    coarseness: float = 1.0,
    beside: Analysis | None = None,
) -> Analysis:
    """Draw, mesh, solve the whole ring on its spokes, and judge one rim.

    ``lacing`` says how the wheel is built, as usual if None; ``outline`` replaces the one drawn
    from the sheet, say by a traced section whose edges are named; ``coarseness`` scales the
    triangles. ``beside`` is an analysis of the same rim in another wheel, whose drawing and mesh
    are taken, and whose ring is a start. Raises errors of :mod:`rimfea.errors`.
    """
    if beside:
        looked = beside.only_looked_at
    else:
        looked = inspect(sheet, outline=outline, coarseness=coarseness)
    laced, cases = lacing or usual_lacing(sheet, loading), standard_cases(sheet, loading)
    whole = solved(looked, loading, laced, cases, beside.ring if beside else None, fan=FAN)
    alone = slice_answers(sheet, looked.mesh, looked.cuts, slice_cases(sheet, loading))
    shared = tuple(with_share_of_rim(each, alone) for each in whole.answers)
    return replace(whole, answers=shared)


@solvable()
def solved(
    looked: Analysis,
    loading: Loading,
    lacing: Lacing,
    cases: Sequence[Case],
    start: Start | None = None,
    buckles: tuple[int, float] | None = None,
    fan: Sequence[float] = (),
    like: Sequence[Answer] = (),
) -> Analysis:
    """A rim that was looked at, on its spokes under these cases; for ``start`` see
    :func:`rimfea.study.ring_answers.built_ring`, for ``buckles``
    :func:`rimfea.elastic.wheel.wheel`, for ``fan`` and ``like``
    :func:`rimfea.study.ring_answers.ring_answers`.
    """
    sheet, rider = looked.sheet, wheel_load(loading)
    ring = ring_for(looked, loading, lacing, cases, start, fan)
    (built,) = solve_loads(ring, [standing(sheet, loading)])
    return replace(
        looked,
        loading=loading,
        lacing=lacing,
        answers=ring_answers(sheet, looked.cuts, ring, cases, () if like else fan, like),
        wheel=wheel(ring, rider, inflation(sheet, loading), buckles),
        built=built,
    )


def ring_for(
    looked: Analysis,
    loading: Loading,
    lacing: Lacing,
    cases: Sequence[Case],
    start: Start | None = None,
    fan: Sequence[float] = (),
) -> Ring:
    """The ring that answers these cases, the first leaning too, and what is asked of the wheel; see
    :func:`solved`.
    """
    rider = wheel_load(loading)
    aside = Case("the wheel's own stiffness", (replace(rider, side_N=rider.force_N),))
    wanted = [*cases, *(leaning(cases[0], angle) for angle in fan), aside]
    return built_ring(looked.sheet, looked.mesh, loading, lacing, wanted, start)


@solvable()
def analyse_slice(
    sheet: Sheet, *, loading: Loading = USUAL, outline: Outline | None = None
) -> Analysis:
    """The same questions put to a plane slice, for teaching: no rim beside it spreads a strike."""
    looked = inspect(sheet, outline=outline)
    answers = slice_answers(sheet, looked.mesh, looked.cuts, slice_cases(sheet, loading))
    return replace(looked, loading=loading, answers=answers)


@solvable()
def inspect(sheet: Sheet, *, outline: Outline | None = None, coarseness: float = 1.0) -> Analysis:
    """Draw and mesh one rim and give its section and mass, without any load."""
    shape = drawn(sheet) if outline is None else outline
    mesh = mesh_outline(shape, coarseness=coarseness, finer=UNDER_LOADS)
    section = section_properties(shape, mesh)
    rim = whole(sheet, section)
    across = cuts(shape, mesh, spacing=_thinnest(sheet) / 2)
    return Analysis(sheet, shape, mesh, section, rim, across, USUAL)


def whole(sheet: Sheet, section: Section) -> Hoop:
    """The section swept round, drilled and joined."""
    drilled, joint = spoke_holes(sheet), sheet.joint_mass_g
    return hoop(section, sheet.metal, sheet.seat_radius_mm, drilled, joint)


def _thinnest(sheet: Sheet) -> float:
    return min(sheet.thickness(wall) for wall in sheet.walls)


def spoke_holes(sheet: Sheet) -> SpokeHoles:
    """What drilling takes from the hoop."""
    seat = sheet.nipple_seat_mm
    middle = bed_face(sheet.known) + seat / 2
    return SpokeHoles(sheet.spoke_count, sheet.spoke_hole_mm, seat, middle)
