from __future__ import annotations

import math
from dataclasses import replace

import pytest

from rimfea.profile.field import Kind
from rimfea.profile.fields import FIELDS
from rimfea.profile.sheet import Sheet
from rimfea.stress.verdict import Verdict
from rimfea.study.analysis import analyse
from rimfea.vary.scales import drawn_mass_g
from rimfea.words.numbers import Units, figures
from rimfea.words.tables import (
    comparison_table,
    evidence_table,
    metal_words,
    rims_table,
    scales_table,
    section_table,
    sheet_table,
    wall_table,
    wheel_table,
    wheels_table,
)

CURLEW = {
    "name": "Curlew",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": {"readings": [25.02, 24.98, 25.0], "tolerance_mm": 0.02},
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
}
SNIPE = {
    **CURLEW,
    "name": "Snipe",
    "family": "single wall",
    "overall_depth_mm": 14,
    "weighed_mass_g": 512.4,
}
NEWTON, KILOGRAM_FORCE = Units(), Units(force="kgf", pressure="psi")


@pytest.fixture(scope="module")
def rims():
    sheets = [Sheet(values) for values in (CURLEW, {**SNIPE, "spoke_tension_N": 600.0})]
    return tuple(analyse(sheet, coarseness=1.6) for sheet in sheets)


def tables(rims, units):
    for rim in rims:
        yield from (sheet_table(rim.sheet), section_table(rim), evidence_table(rim))
        yield from (wall_table(answer, units) for answer in rim.answers)
        yield wheel_table(rim, units)
    yield from (comparison_table(rims, units), rims_table(rims))
    yield wheels_table(rims, units)


@pytest.mark.parametrize("units", [NEWTON, KILOGRAM_FORCE])
def test_no_table_has_ragged_rows_or_empty_cells(rims, units):
    for table in tables(rims, units):
        assert table.title
        assert table.rows, table.title
        for row in (table.head, *table.rows):
            assert len(row) == len(table.head), table.title
            assert all(isinstance(cell, str) and cell.strip() for cell in row), table.title


def test_marked_rows_are_rows_of_the_table(rims):
    for table in tables(rims, NEWTON):
        assert table.marked <= set(range(len(table.rows)))


def test_the_sheet_is_shown_with_every_number_it_has(rims):
    for rim in rims:
        numbers = [
            field.key
            for field in FIELDS
            if field.kind in (Kind.NUMBER, Kind.COUNT) and getattr(rim.sheet, field.key) is not None
        ]
        told = [row[0] for row in sheet_table(rim.sheet).rows]
        assert sorted(told) == sorted(numbers)
        assumed = [key in rim.sheet.assumed for key in told]
        assert assumed == sorted(assumed, reverse=True)  # what nobody measured is on top


def test_the_sheet_says_of_each_number_whether_it_was_given_read_or_assumed(rims):
    table = sheet_table(rims[0].sheet).rows
    rows = {key: (value, origin) for key, value, _, origin in table}
    assert {row[0]: row[2] for row in table}["spoke_count"] == "exact"
    assert rows["sidewall_mm"] == ("1.5 mm", "sheet")
    assert rows["inner_width_mm"] == ("25 mm", "mean of 3 readings")
    assert rows["flank_mm"] == ("1.3 mm", "assumed: as the tyre well")
    assert rows["spoke_count"] == ("32", "assumed: usual")


def test_each_wall_has_a_row_with_the_one_that_yields_first_on_top_and_marked(rims):
    for answer in rims[0].answers:
        table = wall_table(answer, NEWTON)
        assert [row[0] for row in table.rows] == [each.wall for each in answer.verdict.walls]
        assert table.marked == {0}


def test_a_row_of_a_wall_says_its_loads_stresses_and_reach_in_the_readers_units(rims):
    answer = rims[0].answers[0]
    wall = replace(
        answer.verdict.governing,
        wall="flank",
        thickness_mm=1.304,
        first_yield=1.6,
        hinge=1.25,
        membrane_MPa=-24.04,
        bending_MPa=-80.0,
        hoop_MPa=-120.0,
        reach_mm=33.6,
    )
    made = replace(answer, verdict=Verdict((wall, answer.verdict.runner_up)))
    assert wall_table(made, NEWTON).rows[0] == (
        "flank",
        "1.30",
        "1250 N",
        "1600 N",
        "-24.0 MPa",
        "80.0 MPa",
        "-120 MPa",
        "34",
    )
    shown = wall_table(made, KILOGRAM_FORCE).rows[0]
    assert shown[2:7] == ("127 kgf", "163 kgf", "-24.0 MPa", "80.0 MPa", "-120 MPa")


def test_a_wall_that_yields_before_the_load_bears_none_of_it(rims):
    answer = rims[0].answers[0]
    spent = replace(answer.verdict.governing, first_yield=math.inf, hinge=math.inf)
    made = replace(answer, verdict=Verdict((spent, answer.verdict.runner_up)))
    assert wall_table(made, NEWTON).rows[0][2:4] == ("0 N", "0 N")


def test_a_wall_that_carries_nothing_has_no_load_to_show(rims):
    answer = rims[0].answers[0]
    idle = replace(answer.verdict.runner_up, first_yield=0.0, hinge=0.0)
    made = replace(answer, verdict=Verdict((answer.verdict.governing, idle)))
    assert wall_table(made, NEWTON).rows[1][2:4] == ("-", "-")


def test_the_title_of_a_case_says_its_load_and_where_it_acts(rims):
    titles = {wall_table(answer, NEWTON).title for answer in rims[0].answers}
    assert titles == {
        "strike on one hook, 2000 N over 20 mm of rim",
        "strike on both hooks, 2000 N over 20 mm of rim",
        "spoke tension, 1000 N in each spoke",
        "inflation, 2.5 bar in a tyre 42 mm wide",
        "radial wheel test, 2500 N",
        "lateral wheel test, 250 N",
        "mountain lateral test, 370 N",
    }


