"""Goodman's line, what yielding leaves of a mean, and lives compared."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.stress.fatigue import equivalent_stress, goodman, life_ratio, relaxed

METAL = {"fatigue_MPa": 95.0, "ultimate_MPa": 260.0}


def test_each_end_of_the_line_uses_up_all():
    assert goodman(np.array([95.0, 0.0]), np.array([0.0, 260.0]), **METAL) == pytest.approx(1)


def test_a_mean_in_compression_earns_nothing():
    compressed, none = goodman(np.full(2, 30.0), np.array([-200.0, 0.0]), **METAL)
    assert compressed == none


def test_one_yield_leaves_a_highest_stress_at_proof():
    amplitude = np.array([30.0, 30.0, 30.0])
    left = relaxed(np.array([100.0, 250.0, -300.0]), amplitude, 240.0)
    assert left == pytest.approx([100.0, 210.0, -300.0])


def test_equivalent_stress_is_walkers_form():
    """S_max (1 − R)^0.63 for S_max = 150 and R = −1/3."""
    assert equivalent_stress(np.array(100.0), np.array(50.0)) == pytest.approx(
        150 * (4 / 3) ** 0.63
    )


def test_without_tension_or_without_swing_nothing_tires():
    amplitude, mean = np.array([40.0, 0.0]), np.array([-60.0, 150.0])
    assert equivalent_stress(amplitude, mean) == pytest.approx(0)


def test_a_tenth_less_stress_is_nearly_three_times_the_life():
    assert life_ratio(90.0, 100.0) == pytest.approx(2.82, abs=0.005)
    assert life_ratio(100.0, 90.0) == pytest.approx(1 / life_ratio(90.0, 100.0))


@pytest.mark.parametrize("stress", [0.0, 130.0])
def test_a_life_by_itself_is_one(stress):
    assert life_ratio(stress, stress) == 1


def test_what_is_never_pulled_lasts_for_ever():
    assert life_ratio(0.0, 100.0) == np.inf
    assert life_ratio(100.0, 0.0) == 0
