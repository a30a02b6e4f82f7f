"""The numbers that rims are compared by."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rimfea.strike.ladder import Event
from rimfea.study.outcome import BY_KEY, OUTCOMES, outcomes
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import datum

MOOR = Setup.from_values({"name": "moor"})


@pytest.fixture(scope="module")
def ridden(sheet_of):
    return datum(sheet_of(), MOOR, End.REAR, coarseness=2.0).ride


def test_every_outcome_has_a_key_of_its_own_and_says_which_way_is_better():
    assert list(BY_KEY.values()) == list(OUTCOMES)
    assert {each.better for each in OUTCOMES} == {1, -1}
    assert len({each.title for each in OUTCOMES}) == len(OUTCOMES)


def test_outcomes_come_in_the_order_of_the_table(ridden):
    assert list(outcomes(ridden)) == [each.key for each in OUTCOMES]


def test_what_a_rim_is_asked_to_bear_is_better_the_more_it_is():
    strengths = [each for each in OUTCOMES if each.strength]
    assert {each.better for each in strengths} == {1}
    assert {each.unit for each in strengths} == {"N"}
    assert [each.key for each in OUTCOMES[:2]] == ["mass_g", "yield_N"]


def test_first_yield_and_set_are_those_of_their_own_case(ridden):
    found = outcomes(ridden)
    one, both = ridden.analysis.answers[:2]
    for answer, name in ((one, ""), (both, "_both")):
        verdict = answer.verdict
        assert found[f"yield{name}_N"] == answer.load_at(verdict.governing.first_yield)
        assert found[f"set{name}_N"] == answer.load_at(max(w.hinge for w in verdict.walls))
    assert found["yield_both_N"] > found["yield_N"]


def test_the_rest_are_read_off_the_ride(ridden):
    found = outcomes(ridden)
    wheel, window = ridden.analysis.wheel, ridden.window
    expected = {
        "mass_g": ridden.analysis.hoop.mass_g,
        "drop_mm": ridden.ladder.drop_mm(Event.YIELD),
        "squeeze_MPa": ridden.squeeze.peak_MPa,
        "hole_amplitude_MPa": ridden.seat.amplitude_MPa,
        "most_tension_N": window.highest.tension_N,
        "least_tension_N": window.lowest.tension_N,
        "radial_N_mm": wheel.radial_N_mm,
        "lateral_N_mm": wheel.lateral_N_mm,
    }
    assert {key: found[key] for key in expected} == expected


def test_cases_are_found_by_name_and_not_by_place(ridden):
    turned = replace(
        ridden, analysis=replace(ridden.analysis, answers=ridden.analysis.answers[::-1])
    )
    assert outcomes(turned) == outcomes(ridden)
