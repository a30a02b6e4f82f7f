from __future__ import annotations

import numpy as np
import pytest

from rimfea.elastic.loads import WheelLoad
from rimfea.elastic.spokes import Lacing, spokes
from rimfea.errors import LoadError
from rimfea.study.cases import (
    ELLIPSE,
    MOUNTAIN_TEST,
    STATIC_TESTS,
    USUAL,
    Loading,
    bearing_of,
    inflation,
    laced,
    slice_cases,
    spoke_tension,
    standard_cases,
    usual_lacing,
    wheel_test,
)

# JIS D 9301:2019 5.5.1.3 and JIS D 9302:2019: radial and lateral static wheel tests, N.
PUBLISHED = {
    "radial wheel test": (2500.0, 0.0, STATIC_TESTS),
    "lateral wheel test": (0.0, 250.0, STATIC_TESTS),
    "mountain lateral test": (0.0, 370.0, MOUNTAIN_TEST),
}


def test_a_case_from_a_standard_names_it_and_has_its_load(sheet_of):
    told = {}
    for case in standard_cases(sheet_of(), USUAL):
        if case.source:
            (load,) = case.loads
            assert isinstance(load, WheelLoad)
            told[case.name] = (load.force_N, load.side_N, case.source)
    assert told == PUBLISHED


def test_the_standards_are_named_by_number_and_section():
    assert STATIC_TESTS.startswith("JIS D 9301:2019 5.5.1.3")
    assert MOUNTAIN_TEST.startswith("JIS D 9302:2019")


def test_everything_but_tension_and_inflation_meets_a_built_and_inflated_wheel(sheet_of):
    cases = {case.name: case for case in standard_cases(sheet_of(), USUAL)}
    built = cases["strike on one hook"].standing
    assert cases["spoke tension"].standing == ()
    assert cases["inflation"].standing == built[:1]
    for name in ("strike on both hooks", *PUBLISHED):
        assert cases[name].standing == built


def test_what_is_asked_for_comes_before_what_the_sheet_says(sheet_of):
    sheet = sheet_of(spoke_tension_N=1200)
    assert spoke_tension(sheet, USUAL).tension_N == 1200
    assert spoke_tension(sheet, Loading(tension_N=900)).tension_N == 900
    assert usual_lacing(sheet, USUAL).tension_N == 1200
    assert usual_lacing(sheet, Loading(tension_N=900)).tension_N == 900


def test_a_sheet_that_does_not_say_has_a_thousand_newtons_of_tension(sheet_of):
    assert spoke_tension(sheet_of(), USUAL).tension_N == 1000


def test_a_tyre_that_suits_has_a_rim_of_six_tenths_of_its_width(sheet_of):
    """ISO 5775-1 (secondary): rim width about 65 % of narrow tyres, 55 % of wide ones."""
    sheet = sheet_of(inner_width_mm=24)
    assert inflation(sheet, USUAL).tyre_width_mm == pytest.approx(40)
    assert inflation(sheet, Loading(tyre_width_mm=47)).tyre_width_mm == 47


def test_a_slice_is_asked_the_same_loads_with_nothing_standing_by(sheet_of):
    whole = {case.name: case for case in standard_cases(sheet_of(), USUAL)}
    for case in slice_cases(sheet_of(), USUAL):
        assert case.loads == whole[case.name].loads
        assert case.standing == ()


@pytest.mark.parametrize("diameter", [406, 622])
@pytest.mark.parametrize("count", range(8, 73))
def test_any_number_of_spokes_has_a_usual_lacing_or_a_clear_error(sheet_of, count, diameter):
    if count % 2:
        with pytest.raises(LoadError, match=f"spokes = {count}: a wheel needs an even number"):
            Lacing(count, 1000.0, crossings=0)
        return
    sheet = sheet_of(spoke_count=count, bead_seat_diameter_mm=diameter)
    lacing = usual_lacing(sheet, USUAL)
    assert lacing.count == count
    assert 0 <= lacing.crossings <= 3
    assert lacing.crossings * 8 <= count, "past a right angle at the hub"
    assert (lacing.crossings == 0) or count % 4 == 0


def test_usual_wheels_are_laced_as_builders_do(sheet_of):
    usual = {
        (count, diameter): usual_lacing(
            sheet_of(spoke_count=count, bead_seat_diameter_mm=diameter), USUAL
        ).crossings
        for count, diameter in ((36, 622), (32, 622), (28, 622), (24, 559), (36, 406), (30, 622))
    }
    assert list(usual.values()) == [3, 3, 2, 2, 2, 0]


def test_a_harder_tyre_bears_on_less_rim_and_never_on_a_length_that_was_only_assumed(sheet_of):
    """2500 N pressed through a footprint: the force is pressure times its area, an ellipse of half
    axes √(2 R δ) and √(2 ρ δ).
    """
    sheet = sheet_of()
    for pressure in (0.25, 0.5):
        loading = Loading(pressure_MPa=pressure, tyre_width_mm=42.0)
        found = wheel_test(sheet, loading, 2500.0)
        half = found.patch_mm / ELLIPSE / 2
        R, rho = sheet.seat_radius_mm + 42.0, 21.0
        area = np.pi * half * np.sqrt(2 * rho * half**2 / 2 / R)
        assert pressure * area == pytest.approx(2500.0)
    assert found.patch_mm < wheel_test(sheet, Loading(pressure_MPa=0.25), 2500.0).patch_mm


def test_the_spokes_of_a_rim_run_to_its_nipple_seats(sheet_of):
    """On the circle of its ERD, where that is as drawn, and beside the middle."""
    lacing = Lacing(32, 1000.0, right_mm=18.0, left_mm=36.0)
    sheet = sheet_of(spoke_bed_offset_mm=-2.0)
    found = laced(sheet, lacing)
    np.testing.assert_allclose(found.direction, spokes(lacing, sheet.erd_mm / 2, -2.0).direction)
    assert bearing_of(sheet) == (sheet.spoke_hole_mm, sheet.nipple_head_mm, -2.0)
