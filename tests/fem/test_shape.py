"""Shape functions and quadrature."""

from __future__ import annotations

from math import factorial

import numpy as np
import pytest

from rimfea.fem.shape import (
    SIDE_PLACES,
    SIDE_WEIGHTS,
    SIX_POINTS,
    THREE_POINTS,
    shape_functions,
    shape_slopes,
    side_shape_functions,
    side_shape_slopes,
)

NODES = np.array([[0, 0], [1, 0], [0, 1], [0.5, 0], [0.5, 0.5], [0, 0.5]])
SIDE_NODES = np.array([0.0, 1.0, 0.5])
SOMEWHERE = np.random.default_rng(1).dirichlet((1, 1, 1), 20)[:, 1:]


def test_each_function_is_one_at_its_own_node_and_nought_at_the_others():
    np.testing.assert_allclose(shape_functions(NODES), np.eye(6), atol=1e-15)
    np.testing.assert_allclose(side_shape_functions(SIDE_NODES), np.eye(3), atol=1e-15)


def test_the_functions_sum_to_one_and_their_slopes_to_nought():
    np.testing.assert_allclose(shape_functions(SOMEWHERE).sum(axis=1), 1)
    np.testing.assert_allclose(shape_slopes(SOMEWHERE).sum(axis=1), 0, atol=1e-14)
    s = np.linspace(0, 1, 7)
    np.testing.assert_allclose(side_shape_functions(s).sum(axis=1), 1)
    np.testing.assert_allclose(side_shape_slopes(s).sum(axis=1), 0, atol=1e-14)


def test_slopes_are_the_derivatives_of_the_functions():
    step = 1e-4  # central differences of a quadratic are exact but for round-off
    for k, change in enumerate(np.eye(2) * step):
        ahead, behind = shape_functions(SOMEWHERE + change), shape_functions(SOMEWHERE - change)
        expected = (ahead - behind) / (2 * step)
        np.testing.assert_allclose(shape_slopes(SOMEWHERE)[..., k], expected, atol=1e-10)
    s = np.linspace(0, 1, 7)
    expected = (side_shape_functions(s + step) - side_shape_functions(s - step)) / (2 * step)
    np.testing.assert_allclose(side_shape_slopes(s), expected, atol=1e-10)


def test_the_functions_reproduce_every_quadratic():
    def quadratics(p):
        x, y = p.T
        return np.column_stack([np.ones_like(x), x, y, x * x, x * y, y * y])

    np.testing.assert_allclose(
        shape_functions(SOMEWHERE) @ quadratics(NODES), quadratics(SOMEWHERE), atol=1e-14
    )


def test_a_side_of_the_triangle_has_the_functions_of_a_side():
    s = np.linspace(0, 1, 7)
    along = shape_functions(np.column_stack([s, 0 * s]))
    np.testing.assert_allclose(along[:, [0, 1, 3]], side_shape_functions(s), atol=1e-15)
    np.testing.assert_allclose(along[:, [2, 4, 5]], 0, atol=1e-15)


@pytest.mark.parametrize(("rule", "degree"), [(THREE_POINTS, 2), (SIX_POINTS, 4)])
def test_a_rule_integrates_every_monomial_up_to_its_degree_and_no_further(rule, degree):
    xi, eta = rule.places.T

    def error(p, q):
        exact = factorial(p) * factorial(q) / factorial(p + q + 2)
        return abs((rule.weights * xi**p * eta**q).sum() - exact)

    within = [error(p, d - p) for d in range(degree + 1) for p in range(d + 1)]
    assert max(within) < 1e-16 * 10
    beyond = [error(p, degree + 1 - p) for p in range(degree + 2)]
    assert max(beyond) > 1e-6


def test_the_points_of_a_rule_lie_inside_with_positive_weights():
    for rule in (THREE_POINTS, SIX_POINTS):
        assert (rule.weights > 0).all()
        assert (rule.places > 0).all()
        assert (rule.places.sum(axis=1) < 1).all()


def test_the_side_rule_integrates_every_power_up_to_seven():
    found = [(SIDE_WEIGHTS * SIDE_PLACES**p).sum() for p in range(8)]
    np.testing.assert_allclose(found, 1 / np.arange(1, 9), rtol=1e-14)
