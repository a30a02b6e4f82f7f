"""Nodal values from values inside the elements, and the error estimate."""

from __future__ import annotations

import numpy as np

from rimfea.fem.elements import elements
from rimfea.fem.recover import estimate, recovered
from rimfea.fem.shape import THREE_POINTS


def quadratic(points):
    """Two quadratic fields (..., 2)."""
    x, y = points[..., 0], points[..., 1]
    return np.stack([3 - x + 2 * x * y + y * y, 1 + 4 * y - 2 * x * x], axis=-1)


def test_a_quadratic_field_is_reproduced_in_every_node_on_the_boundary_too(plate):
    sampled = elements(plate.nodes, plate.triangles, THREE_POINTS)
    found = recovered(plate.nodes, sampled, quadratic(sampled.points))
    np.testing.assert_allclose(found, quadratic(plate.nodes), atol=1e-9)


def test_moving_and_scaling_the_body_changes_nothing(plate):
    sampled = elements(plate.nodes, plate.triangles, THREE_POINTS)
    values = np.sin(sampled.points)
    elsewhere = 1e-3 * plate.nodes + [700.0, -300.0]
    moved = elements(elsewhere, plate.triangles, THREE_POINTS)
    np.testing.assert_allclose(
        recovered(elsewhere, moved, values), recovered(plate.nodes, sampled, values), atol=1e-6
    )


def test_no_difference_means_no_error(plate):
    el = elements(plate.nodes, plate.triangles)
    constant = np.array([100.0, -20.0, 5.0])
    rough = np.broadcast_to(constant, (*el.w.shape, 3))
    smooth = np.broadcast_to(constant, (len(plate.nodes), 3))
    found = estimate(el, rough, smooth, np.eye(3))
    np.testing.assert_allclose(found.energy, 0, atol=1e-18)
    assert found.relative < 1e-12
    assert estimate(el, 0 * rough, 0 * smooth, np.eye(3)).relative == 0.0


def test_the_estimate_is_the_energy_of_the_difference(plate):
    el = elements(plate.nodes, plate.triangles)
    rough = np.broadcast_to([3.0, 0.0, 0.0], (*el.w.shape, 3))
    smooth = np.broadcast_to([3.0, 4.0, 0.0], (len(plate.nodes), 3))
    C = np.diag([1.0, 0.25, 7.0])
    found = estimate(el, rough, smooth, C)
    np.testing.assert_allclose(found.energy, 4 * el.w.sum(axis=1))
    np.testing.assert_allclose(found.relative, np.sqrt(4 / (9 + 4)))
