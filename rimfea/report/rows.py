"""The tables of a report, as rows of text: one source for terminal, page and paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimfea.profile.fields import FIELDS, Kind
from rimfea.profile.sheet import Sheet
from rimfea.report.words import Units, figures
from rimfea.study.analysis import Analysis, Answer


@dataclass(frozen=True)
class Table:
    """A title, the heads of the columns, and rows of ready text; ``marked`` rows stand out."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    marked: frozenset[int] = frozenset()


def sheet_table(sheet: Sheet) -> Table:
    """What was understood of a sheet, and where each number comes from."""
    rows = []
    for field in FIELDS:
        value = getattr(sheet, field.key)
        if field.kind in (Kind.NUMBER, Kind.COUNT) and value is not None:
            rows.append((field.key, f"{value:g} {field.unit}".rstrip(), _origin(sheet, field.key)))
    return Table("What the sheet says", ("key", "value", "from"), tuple(rows))


def wall_table(analysis: Analysis, answer: Answer, units: Units) -> Table:
    """Every wall under one case, the one that yields first on top."""
    rows = tuple(
        (
            wall.wall,
            f"{wall.thickness_mm:.2f}",
            _load_at(wall.first_yield, answer, units),
            _load_at(wall.hinge, answer, units),
            units.in_pressure(wall.membrane_MPa),
            units.in_pressure(abs(wall.bending_MPa)),
            f"{100 * wall.first_yield:.0f} %",
        )
        for wall in answer.verdict.walls
    )
    title = f"{answer.name}, {units.in_force(answer.load_N)}{_how(analysis, answer)}"
    head = ("wall", "cut mm", "first yield at", "hinge at", "membrane", "bending", "used")
    return Table(title, head, rows, frozenset({0}))


def section_table(analysis: Analysis) -> Table:
    """Section properties and what they make of the rim."""
    section, rim = analysis.section, analysis.hoop
    in_plane, across = section.principal_moments_mm4
    rows = (
        ("area", f"{section.area_mm2:.2f} mm²"),
        ("centroid above the bead seat", f"{section.centroid_mm[1]:.2f} mm"),
        ("shear centre above the bead seat", f"{section.shear_centre_mm[1]:.2f} mm"),
        ("second moment, radial bending", f"{section.second_moment_radial_mm4:.0f} mm⁴"),
        ("second moment, lateral bending", f"{section.second_moment_lateral_mm4:.0f} mm⁴"),
        ("principal moments", f"{in_plane:.0f} and {across:.0f} mm⁴"),
        ("torsion constant", f"{section.torsion_constant_mm4:.0f} mm⁴"),
        ("warping constant", f"{figures(section.warping_constant_mm6)} mm⁶"),
        ("EI radial", f"{rim.bending_stiffness_radial_N_mm2 / 1e6:.1f} N m²"),
        ("EI lateral", f"{rim.bending_stiffness_lateral_N_mm2 / 1e6:.1f} N m²"),
        ("GJ", f"{rim.torsional_stiffness_N_mm2 / 1e6:.1f} N m²"),
        ("mass of the bare rim", f"{rim.mass_g:.0f} g"),
        ("polar moment of inertia", f"{rim.polar_inertia_kg_m2:.4f} kg m²"),
    )
    return Table("Section", ("property", "value"), rows)


def evidence_table(analysis: Analysis) -> Table:
    """Why to trust the numbers, or not: mesh, balance, error estimate."""
    mesh = analysis.mesh.quality
    rows = [
        ("mesh", f"{mesh.triangles} six-node triangles, {mesh.across} or more across every wall"),
        ("smallest angle", f"{mesh.smallest_angle_deg:.1f}°"),
        ("area against the outline", f"{mesh.area_error:.0e} relative"),
    ]
    for answer in analysis.answers:
        proof = answer.field.evidence
        told = (
            f"error estimate {100 * proof.error:.1f} % (energy norm), residual "
            f"{proof.residual:.0e}, pins carry {proof.reaction:.0e} of the load"
        )
        rows.append((answer.name, told))
    return Table("Evidence", ("check", "result"), tuple(rows))


def comparison_table(analyses: Sequence[Analysis], units: Units) -> Table:
    """Rims side by side: for each case the wall that governs, and its load at first yield."""
    cases = [f"{each.name}, first yield" for each in analyses[0].answers]
    rows = tuple(
        (each.sheet.name, *(_governed(answer, units) for answer in each.answers))
        for each in analyses
    )
    return Table("Which wall gives first, and at what load", ("rim", *cases), rows)


def rims_table(analyses: Sequence[Analysis]) -> Table:
    """Rims side by side as hoops: mass against the scale, and stiffness."""
    head = ("rim", "area mm²", "mass g", "weighed g", "EI radial N m²", "EI lateral", "GJ")
    rows = tuple(
        (
            each.sheet.name,
            f"{each.section.area_mm2:.1f}",
            f"{each.hoop.mass_g:.0f}",
            _weighed(each),
            f"{each.hoop.bending_stiffness_radial_N_mm2 / 1e6:.0f}",
            f"{each.hoop.bending_stiffness_lateral_N_mm2 / 1e6:.0f}",
            f"{each.hoop.torsional_stiffness_N_mm2 / 1e6:.0f}",
        )
        for each in analyses
    )
    return Table("The rims as hoops", head, rows)


def _weighed(analysis: Analysis) -> str:
    check = analysis.mass_difference
    return "-" if check is None else f"{check.weighed_g:.0f} ({-check.absolute_g:+.0f})"


def _governed(answer: Answer, units: Units) -> str:
    wall = answer.verdict.governing
    return f"{wall.wall} {_load_at(wall.first_yield, answer, units)}"


def _load_at(used: float, answer: Answer, units: Units) -> str:
    return units.in_force(answer.load_N / used) if used else "-"


def _how(analysis: Analysis, answer: Answer) -> str:
    if answer.name.startswith("strike"):
        return f" over {analysis.loading.patch_mm:g} mm of rim"
    return " in each spoke"


def _origin(sheet: Sheet, key: str) -> str:
    if key in sheet.assumed:
        return f"assumed: {next(f.default_note for f in FIELDS if f.key == key)}"
    if key in sheet.readings:
        return f"mean of {len(sheet.readings[key].values)} readings"
    return "sheet"
