"""What yielding leaves of a mean, and what swings are compared by."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.stress.fatigue import relaxed, with_mean


def test_one_yield_leaves_a_highest_stress_at_proof():
    amplitude = np.array([30.0, 30.0, 30.0])
    left = relaxed(np.array([100.0, 250.0, -300.0]), amplitude, 240.0)
    assert left == pytest.approx([100.0, 210.0, -300.0])


def test_without_tension_or_without_swing_nothing_tires():
    amplitude, mean = np.array([40.0, 0.0]), np.array([-60.0, 150.0])
    assert with_mean(amplitude, mean) == pytest.approx(0)


def test_a_swing_about_nought_counts_as_its_amplitude():
    assert with_mean(np.array([25.0]), np.array([0.0])) == pytest.approx(25.0)
