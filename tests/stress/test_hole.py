"""Stress at the edge of a hole from that of the wall without it."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.stress.hole import (
    bending_factor,
    edge_stress,
    far_factor,
    given_way,
    narrowness,
    tension_factor,
)

WIDE = np.array([1e9, 1e9])
NONE = np.zeros(2)
SIZES = (4.5, np.array([14.0, 60.0]), 2.5)


@pytest.mark.parametrize(
    ("membrane", "edge"),
    [((1, 0), (3, -1)), ((0, 1), (-1, 3)), ((1, 1), (2, 2)), ((1, -1), (4, -4))],
)
def test_in_a_wide_plate_membrane_stress_is_that_of_kirsch_on_both_faces(membrane, edge):
    found = edge_stress(np.array(membrane, float), NONE, 4.5, WIDE, 2.5)
    assert found == pytest.approx((*edge, *edge), abs=5e-3)


@pytest.mark.parametrize("t", [0.01, 1.0, 100.0])
def test_bending_alike_in_all_directions_doubles_at_any_thickness(t):
    found = edge_stress(NONE, np.ones(2), 4.5, WIDE, t)
    assert found == pytest.approx((2, 2, -2, -2), rel=1e-6)


def test_a_thick_plate_bends_like_a_stack_of_pulled_plates():
    found = edge_stress(NONE, np.array([1.0, 0.0]), 4.5, WIDE, 1e4)
    assert found == pytest.approx((3, -1, -3, 1), abs=0.03)


def test_edge_stress_is_linear_in_membrane_and_bending():
    one, other, m, b = np.random.default_rng(3).normal(size=(4, 5, 2))
    whole = edge_stress(2 * one + m, 2 * other + b, *SIZES)
    parts = 2 * edge_stress(one, other, *SIZES) + edge_stress(m, b, *SIZES)
    assert whole.shape == (5, 4)
    np.testing.assert_allclose(whole, parts, rtol=1e-12, atol=1e-12)


def test_what_is_called_direction_1_does_not_matter():
    d, H, t = SIZES
    m, b = np.array([-60.0, 5.0]), np.array([110.0, 90.0])
    turned = edge_stress(m[::-1], b[::-1], d, H[::-1], t)
    assert turned == pytest.approx(edge_stress(m, b, d, H, t)[[1, 0, 3, 2]])


def test_a_strip_is_narrow_only_for_what_runs_through_it():
    """The width between holes around the rim does not change what pull around the rim does."""
    pull = np.array([1.0, 0.0])
    narrow, wide = (
        edge_stress(pull, pull, 4.5, np.array([14.0, other]), 2.5) for other in (20.0, 200.0)
    )
    assert narrow == pytest.approx(wide)


def test_all_factors_grow_as_the_strip_narrows():
    ratio = np.linspace(0.05, 0.5, 10)
    for factor in (tension_factor, narrowness):
        assert (np.diff(factor(ratio)) > 0).all()
    assert (np.diff(far_factor(ratio)) < 0).all()


def test_a_thinner_plate_has_the_smaller_bending_factor():
    assert (np.diff([bending_factor(ratio) for ratio in (0.1, 0.5, 1, 2, 4, 8)]) < 0).all()


@pytest.mark.parametrize("angle", [0.0, 0.3, np.pi / 4])
@pytest.mark.parametrize("principal", [(1.0, 0.0), (1.0, 1.0), (2.0, -1.0)])
def test_a_hole_gives_way_by_the_work_on_its_edge(principal, angle):
    """Work of the stress far away on the edge of Kirsch's hole, E = a = 1, by the hole's area."""
    theta = np.linspace(0, 2 * np.pi, 1000, endpoint=False)
    out = np.stack([np.cos(theta), np.sin(theta)])
    (p, q) = principal
    moved = np.stack([(3 * p - q) * out[0], (3 * q - p) * out[1]])
    work = (p * out[0] * moved[0] + q * out[1] * moved[1]).mean() * 2 * np.pi / np.pi
    middle, half = (p + q) / 2, (p - q) / 2
    c, s = half * np.cos(2 * angle), half * np.sin(2 * angle)
    assert given_way(*map(np.array, (middle + c, middle - c, s))) == pytest.approx(work)
