"""The softer metal beside the weld of a hoop: where it is, what it meets, what it bears."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.profile.walls import Wall
from rimfea.study.analysis import analyse, analyse_slice
from rimfea.study.cases import BOTH_HOOKS, INFLATION, ONE_HOOK, TENSION

WELD_MPA = 115.0  # 6061-T6


@pytest.fixture(scope="module")
def welded(sheet_of):
    rim = analyse(sheet_of(joint="welded"), coarseness=1.6)
    return {answer.name: answer for answer in rim.answers}


def wall_of(verdict, name):
    return next(wall for wall in verdict.walls if wall.wall == name)


@pytest.mark.parametrize("changes", [{}, {"joint": "sleeved"}])
def test_a_hoop_not_known_to_be_welded_has_no_verdict_there(whimbrel, sheet_of, changes):
    rim = analyse(sheet_of(**changes), coarseness=1.6) if changes else whimbrel
    assert {answer.at_weld for answer in rim.answers} == {None}


@pytest.mark.long
def test_an_alloy_without_a_published_strength_beside_a_weld_has_none_there(sheet_of):
    rim = analyse(sheet_of(joint="welded", alloy="7005-T6"), coarseness=1.6)
    assert {answer.at_weld for answer in rim.answers} == {None}


def test_a_slice_has_no_joint(sheet_of):
    rim = analyse_slice(sheet_of(joint="welded"))
    assert {answer.at_weld for answer in rim.answers} == {None}


def test_the_weld_changes_nothing_of_the_rest(whimbrel, welded):
    for answer in whimbrel.answers:
        assert welded[answer.name].verdict == answer.verdict


def test_softened_metal_lies_in_the_middle_half_between_two_spokes(welded):
    half = np.pi / 32
    for answer in welded.values():
        away = [abs(wall.theta) for wall in answer.at_weld.walls]
        assert max(away) <= half / 2 + 1e-12


def test_a_load_alone_meets_the_strength_beside_the_weld(welded):
    """Nothing acts already while the spokes are tensioned."""
    for wall in welded[TENSION].at_weld.walls:
        assert wall.first_yield == pytest.approx(wall.peak_MPa / WELD_MPA, rel=1e-9)


def test_what_stands_by_is_there_at_the_weld_too(welded):
    for wall in welded[ONE_HOOK].at_weld.walls:
        assert wall.first_yield != pytest.approx(wall.growing_MPa / WELD_MPA, rel=1e-3)


@pytest.mark.parametrize("name", [ONE_HOOK, BOTH_HOOKS])
def test_a_strike_on_the_joint_does_to_the_hook_what_the_worst_one_does(welded, name):
    """Most is done close to the blow; the rest is the rim's bending between two spokes."""
    anywhere = wall_of(welded[name].verdict, Wall.BEAD_HOOK)
    at_weld = wall_of(welded[name].at_weld, Wall.BEAD_HOOK)
    assert 0.95 < at_weld.growing_MPa / anywhere.growing_MPa < 1.02
    assert at_weld.theta == pytest.approx(0, abs=0.01)


def test_the_nipple_seats_are_not_in_the_softened_metal(welded):
    """Between two spokes tension does much less to the spoke bed than under a nipple."""
    under = wall_of(welded[TENSION].verdict, Wall.NIPPLE_SEAT)
    between = wall_of(welded[TENSION].at_weld, Wall.NIPPLE_SEAT)
    assert between.peak_MPa < 0.7 * under.peak_MPa


def test_air_does_the_same_at_the_weld_as_anywhere(welded):
    everywhere = wall_of(welded[INFLATION].verdict, Wall.TYRE_WELL)
    there = wall_of(welded[INFLATION].at_weld, Wall.TYRE_WELL)
    assert there.growing_MPa == pytest.approx(everywhere.growing_MPa, rel=0.05)
