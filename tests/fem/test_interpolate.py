"""A nodal field at any point."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.fem.elements import sides
from rimfea.fem.interpolate import places
from rimfea.fem.shape import shape_functions


def random_points(body, count=4):
    """Points inside every element, mapped through its curved sides, and their local places."""
    local = np.random.default_rng(6).dirichlet((1, 1, 1), (len(body.triangles), count))[..., 1:]
    N = shape_functions(local)
    return np.einsum("epa,eai->epi", N, body.nodes[body.triangles]), N


def test_a_quadratic_field_is_exact_between_straight_sides(straight):
    points, _ = random_points(straight)
    points = points.reshape(-1, 2)

    def field(p):
        x, y = p.T
        return np.column_stack([x * x - x * y, 2 + y * y])

    found = places(straight.nodes, straight.triangles, points)(field(straight.nodes))
    np.testing.assert_allclose(found, field(points), atol=1e-10)


def test_the_field_of_the_elements_is_met_behind_curved_sides(plate):
    """A quadratic in the element's own coordinates: any nodal field at all."""
    field = np.random.default_rng(7).normal(size=(len(plate.nodes), 2))
    points, N = random_points(plate)
    expected = np.einsum("epa,eak->epk", N, field[plate.triangles])
    found = places(plate.nodes, plate.triangles, points.reshape(-1, 2))(field)
    apart = np.abs(found.reshape(expected.shape) - expected).max(axis=(1, 2))
    assert apart.max() < 1e-8


def test_points_on_the_curved_boundary_itself_are_found(plate):
    side = sides(plate.nodes, plate.sides)
    points = side.points.reshape(-1, 2)
    found = places(plate.nodes, plate.triangles, points)
    np.testing.assert_allclose(found(plate.nodes), points, atol=1e-12)
    field = plate.nodes[:, :1] ** 2
    expected = np.einsum("qa,fak->fqk", side.N, field[plate.sides]).reshape(-1, 1)
    np.testing.assert_allclose(found(field), expected, atol=1e-8)


def test_the_nodes_themselves_give_their_own_values(plate):
    field = np.random.default_rng(8).normal(size=(len(plate.nodes), 3))
    found = places(plate.nodes, plate.triangles, plate.nodes)(field)
    np.testing.assert_allclose(found, field, atol=1e-9)


@pytest.mark.parametrize("columns", [1, 3])
def test_as_many_columns_come_out_as_go_in(plate, columns):
    found = places(plate.nodes, plate.triangles, plate.nodes[:5])
    assert found(np.ones((len(plate.nodes), columns))).shape == (5, columns)