def test_the_section_is_shown_in_square_metres_for_stiffness_and_grams_for_mass(rims):
    rows, rim = dict(section_table(rims[0]).rows), rims[0]
    assert rows["area"] == f"{rim.section.area_mm2:.2f} mm²"
    assert rows["centroid above the bead seat"] == f"{rim.section.centroid_mm[1]:.2f} mm"
    assert rows["EI radial"] == f"{rim.hoop.bending_stiffness_radial_N_mm2 * 1e-6:.1f} N m²"
    assert rows["GJ"] == f"{rim.hoop.torsional_stiffness_N_mm2 * 1e-6:.1f} N m²"
    assert rows["mass of the bare rim"] == f"{rim.hoop.mass_g:.0f} g"


def test_the_evidence_tells_the_mesh_and_of_each_case_its_error_and_balance(rims):
    rows, rim = dict(evidence_table(rims[0]).rows), rims[0]
    assert rows["mesh"].startswith(f"{rim.mesh.quality.triangles} six-node triangles")
    for answer in rim.answers:
        proof = answer.evidence
        told = rows[answer.name]
        assert told.startswith(f"mesh error {100 * proof.error:.1f} % (energy norm)")
        assert told.endswith(f"harmonics {proof.truncation:.0e}")


def test_rims_side_by_side_have_one_row_each_in_their_order(rims):
    for turned in (rims, rims[::-1]):
        names = [rim.sheet.name for rim in turned]
        for table in (
            comparison_table(turned, NEWTON),
            rims_table(turned),
            wheels_table(turned, NEWTON),
        ):
            assert [row[0] for row in table.rows] == names


def test_the_comparison_says_for_each_case_which_wall_governs_at_what_load(rims):
    for units, newtons in ((NEWTON, 1.0), (KILOGRAM_FORCE, 9.80665)):
        table = comparison_table(rims, units)
        for rim, row in zip(rims, table.rows, strict=True):
            for answer, head, cell in zip(rim.answers[:3], table.head[1:], row[1:], strict=True):
                wall = answer.verdict.governing
                load = figures(answer.load_at(wall.first_yield) / newtons)
                assert head.startswith(answer.name)
                assert cell == f"{wall.wall} {load} {units.force}"


def test_the_rims_as_hoops_tell_mass_and_stiffness_under_their_heads(rims):
    table = rims_table(rims)
    for rim, row in zip(rims, table.rows, strict=True):
        told = dict(zip(table.head, row, strict=True))
        assert told["mass g"] == f"{rim.hoop.mass_g:.0f}"
        assert told["EI radial N m²"] == f"{rim.hoop.bending_stiffness_radial_N_mm2 * 1e-6:.0f}"


def test_a_weighed_rim_tells_what_the_scales_say_and_how_much_more_that_is(rims):
    column = rims_table(rims).head.index("weighed g")
    more = 512.4 - rims[1].hoop.mass_g
    told = [row[column] for row in rims_table(rims).rows]
    assert told == ["-", f"512 ({more:+.0f})"]


def test_the_wheel_is_told_in_the_readers_units(rims):
    for units, newtons in ((NEWTON, 1.0), (KILOGRAM_FORCE, 9.80665)):
        wheel, rows = rims[0].wheel, dict(wheel_table(rims[0], units).rows)
        radial = f"{figures(wheel.radial_N_mm / newtons)} {units.force} per mm"
        slack = f"{figures(wheel.slack_load_N / newtons)} {units.force}"
        assert rows["radial stiffness"] == radial
        assert rows["wheel load at which a spoke goes slack"] == slack
        table = wheels_table(rims, units)
        row = dict(zip(table.head, table.rows[0], strict=True))
        assert row["slack at"] == slack
        assert row[f"radial {units.force}/mm"] == figures(wheel.radial_N_mm / newtons)


def test_a_rim_that_buckles_under_its_spokes_has_no_loads_to_compare(rims):
    soft = replace(rims[1].wheel, buckling_tension_N=500.0)
    broken = (rims[0], replace(rims[1], wheel=soft))
    for table in (comparison_table(broken, NEWTON),):
        assert set(table.rows[1][1:]) == {"the rim buckles"}
        assert "the rim buckles" not in table.rows[0]


def test_what_the_scales_tell_is_shown_of_what_they_move_the_largest_first():
    sheet = Sheet(CURLEW)
    heavy = sheet.varied(weighed_mass_g=drawn_mass_g(sheet) + 15)
    table = scales_table(heavy)
    rows = {row[0]: row[1:] for row in table.rows}
    value, moved, before, after = rows["flank_mm"]
    assert value == f"{sheet.flank_mm:g} mm"
    assert float(moved.removesuffix(" mm")) > 0
    assert float(after.removesuffix(" mm")) < float(before.removesuffix(" mm"))
    moves = [abs(float(row[2].removesuffix(" mm"))) for row in table.rows]
    assert moves == sorted(moves, reverse=True)
    assert "bead_seat_diameter_mm" not in rows


def test_an_assumed_metal_says_so_with_its_doubt_and_a_tested_one_is_told_as_it_is():
    assert metal_words(Sheet(CURLEW)) == (
        "6061-T6: proof stress 240 ± 12 MPa (k = 2), assumed: batches scatter by ±5%. With "
        "proof_MPa tested it is known better."
    )
    tested = metal_words(Sheet({**CURLEW, "proof_MPa": 260, "ultimate_MPa": 290}))
    assert tested == "6061-T6: proof stress 260 ± 9.0 MPa (k = 2)."
