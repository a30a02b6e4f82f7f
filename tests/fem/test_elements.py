"""Shape gradients and weights of mapped elements."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.errors import MeshError
from rimfea.fem.elements import elements, sides


def test_the_weights_sum_to_the_area_inside_the_curved_sides(plate):
    side = sides(plate.nodes, plate.sides)
    by_the_boundary = ((side.points * side.normal).sum(axis=2) * side.w).sum() / 2
    area = elements(plate.nodes, plate.triangles).w.sum()
    np.testing.assert_allclose(area, by_the_boundary, rtol=1e-12)


def test_the_gradient_of_a_linear_field_is_exact_on_curved_elements(plate):
    el = elements(plate.nodes, plate.triangles)
    field = 2 + plate.nodes @ np.array([3.0, -5.0])
    slope = np.einsum("eqai,ea->eqi", el.dN, field[plate.triangles])
    np.testing.assert_allclose(slope, np.broadcast_to([3.0, -5.0], slope.shape), atol=1e-10)


def test_the_gradient_of_a_quadratic_field_is_exact_on_straight_elements(straight):
    el = elements(straight.nodes, straight.triangles)
    x, y = straight.nodes.T
    slope = np.einsum("eqai,ea->eqi", el.dN, (x * x - 3 * x * y)[straight.triangles])
    px, py = el.points[..., 0], el.points[..., 1]
    np.testing.assert_allclose(slope, np.stack([2 * px - 3 * py, -3 * px], axis=-1), atol=1e-10)


def test_a_folded_triangle_is_refused_with_its_place(plate):
    nodes = plate.nodes.copy()
    row = plate.triangles[7]
    nodes[row[0]] += 3 * (nodes[row[4]] - nodes[row[0]])
    with pytest.raises(MeshError, match=r"near x = .*, y = .* folded"):
        elements(nodes, plate.triangles[7:8])


def test_normals_of_the_sides_point_out_and_their_integral_vanishes(plate):
    side = sides(plate.nodes, plate.sides)
    np.testing.assert_allclose(np.linalg.norm(side.normal, axis=2), 1)
    np.testing.assert_allclose((side.normal * side.w[..., None]).sum(axis=(0, 1)), 0, atol=1e-12)
    on_the_hole = np.linalg.norm(side.points - [3.5, 2.0], axis=2) < 1.1
    toward = (side.normal * ([3.5, 2.0] - side.points)).sum(axis=2)
    assert (toward[on_the_hole] > 0.9).all()


def test_the_length_of_the_hole_is_that_of_the_circle(plate):
    side = sides(plate.nodes, plate.sides)
    on_the_hole = (np.linalg.norm(side.points - [3.5, 2.0], axis=2) < 1.1).all(axis=1)
    np.testing.assert_allclose(side.w[on_the_hole].sum(), 2 * np.pi, rtol=1e-5)
