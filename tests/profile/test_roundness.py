from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.profile.roundness import GOOD_SPREAD_MM, roundness
from rimfea.profile.values import Readings

MEAN = 597.0
counts = st.integers(6, 20)
ovals = st.tuples(st.floats(0, 0.5), st.floats(0, math.pi))


def diameters(n, radius_waves=(), mean=MEAN):
    """Diameters at n places over half a turn of a hoop whose radius has the waves (number,
    amplitude, angle of a crest).
    """
    places = np.pi * np.arange(n) / n

    def radius(angle):
        waves = (a * np.cos(m * (angle - crest)) for m, a, crest in radius_waves)
        return sum(waves, start=np.full(n, mean / 2))

    return radius(places) + radius(places + np.pi)


def found(d, tolerance=None):
    return roundness(Readings(tuple(map(float, d)), tolerance))


def bumped(d, step):
    return d + step * np.eye(1, len(d))[0]


@pytest.mark.parametrize("n", [4, 5, 6, 9, 16])
def test_a_known_oval_is_found_with_its_direction(n):
    oval = found(diameters(n, [(2, 0.08, 0.7)])).ovality
    assert oval.amplitude_mm == pytest.approx(0.08)
    assert oval.angle == pytest.approx(0.7)


def test_mean_and_spread_are_those_of_the_readings():
    seen = found([597.1, 596.9, 597.3, 596.7])
    assert seen.mean_mm == pytest.approx(597.0)
    assert seen.spread_mm == pytest.approx(0.6)


@pytest.mark.parametrize("wave", [1, 3, 5])
def test_a_diameter_is_blind_to_odd_waves_of_the_radius(wave):
    assert found(diameters(8, [(wave, 0.3, 0.2)])).spread_mm == pytest.approx(0, abs=1e-9)


def test_four_bulges_are_no_oval():
    assert found(diameters(8, [(4, 0.2, 0.3)])).ovality.amplitude_mm == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("step", [0.25, -0.25])
@pytest.mark.parametrize("n", [6, 8, 12])
def test_a_bump_at_the_joint_is_told_from_the_oval_it_sits_on(n, step):
    rough = 0.01 * np.cos(5.0 * np.arange(n) ** 2)
    seen = found(bumped(diameters(n, [(2, 0.1, 0.7)]) + rough, step), 0.03)
    assert seen.joint.stands_out
    assert seen.joint.step_mm == pytest.approx(step, abs=0.05)
    assert seen.ovality.amplitude_mm == pytest.approx(0.1, abs=0.01)


@pytest.mark.parametrize("place", range(1, 8))
def test_a_bump_elsewhere_is_not_the_joint(place):
    assert not found(np.roll(bumped(diameters(8), 0.3), place), 0.03).joint.stands_out


def test_the_step_is_the_distance_from_the_fit_to_the_other_readings():
    d = diameters(9) + 0.1 * np.cos(3.0 * np.arange(9) ** 2)
    turn = 2 * np.pi * np.arange(9) / 9
    design = np.column_stack([np.ones(9), np.cos(turn), np.sin(turn)])
    fit, squares, *_ = np.linalg.lstsq(design[1:], d[1:], rcond=None)
    joint = found(d, 1e-9).joint
    assert joint.step_mm == pytest.approx(d[0] - design[0] @ fit)
    lever = design[0] @ np.linalg.inv(design[1:].T @ design[1:]) @ design[0]
    student = 2.6487  # 95.45 % at 9 - 1 - 3 degrees of freedom
    assert joint.limit_mm == pytest.approx(
        student * math.sqrt(squares[0] / 5 * (1 + lever)), rel=1e-4
    )


@given(counts, ovals, st.integers(0, 2**32 - 1), st.floats(0.005, 0.2))
def test_no_oval_read_within_the_tolerance_is_blamed_on_its_joint(n, oval, seed, tolerance):
    error = np.random.default_rng(seed).choice([-tolerance, tolerance], n) * (1 - 1e-9)
    assert not found(diameters(n, [(2, *oval)]) + error, tolerance).joint.stands_out


@given(counts, ovals, st.floats(-0.5, 0.5))
def test_neither_oval_nor_size_moves_the_step_at_the_joint(n, oval, step):
    oval_hoop = diameters(n, [(2, *oval)], mean=560.0)
    for hoop in (diameters(n), oval_hoop):
        assert found(bumped(hoop, step)).joint.step_mm == pytest.approx(step, abs=1e-9)


def test_scatter_of_good_hoops_is_seldom_blamed_on_the_joint():
    """At the confidence of k = 2 about one round hoop in twenty-two stands out by chance."""
    chance = np.random.default_rng(7).normal(0, 0.1, (2000, 6))
    blamed = sum(found(MEAN + d, 1e-9).joint.stands_out for d in chance)
    assert 0.03 < blamed / 2000 < 0.06


def test_a_coarse_instrument_sees_no_small_bump():
    d = bumped(diameters(8), 0.1)
    assert found(d, 0.02).joint.stands_out
    assert not found(d, 0.1).joint.stands_out


def test_an_error_made_everywhere_alike_cancels():
    d = bumped(diameters(8, [(2, 0.05, 0.3)]), 0.3)
    one, other = found(d), found(d + 0.4)
    assert one.joint.step_mm == pytest.approx(other.joint.step_mm)
    assert one.ovality.amplitude_mm == pytest.approx(other.ovality.amplitude_mm)


@pytest.mark.parametrize(
    ("n", "wanting"), [(2, ["oval", "joint"]), (3, ["oval", "joint"]), (5, ["joint"]), (6, [])]
)
def test_what_too_few_readings_cannot_show_is_said(n, wanting):
    seen = found(diameters(n))
    assert (seen.ovality is None) == ("oval" in wanting)
    assert (seen.joint is None) == ("joint" in wanting)
    assert len(seen.wanting) == len(wanting)
    pairs = zip(wanting, seen.wanting, strict=True)
    assert all(what in reason and str(n) in reason for what, reason in pairs)


def test_a_good_hoop_varies_by_less_than_half_a_millimetre():
    assert GOOD_SPREAD_MM == 0.5
    assert found([597.0, 597.4]).good
    assert not found([597.0, 597.6]).good
