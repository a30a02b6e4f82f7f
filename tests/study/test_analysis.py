"""From sheet to verdict: what must hold whatever the rim."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.errors import LoadError
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.walls import Wall
from rimfea.study.analysis import analyse, analyse_slice, inspect
from rimfea.study.cases import BOTH_HOOKS, INFLATION, ONE_HOOK, TENSION, USUAL, Loading
from tests.often import few

COARSE = 1.6


@pytest.fixture(scope="module", params=few(DRAWN))
def rim(request, sheet_of):
    return analyse(sheet_of(request.param), coarseness=COARSE)


def test_every_case_has_a_verdict_on_every_wall(rim):
    assert [each.name for each in rim.answers][:4] == [ONE_HOOK, BOTH_HOOKS, TENSION, INFLATION]
    for answer in rim.answers:
        assert {each.wall for each in answer.verdict.walls} == set(rim.sheet.walls)


def test_the_verdict_rests_on_the_strike_on_one_hook_of_a_built_and_inflated_wheel(rim):
    case = rim.governing.case
    assert case.name == ONE_HOOK
    assert [each.size for each in case.standing] == [rim.sheet.spoke_tension_N, USUAL.pressure_MPa]


def test_every_answer_is_in_balance_and_says_how_good_it_is(rim):
    for answer in rim.answers:
        assert answer.evidence.reaction < 1e-5
        assert answer.evidence.residual < 5e-3
        assert answer.evidence.truncation < 5e-3
        assert 0 < answer.evidence.error < 0.2


@pytest.mark.long
def test_twice_the_strike_is_twice_the_utilisation_and_the_rest_stays(rim):
    double = replace(rim.loading, strike_N=2 * rim.loading.strike_N)
    again = analyse(rim.sheet, loading=double, coarseness=COARSE)
    for once, twice in zip(rim.answers, again.answers, strict=True):
        factor = 2 if once.name in (ONE_HOOK, BOTH_HOOKS) else 1
        for before, after in zip(once.verdict.walls, twice.verdict.walls, strict=True):
            assert after.wall == before.wall
            assert after.first_yield == pytest.approx(factor * before.first_yield, rel=1e-9)
            assert after.hinge == pytest.approx(factor * before.hinge, rel=1e-9)


def test_the_governing_wall_yields_exactly_at_its_load(whimbrel):
    """The strike at first yield on top of what acts already makes the proof stress in that wall."""
    wall = whimbrel.governing.verdict.governing
    loading = Loading(strike_N=whimbrel.governing.load_at(wall.first_yield))
    struck = analyse(whimbrel.sheet, loading=loading, coarseness=COARSE).governing
    assert struck.verdict.governing.wall == wall.wall
    assert struck.verdict.governing.first_yield == pytest.approx(1, rel=1e-9)
    assert struck.verdict.governing.peak_MPa == pytest.approx(
        whimbrel.sheet.metal.proof_MPa, rel=1e-9
    )


@pytest.mark.long
def test_a_traced_section_takes_the_place_of_the_drawn_one(whimbrel, sheet_of):
    other = sheet_of(sidewall_mm=2.0)
    traced = analyse(other, outline=whimbrel.outline, coarseness=COARSE)
    assert traced.section.area_mm2 == pytest.approx(whimbrel.section.area_mm2)


@pytest.mark.long
@pytest.mark.parametrize("family", DRAWN)
def test_a_thicker_sidewall_never_yields_at_a_lower_load(sheet_of, family):
    """Both hooks struck straight on, the outer face where it was: the wall grows inward."""
    struck = []
    for sidewall in (1.2, 1.5, 1.8):
        lip = sidewall + 1.1 if family is Family.HOOKLESS else 2.9
        sheet = sheet_of(family, sidewall_mm=sidewall, hook_lip_mm=lip)
        answers = analyse(sheet, coarseness=COARSE).answers
        struck.append(_utilisation(answers, BOTH_HOOKS, Wall.SIDEWALL))
    assert struck == sorted(struck, reverse=True), struck


def _utilisation(answers, case, wall):
    verdict = next(each for each in answers if each.name == case).verdict
    return next(each.first_yield for each in verdict.walls if each.wall == wall)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"strike_N": 0.0}, "force"),
        ({"strike_N": float("nan")}, "force"),
        ({"patch_mm": -1.0}, "length of rim"),
        ({"patch_mm": float("nan")}, "length of rim"),
        ({"patch_mm": 3000.0}, "longer than the rim goes round"),
        ({"tension_N": 0.0}, "tension"),
        ({"tension_N": -5.0}, "tension"),
        ({"angle": 1.5}, "allowed -75 to 75"),
        ({"pressure_MPa": 0.0}, "tyre pressure"),
        ({"tyre_width_mm": -30.0}, "tyre width"),
        ({"wheel_N": 0.0}, "force on the wheel"),
        ({"contact_mm": float("inf")}, "contact patch"),
    ],
)
def test_a_loading_that_cannot_be_is_refused(sheet_of, change, told):
    with pytest.raises(LoadError, match=told):
        analyse(sheet_of(), loading=replace(Loading(), **change), coarseness=2)


def test_a_look_needs_no_load_and_knows_the_weighed_mass(sheet_of, looked):
    weighed = inspect(sheet_of(weighed_mass_g=500), coarseness=2)
    assert weighed.answers == ()
    assert weighed.wheel is None
    difference = weighed.mass_difference
    assert difference is not None
    assert difference.absolute_g == pytest.approx(weighed.hoop.mass_g - 500)
    assert looked.mass_difference is None


def test_a_slice_answers_the_strikes_and_tension_alone_without_a_wheel(sheet_of):
    sliced = analyse_slice(sheet_of())
    assert [each.name for each in sliced.answers] == [BOTH_HOOKS, ONE_HOOK, TENSION]
    assert sliced.wheel is None
    for answer in sliced.answers:
        assert answer.case.standing == ()
        assert answer.around is None
        assert answer.evidence.reaction < 1e-8
        np.testing.assert_array_equal(answer.stress(), answer.field.stress)


def test_a_slice_racks_under_one_hook_and_misses_the_bending_of_the_hook_along_the_rim(
    sheet_of, whimbrel
):
    sliced = {each.name: each for each in analyse_slice(sheet_of()).answers}[ONE_HOOK]
    alone = {each.wall: each.growing_MPa for each in sliced.verdict.walls}
    ring = {each.wall: each.growing_MPa for each in whimbrel.governing.verdict.walls}
    for racked in (Wall.BEAD_SEAT, Wall.TYRE_WELL, Wall.FLANK):
        assert alone[racked] > 1.5 * ring[racked]
    assert alone[Wall.BEAD_HOOK] < 0.5 * ring[Wall.BEAD_HOOK]


@pytest.mark.long
def test_a_rim_buckles_from_the_tension_that_its_wheel_says(demo, whimbrel):
    assert not whimbrel.buckles
    assert not demo["wheatear"].buckles
    most = demo["wheatear"].wheel.buckling_tension_N
    sheet = demo["wheatear"].sheet
    for factor, expected in ((0.95, False), (1.05, True)):
        loading = Loading(tension_N=factor * most)
        assert analyse(sheet, loading=loading, coarseness=COARSE).buckles == expected


def test_a_rim_only_looked_at_has_no_verdict_and_is_short_to_print(looked):
    with pytest.raises(LoadError, match="only looked at"):
        _ = looked.governing
    assert len(repr(looked)) < 100
