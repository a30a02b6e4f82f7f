"""Loads spread around the rim, as harmonics."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.elastic import patches

N = np.arange(0, 4000)
THETA = np.linspace(-np.pi, np.pi, 1440, endpoint=False)
HALF = 0.4


def around(amplitudes, theta=THETA):
    """The load per radian that amplitudes stand for."""
    n = np.arange(len(amplitudes))
    return (amplitudes @ np.exp(1j * np.outer(n, theta))).real


def smooth(theta, half):
    inside = np.abs(theta) < half
    return np.where(inside, (1 + np.cos(np.pi * theta / half)) / (2 * half), 0.0)


@pytest.mark.parametrize("half", [0.003, 0.4, 3.0])
def test_a_patch_has_a_total_of_one(half):
    step = 2 * np.pi / len(THETA)
    assert around(patches.smooth(N[:700], half)).sum() * step == pytest.approx(1.0)


def test_a_constant_load_is_alike_all_around_with_a_total_of_one():
    np.testing.assert_allclose(around(patches.constant(N[:50])), 1 / (2 * np.pi))


def test_a_smooth_patch_is_a_raised_cosine():
    np.testing.assert_allclose(around(patches.smooth(N, HALF)), smooth(THETA, HALF), atol=1e-6)


def test_a_smooth_patch_falls_as_the_third_power_of_the_harmonic():
    n = np.arange(1, 20000)
    steep = np.abs(patches.smooth(n, HALF)) * n**3.0
    assert steep[-1000:].max() == pytest.approx(steep[2000:3000].max(), rel=0.01)


def test_a_smooth_patch_has_a_finite_amplitude_where_its_formula_is_nought_by_nought():
    """At nα = π the harmonic is that of the cosine itself: half of what a point load has."""
    n = np.array([9, 10, 11])
    q = patches.smooth(n, np.pi / 10)
    assert q[1] == pytest.approx(1 / (2 * np.pi))
    assert q[0] > q[1] > q[2]


@pytest.mark.parametrize("angle", [0.7, -2.0])
def test_turned_moves_a_load_around(angle):
    moved = around(patches.smooth(N, HALF) * patches.turned(N, angle))
    gap = (THETA - angle + np.pi) % (2 * np.pi) - np.pi
    np.testing.assert_allclose(moved, smooth(gap, HALF), atol=1e-6)
