"""What an answer is made of: fields that add up, angles, the share of rim, standing loads."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.elastic.loads import Pressure, SpokeTension, Strike, WheelLoad
from rimfea.stress.around import around, linearised_around
from rimfea.stress.walls import wall_stresses
from rimfea.study.analysis import analyse
from rimfea.study.cases import BOTH_HOOKS, ONE_HOOK, Loading, standard_cases
from rimfea.study.landing import landings
from rimfea.study.ring_answers import angles, ring_answers

PLACES = (0.0, 0.03, -0.4)


def on(right_share, angle=0.0):
    return Strike(2000, 20, right_share=right_share, angle=angle)


def largest(gap, of):
    return np.abs(gap).max() / np.abs(of).max()


@pytest.mark.long
def test_a_strike_on_the_left_is_the_mirror_image_of_one_on_the_right(solved):
    """In the mirror of x = 0 the shears yz stays and zx, xy change their sign."""
    lean = np.radians(20)
    (right,) = solved([on(1.0, lean)])
    (left,) = solved([on(0.0, -lean)], side="mirrored")
    for theta in PLACES:
        stress, moved = right.stress_at(theta), right.displacement_at(theta)
        assert largest(left.stress_at(theta) * [1, 1, 1, 1, -1, -1] - stress, stress) < 1e-5
        assert largest(left.displacement_at(theta) * [-1, 1, 1] - moved, moved) < 1e-5
    assert left.tension_change == pytest.approx(right.tension_change, abs=1e-3)


def test_a_strike_on_both_hooks_is_half_the_sum_of_right_and_left(solved):
    right, left, both = solved([on(1.0)], [on(0.0)], [on(0.5)])
    for theta in PLACES:
        half = (right.stress_at(theta) + left.stress_at(theta)) / 2
        assert largest(both.stress_at(theta) - half, half) < 1e-9
    half = (right.tension_change + left.tension_change) / 2
    assert both.tension_change == pytest.approx(half, rel=1e-6, abs=1e-6)


def test_loads_in_one_set_add_up(solved, looked):
    sheet = looked.sheet
    tension = SpokeTension(1000, sheet.spoke_count, sheet.spoke_hole_mm, sheet.bearing_diameter_mm)
    loads = [on(1.0), tension, Pressure(0.3, 40), WheelLoad(600, 80, 100)]
    *alone, together = solved(*([each] for each in loads), loads)
    for theta in PLACES:
        total = sum(each.stress_at(theta) for each in alone)
        assert largest(together.stress_at(theta) - total, total) < 1e-9


def test_all_answers_of_a_rim_share_one_ring(whimbrel):
    assert len({id(answer.field.ring.harmonics) for answer in whimbrel.answers}) == 1


def test_answers_keep_no_sums_that_were_only_asked_for_on_the_way(whimbrel, looked):
    ring, cases = whimbrel.built.ring, standard_cases(looked.sheet, whimbrel.loading)[:1]
    (answer,) = ring_answers(looked.sheet, looked.cuts, ring, cases)
    held = [vars(field) for field in (answer.field, answer.standing)]
    assert all(not {"weights", "_summed"} & {*each} for each in held)


def test_stress_is_that_of_all_loads_and_displacement_that_of_the_growing_one(whimbrel):
    answer = whimbrel.governing
    theta = answer.verdict.governing.theta
    own, stood = answer.field.stress_at(theta), answer.standing.stress_at(theta)
    np.testing.assert_allclose(answer.stress(), own + stood)
    np.testing.assert_array_equal(answer.displacement(), answer.field.displacement_at(theta))


@pytest.mark.long
def test_what_stands_by_takes_its_share_of_the_strength(whimbrel, sheet_of):
    """Tension and air as good as away: the growing load makes the same stress as before, but
    yields the wall later.
    """
    light = Loading(tension_N=1.0, pressure_MPa=0.01)
    bare = analyse(sheet_of(), loading=light, coarseness=1.6).governing
    for free in bare.verdict.walls:
        built = next(w for w in whimbrel.governing.verdict.walls if w.wall == free.wall)
        assert built.growing_MPa == pytest.approx(free.growing_MPa, rel=0.1)
    assert whimbrel.governing.verdict.governing.first_yield > (
        1.02 * bare.verdict.governing.first_yield
    )


@pytest.mark.long
def test_a_wall_that_yields_before_the_strike_bears_none_of_it(sheet_of):
    hard = analyse(sheet_of(), loading=Loading(tension_N=2400), coarseness=1.6)
    first = hard.governing.verdict.governing
    assert first.first_yield == np.inf
    assert hard.governing.load_at(first.first_yield) == 0
    assert hard.governing.load_at(0.0) == np.inf


@pytest.mark.long
def test_the_share_of_rim_is_between_half_the_patch_and_a_few_patches(demo):
    """A patch that rises and falls smoothly has its largest force per mm at twice the mean."""
    for rim in demo.values():
        for answer in rim.answers:
            if answer.name in (ONE_HOOK, BOTH_HOOKS):
                assert 10 <= answer.share_of_rim_mm <= 60
            else:
                assert answer.share_of_rim_mm is None


def test_a_longer_patch_is_carried_by_more_rim(whimbrel):
    longer = analyse(whimbrel.sheet, loading=Loading(patch_mm=60), coarseness=1.6)
    assert longer.governing.share_of_rim_mm > 1.5 * whimbrel.governing.share_of_rim_mm


def test_the_profile_around_the_rim_peaks_at_the_load_and_dies_away(whimbrel):
    answer = whimbrel.governing
    around = answer.around
    assert around.names == tuple(n for n in whimbrel.mesh.names if n in around.names)
    for name, stress in zip(around.names, around.stress_MPa, strict=True):
        wall = next(w for w in answer.verdict.walls if w.wall == name)
        assert stress.max() == pytest.approx(wall.growing_MPa, rel=0.25), name  # worst elsewhere
        if wall == answer.verdict.governing:
            assert stress.max() == pytest.approx(wall.growing_MPa, rel=1e-9)
    k = around.names.index(answer.verdict.governing.wall)
    far = np.abs(around.theta) > np.pi / 2
    assert around.stress_MPa[k][far].max() < 0.25 * around.stress_MPa[k].max()


SPOKES = 2 * np.pi * np.arange(28) / 28


@pytest.mark.parametrize("patch", [5.0, 20.0, 80.0])
def test_angles_rise_all_around_and_meet_the_load_and_every_spoke(patch):
    theta = angles(Strike(2000.0, patch), 311.0, SPOKES)
    assert (np.diff(theta) > 0).all()
    assert theta[[0, -1]] == pytest.approx([-np.pi, np.pi])
    assert 0.0 in theta
    missed = np.abs(np.exp(1j * SPOKES)[:, None] - np.exp(1j * theta)).min(axis=1)
    assert missed.max() < 1e-8


def test_near_a_strike_stress_is_looked_at_several_times_in_its_patch():
    theta = angles(Strike(2000.0, 20.0), 311.0, SPOKES)
    assert (np.abs(theta) <= 10.01 / 311).sum() >= 7


def test_an_answer_to_a_pressure_is_told_apart(whimbrel):
    kinds = {answer.name: answer.is_pressure for answer in whimbrel.answers}
    assert [name for name, pressure in kinds.items() if pressure] == ["inflation"]


def test_loads_scale_by_their_own_size(whimbrel):
    answer = replace(whimbrel.governing)
    assert answer.load == 2000
    assert answer.load_at(0.5) == 4000


@pytest.mark.parametrize("name", [ONE_HOOK, "spoke tension"])
def test_reach_is_as_long_as_on_angles_much_closer(whimbrel, name):
    """The arc over which the governing cut stays above half of its worst, counted finely."""
    rim = whimbrel
    answer = next(each for each in rim.answers if each.name == name)
    wall, ring, fine = answer.verdict.governing, answer.field.ring, np.linspace(-np.pi, np.pi, 6001)
    across = rim.cuts.picked(np.hypot(*(rim.cuts.start - wall.start).T) < 1e-9)
    line = linearised_around(around(across, ring), answer.field, fine)
    (found,) = (
        each
        for each in wall_stresses(
            across, line, rim.sheet.metal.proof_MPa, theta=fine, radius=ring.radius
        )
        if each.wall == wall.wall
    )
    print(f"{name}, {wall.wall}: reach {wall.reach_mm:.1f} mm, finely {found.reach_mm:.1f} mm")
    assert wall.reach_mm == pytest.approx(found.reach_mm, rel=0.02)


def test_a_rim_like_another_is_looked_at_where_that_was_decided(whimbrel):
    """The answers are then the same, from fewer places."""
    names = {ONE_HOOK, "lateral wheel test"}
    asked = [c for c in standard_cases(whimbrel.sheet, whimbrel.loading) if c.name in names]
    ring = whimbrel.built.ring
    again = ring_answers(whimbrel.sheet, whimbrel.cuts, ring, asked, like=whimbrel.answers)
    for answer in again:
        before = next(each for each in whimbrel.answers if each.name == answer.name)
        assert len(before.watched.places) < len(list(landings(answer.case)))
        for now, was in zip(answer.verdict.walls, before.verdict.walls, strict=True):
            assert (now.wall, now.first_yield, now.hinge) == (was.wall, was.first_yield, was.hinge)
