"""The tables of a report, as rows of text: one source for terminal, page and paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from jinja2 import Environment

from rimfea.elastic.loads import Pressure, SpokeTension, Strike
from rimfea.profile.field import Field, Kind
from rimfea.profile.fields import BY_KEY, FIELDS
from rimfea.profile.roundness import roundness
from rimfea.profile.sheet import Sheet
from rimfea.profile.trace import Trace
from rimfea.profile.uncertainty import COVERAGE, Uncertainty, of_proof, uncertainties
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.study.cases import BOTH_HOOKS, ONE_HOOK, TENSION
from rimfea.vary.known import known as known_of
from rimfea.words.analyse import (
    NOTICED_MM,
    joint_words,
    load_words,
    wall_load,
)
from rimfea.words.numbers import CAUTION, Units, figures, in_stress, length

NARROWER = 0.9
FINEST_MM = 0.001  # of a length in a sheet
MAIN_CASES = (ONE_HOOK, BOTH_HOOKS, TENSION)
HTML = Environment(autoescape=True, trim_blocks=True).from_string("""\
<table>
<caption>{{ table.title }}</caption>
<tr>{% for name in table.head %}<th>{{ name }}</th>{% endfor %}</tr>
{% for row in table.rows %}
<tr{% if loop.index0 in table.marked %} style="font-weight: bold"{% endif %}>
{%- for cell in row %}<td>{{ cell }}</td>{% endfor %}</tr>
{% endfor %}
</table>
<p>{{ caution }}</p>
""")


@dataclass(frozen=True)
class Table:
    """A title, the heads of the columns, and rows of ready text; ``marked`` rows stand out. A
    notebook shows it as a table, ``print`` in columns, both with the caution.
    """

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    marked: frozenset[int] = frozenset()

    def __repr__(self) -> str:
        return f"<Table of {len(self.rows)} rows: {self.title[:80]}>"

    def __str__(self) -> str:
        lines = (self.head, *self.rows)
        widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
        cells = ([cell.ljust(w) for cell, w in zip(row, widths, strict=True)] for row in lines)
        return "\n".join([self.title, *("  ".join(row).rstrip() for row in cells), CAUTION])

    def _repr_html_(self) -> str:
        return HTML.render(table=self, caution=CAUTION)


def sheet_table(sheet: Sheet) -> Table:
    """What was understood of a sheet, and where each number comes from; what nobody measured is on
    top.
    """
    known, rows = uncertainties(sheet), []
    for field in FIELDS:
        value = getattr(sheet, field.key)
        if field.kind in (Kind.NUMBER, Kind.COUNT) and value is not None:
            shown = f"{_as_known(sheet, field.key, known)} {field.unit}".rstrip()
            rows.append((field.key, shown, _doubt(known, field), _origin(sheet, field.key)))
    rows.sort(key=lambda row: row[0] not in sheet.assumed)
    return Table("What the sheet says", ("key", "value", "± (k = 2)", "from"), tuple(rows))


def assumed_words(sheet: Sheet) -> str:
    """How much of a sheet nobody measured, and what to do."""
    numbers = [
        field.key
        for field in FIELDS
        if field.key in sheet.assumed and field.kind in (Kind.NUMBER, Kind.COUNT)
    ]
    if not numbers:
        return "Every number was given."
    return (
        f"{len(numbers)} numbers were not measured: they stand on top. Measure those with a large "
        "± first."
    )


def metal_words(sheet: Sheet) -> str:
    """How strong the metal is taken to be, and how well that is known."""
    proof, doubt = sheet.metal.proof_MPa, of_proof(sheet)
    told = (
        f"{sheet.alloy}: proof stress {length(proof)} ± {figures(doubt.expanded(), 2)} MPa (k = 2)"
    )
    if doubt.measured:
        return f"{told}."
    return f"{told}, assumed: {doubt.basis}. With proof_MPa tested it is known better."


def scales_table(sheet: Sheet) -> Table:
    """What weighing tells, and the tones that were heard: the lengths that they move, or leave in
    less doubt.
    """
    sure, known, rows = known_of(sheet), uncertainties(sheet), []
    scales = sure.weighed
    before = COVERAGE * scales.lengths.standard
    doubt, moved = sure.conditioned(scales.lengths)
    after = COVERAGE * doubt.standard
    for k in np.argsort(-np.abs(moved)):
        if abs(moved[k]) >= NOTICED_MM or after[k] < NARROWER * before[k]:
            key = scales.keys[k]
            unit = BY_KEY[key].unit
            own = _as_known(sheet, key, known)
            told = (f"{own} {unit}", f"{moved[k]:+.2f} {unit}")
            rows.append((key, *told, *(f"{figures(u[k], 2)} {unit}" for u in (before, after))))
    by = "the scales and the tones" if sure.hears else "the scales"
    head = ("key", "sheet", "moved by", "± (k = 2)", f"± with {by}")
    return Table(f"What {by} tell of the lengths", head, tuple(rows))


def round_words(sheet: Sheet) -> list[str]:
    """How round the hoop is, if its diameter was read around the rim."""
    readings = sheet.readings.get("erd_mm")
    if readings is None:
        return []
    found = roundness(readings)
    told = [
        f"Around the rim the ERD varies by {found.spread_mm:.2f} mm"
        + (", as in a good hoop." if found.good else ": a good hoop stays below 0.5 mm.")
    ]
    if found.ovality:
        told.append(f"Oval by ±{found.ovality.amplitude_mm:.2f} mm of the radius.")
    if found.joint and found.joint.stands_out:
        told.append(f"The joint stands out by {found.joint.step_mm:+.2f} mm: look at it.")
    return [*told, *found.wanting]


def _as_known(sheet: Sheet, key: str, known: Mapping[str, Uncertainty]) -> str:
    """A number as it was written; a mean or an assumption no finer than it is known."""
    value, doubt = getattr(sheet, key), known.get(key)
    if doubt is None or not (key in sheet.readings or key in sheet.assumed):
        return length(value)
    return length(value, doubt.expanded())


def _doubt(known: Mapping[str, Uncertainty], field: Field) -> str:
    doubt = known.get(field.key)
    if doubt is None:
        return "-"
    return f"{figures(doubt.expanded(), 2)} {field.unit}" if doubt.parts else "exact"


def wall_table(answer: Answer, units: Units) -> Table:
    """Every wall under one case, the one that yields first on top."""
    rows = tuple(
        (
            wall.wall,
            f"{wall.thickness_mm:.2f}",
            wall_load(answer, wall.first_yield, units),
            wall_load(answer, wall.hinge, units),
            in_stress(wall.membrane_MPa),
            in_stress(abs(wall.bending_MPa)),
            in_stress(wall.hoop_MPa),
            f"{wall.reach_mm:.0f}" if answer.around else "-",
        )
        for wall in answer.verdict.walls
    )
    load = load_words(answer, 1.0, units)
    title = f"{answer.name}, {load}{_how(answer)}"
    head = (
        "wall",
        "cut mm",
        "first yield at",
        "set from",
        "membrane",
        "bending",
        "around rim",
        "reaches mm",
    )
    return Table(title, head, rows, frozenset({0}))


def wheel_table(analysis: Analysis, units: Units) -> Table:
    """The built wheel: stiffness, the spokes under the rider, buckling."""
    wheel = analysis.wheel
    if wheel is None:
        return Table("Wheel", ("property", "value"), ())
    lowest = units.in_force(float(wheel.tension_change_N.min()))
    load = units.in_force(analysis.loading.wheel_N)
    rows = (
        ("radial stiffness", f"{_stiffness(wheel.radial_N_mm, units)} per mm"),
        (
            "the same with even bedding",
            f"{_stiffness(wheel.radial_smeared_N_mm, units)} per mm",
        ),
        ("lateral stiffness", f"{_stiffness(wheel.lateral_N_mm, units)} per mm"),
        ("torsional stiffness, rim to hub", f"{wheel.torsional_N_m_rad / 1000:.1f} kN m per rad"),
        (f"change of the lowest spoke's tension under a wheel load of {load}", lowest),
        ("wheel load at which a spoke goes slack", units.in_force(wheel.slack_load_N)),
        ("tension lost by inflation", f"{100 * wheel.inflation_loss:.1f} %"),
        (
            "spoke tension at which the rim buckles sideways",
            f"{units.in_force(wheel.buckling_tension_N)} ({wheel.buckling_waves} waves)",
        ),
    )
    return Table("Wheel", ("property", "value"), rows)


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
        ("mass of the bare rim", f"{rim.mass_g:.0f} g{joint_words(analysis)}"),
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
        proof = answer.evidence
        told = (
            f"mesh error {100 * proof.error:.1f} % (energy norm), equations {proof.residual:.0e}, "
            f"left over {proof.reaction:.0e}, harmonics {proof.truncation:.0e}"
        )
        rows.append((answer.name, told))
    return Table("Evidence", ("check", "result"), tuple(rows))


def comparison_table(analyses: Sequence[Analysis], units: Units) -> Table:
    """Rims side by side: for the main cases the wall that governs, and its load at first yield."""
    shown = [k for k, each in enumerate(analyses[0].answers) if each.name in MAIN_CASES]
    cases = [analyses[0].answers[k].name for k in shown]
    rows = tuple(
        (each.sheet.name, *(_governed(each, k, units) for k in shown)) for each in analyses
    )
    title = "Which wall gives first, and at what load it first yields"
    return Table(title, ("rim", *cases), rows)


def wheels_table(analyses: Sequence[Analysis], units: Units) -> Table:
    """Rims side by side as built wheels."""
    force = units.force
    head = (
        "rim",
        f"radial {force}/mm",
        f"lateral {force}/mm",
        "slack at",
        "buckles at a tension of",
    )
    rows = tuple(
        (
            each.sheet.name,
            figures(each.wheel.radial_N_mm / units.force_N),
            figures(each.wheel.lateral_N_mm / units.force_N),
            units.in_force(each.wheel.slack_load_N),
            units.in_force(each.wheel.buckling_tension_N),
        )
        for each in analyses
        if each.wheel
    )
    return Table("The rims as wheels", head, rows)


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


def _stiffness(value_N_mm: float, units: Units) -> str:
    return f"{figures(value_N_mm / units.force_N)} {units.force}"


def _weighed(analysis: Analysis) -> str:
    check = analysis.mass_difference
    return "-" if check is None else f"{check.weighed_g:.0f} ({-check.absolute_g:+.0f})"


def _governed(analysis: Analysis, case: int, units: Units) -> str:
    if analysis.buckles:
        return "the rim buckles"
    answer = analysis.answers[case]
    wall = answer.verdict.governing
    return f"{wall.wall} {load_words(answer, wall.first_yield, units)}"


def _how(answer: Answer) -> str:
    match answer.case.loads[0]:
        case Strike(patch_mm=patch):
            return f" over {patch:g} mm of rim"
        case SpokeTension():
            return " in each spoke"
        case Pressure(tyre_width_mm=width):
            return f" in a tyre {width:.0f} mm wide"
        case _:
            return ""


def _origin(sheet: Sheet, key: str) -> str:
    if key in sheet.assumed:
        note = BY_KEY[key].within(sheet.family).default_note
        return "guessed in the sheet" if key in sheet.guessed else f"assumed: {note}"
    if key in sheet.readings:
        return f"mean of {len(sheet.readings[key].values)} readings"
    return "the section" if sheet.section and _as_traced(sheet, sheet.section, key) else "sheet"


def _as_traced(sheet: Sheet, section: Trace, key: str) -> bool:
    if not BY_KEY[key].used_by(sheet.family):
        return True
    return abs(section.sizes.get(key, inf) - getattr(sheet, key)) < FINEST_MM
