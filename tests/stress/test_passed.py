"""What comes through a cut, of forces made by hand; on a rim it is in tests/ask/test_why.py."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.stress.passed import passed, resultant

RADIUS = 300.0
THETA = np.linspace(-0.6, 0.6, 2401)
ALL_ROUND = np.linspace(-np.pi, np.pi, 3600, endpoint=False)


def bump(at_mm, wide_mm, force_N):
    """A force per radian of that sum, a raised cosine over so many mm of rim."""
    s = RADIUS * THETA - at_mm
    height = 2 * force_N / wide_mm * RADIUS
    return np.where(np.abs(s) < wide_mm / 2, height / 2 * (1 + np.cos(2 * np.pi * s / wide_mm)), 0)


def test_a_force_that_comes_through_in_one_place_is_all_of_it_and_densest_in_the_middle():
    found = passed(bump(4, 40, 1000), THETA, RADIUS)
    assert found.force_N == pytest.approx(1000, rel=1e-3)
    assert found.densest_N_mm == pytest.approx(1000 / 20, rel=1e-3)


def test_what_pulls_back_beside_it_and_what_comes_at_the_next_spoke_are_not_of_it():
    beside = bump(0, 40, 1000) - bump(60, 60, 300) + bump(-100, 40, 700)
    assert passed(beside, THETA, RADIUS).force_N == pytest.approx(1000, rel=1e-3)
    risen = bump(0, 60, 1000) + bump(45, 60, 1500)
    assert passed(risen, THETA, RADIUS).force_N < 1100


def test_nothing_comes_through_where_all_pulls_outward():
    assert passed(-bump(0, 40, 1000), THETA, RADIUS).force_N == 0
    assert passed(-bump(0, 40, 1000), THETA, RADIUS).densest_N_mm == 0


def test_forces_all_around_are_summed_in_the_directions_of_the_place_of_the_load():
    """A force that points down everywhere is outward below and inward above."""
    cos, sin = np.cos(ALL_ROUND), np.sin(ALL_ROUND)
    down = np.stack([np.full_like(cos, 2.0), -3.0 * cos, 3.0 * sin], axis=1)
    assert resultant(down, ALL_ROUND) == pytest.approx(2 * np.pi * np.array([2.0, -3.0, 0.0]))
    even = np.stack([np.zeros_like(cos), np.ones_like(cos), np.zeros_like(cos)], axis=1)
    assert resultant(even, ALL_ROUND) == pytest.approx([0, 0, 0], abs=1e-9)
