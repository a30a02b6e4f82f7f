"""The weak forms: each against what it says, the stiffness also against plain loops."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.fem.assemble import matrix, vector
from rimfea.fem.elements import elements, sides
from rimfea.fem.forms import (
    body_load,
    gradient_load,
    laplace,
    mass,
    stiffness,
    stress,
    traction_load,
)
from rimfea.fem.material import plane_strain, plane_stress
from rimfea.fem.shape import SIX_POINTS

D = plane_strain(70e3, 0.33)


def strain_matrix(el):
    """The textbook B, strain = B u, by which the forms are explained and checked."""
    e, q, a, _ = el.dN.shape
    B = np.zeros((e, q, 3, 2 * a))
    B[:, :, 0, 0::2] = B[:, :, 2, 1::2] = el.dN[..., 0]
    B[:, :, 1, 1::2] = B[:, :, 2, 0::2] = el.dN[..., 1]
    return B


def plain_stiffness(nodes, triangles, D):
    """The whole kernel by plain loops over elements, points, nodes and components.

    K[2a+i, 2b+j] = Σ_e Σ_q w det J  Σ_st B[s, a, i] D[s, t] B[t, b, j]
    """
    K = np.zeros((2 * len(nodes), 2 * len(nodes)))
    for element in triangles:
        for (xi, eta), weight in zip(SIX_POINTS.places, SIX_POINTS.weights, strict=True):
            zeta = 1 - xi - eta
            by_xi = [1 - 4 * zeta, 4 * xi - 1, 0, 4 * (zeta - xi), 4 * eta, -4 * eta]
            by_eta = [1 - 4 * zeta, 0, 4 * eta - 1, -4 * xi, 4 * xi, 4 * (zeta - eta)]
            x_xi = sum(nodes[n] * d for n, d in zip(element, by_xi, strict=True))
            x_eta = sum(nodes[n] * d for n, d in zip(element, by_eta, strict=True))
            det = x_xi[0] * x_eta[1] - x_xi[1] * x_eta[0]
            B = []
            for along_xi, along_eta in zip(by_xi, by_eta, strict=True):
                dx = (along_xi * x_eta[1] - along_eta * x_xi[1]) / det
                dy = (along_eta * x_xi[0] - along_xi * x_eta[0]) / det
                B.append([[dx, 0, dy], [0, dy, dx]])
            for a, node_a in enumerate(element):
                for b, node_b in enumerate(element):
                    for i in range(2):
                        for j in range(2):
                            value = sum(
                                B[a][i][s] * D[s, t] * B[b][j][t]
                                for s in range(3)
                                for t in range(3)
                            )
                            K[2 * node_a + i, 2 * node_b + j] += weight * det * value
    return K


def test_the_stiffness_is_that_of_plain_loops(plate):
    few, nodes_used = np.unique(plate.triangles[:12], return_inverse=True)
    nodes, triangles = plate.nodes[few], nodes_used.reshape(-1, 6)
    blocks = stiffness(elements(nodes, triangles), D)
    ours = matrix(triangles, blocks, len(nodes)).toarray()
    expected = plain_stiffness(nodes, triangles, D)
    np.testing.assert_allclose(ours, expected, atol=1e-12 * np.abs(expected).max())


def test_the_stiffness_is_symmetric_and_lets_a_rigid_body_go(plate):
    K = matrix(
        plate.triangles, stiffness(elements(plate.nodes, plate.triangles), D), len(plate.nodes)
    )
    largest = abs(K).max()
    assert abs(K - K.T).max() < 1e-12 * largest
    x, y = plate.nodes.T
    shift_x, shift_y = np.tile([1.0, 0], len(x)), np.tile([0, 1.0], len(x))
    turn = np.column_stack([-y, x]).ravel()
    for motion in (shift_x, shift_y, turn):
        assert np.abs(K @ motion).max() < 1e-11 * largest


def test_the_energy_of_a_uniform_strain_is_that_of_the_books(plate):
    el = elements(plate.nodes, plate.triangles)
    strain = np.array([1e-3, -4e-4, 6e-4])
    u = plate.nodes @ np.array([[strain[0], strain[2] / 2], [strain[2] / 2, strain[1]]])
    K = matrix(plate.triangles, stiffness(el, D), len(plate.nodes))
    np.testing.assert_allclose(u.ravel() @ (K @ u.ravel()), strain @ D @ strain * el.w.sum())


def test_the_strain_matrix_gives_the_strain_of_a_linear_displacement(plate):
    slope = np.array([[1e-3, 2e-3], [-5e-4, 3e-4]])  # slope[j, i] = du_i / dx_j
    u = plate.nodes @ slope
    B = strain_matrix(elements(plate.nodes, plate.triangles))
    strain = np.einsum("eqsn,en->eqs", B, u[plate.triangles].reshape(-1, 12))
    expected = [1e-3, 3e-4, 2e-3 - 5e-4]
    np.testing.assert_allclose(strain, np.broadcast_to(expected, strain.shape), atol=1e-13)


@pytest.mark.parametrize("law", [plane_stress, plane_strain])
def test_stress_is_d_b_u(plate, law):
    el = elements(plate.nodes, plate.triangles)
    u = np.random.default_rng(5).normal(size=plate.nodes.shape)
    by_matrix = np.einsum(
        "st,eqtn,en->eqs", law(70e3, 0.33), strain_matrix(el), u[plate.triangles].reshape(-1, 12)
    )
    found = stress(el, law(70e3, 0.33), u)
    np.testing.assert_allclose(found, by_matrix, atol=1e-11 * np.abs(found).max())


def test_laplace_measures_the_slope_of_a_linear_field(plate):
    el = elements(plate.nodes, plate.triangles)
    K = matrix(plate.triangles, laplace(el), len(plate.nodes))
    field = plate.nodes @ np.array([3.0, -4.0])
    np.testing.assert_allclose(field @ (K @ field), 25 * el.w.sum())
    np.testing.assert_allclose(K @ np.ones(len(field)), 0, atol=1e-11)


def test_mass_integrates_products_of_fields(straight):
    el = elements(straight.nodes, straight.triangles)
    M = matrix(straight.triangles, mass(el), len(straight.nodes))
    x, y = straight.nodes.T
    px, py = el.points[..., 0], el.points[..., 1]
    np.testing.assert_allclose((x * x) @ (M @ (x * y)), (px**3 * py * el.w).sum())
    np.testing.assert_allclose(np.ones(len(x)) @ (M @ np.ones(len(x))), el.w.sum())


def test_a_body_load_adds_up_to_its_integral_and_its_moment(plate):
    el = elements(plate.nodes, plate.triangles)
    weight = np.broadcast_to([2.0, -7.0], (*el.w.shape, 2))
    f = vector(plate.triangles, body_load(el, weight), len(plate.nodes)).reshape(-1, 2)
    area = el.w.sum()
    np.testing.assert_allclose(f.sum(axis=0), [2 * area, -7 * area])
    centroid = (el.points * el.w[..., None]).sum(axis=(0, 1)) / area
    moment = (plate.nodes[:, 0] * f[:, 1] - plate.nodes[:, 1] * f[:, 0]).sum()
    np.testing.assert_allclose(moment, area * (centroid[0] * -7 - centroid[1] * 2))


def test_a_traction_adds_up_to_its_integral_and_pressure_on_a_closed_body_to_nothing(plate):
    side = sides(plate.nodes, plate.sides)
    pull = np.broadcast_to([1.5, 0.5], side.points.shape)
    f = vector(plate.sides, traction_load(side, pull), len(plate.nodes)).reshape(-1, 2)
    np.testing.assert_allclose(f.sum(axis=0), side.w.sum() * np.array([1.5, 0.5]))
    p = vector(plate.sides, traction_load(side, -side.normal), len(plate.nodes)).reshape(-1, 2)
    np.testing.assert_allclose(p.sum(axis=0), 0, atol=1e-12)
    turning = (plate.nodes[:, 0] * p[:, 1] - plate.nodes[:, 1] * p[:, 0]).sum()
    np.testing.assert_allclose(turning, 0, atol=1e-11)


def test_a_gradient_load_is_the_work_of_a_field_on_a_slope(plate):
    el = elements(plate.nodes, plate.triangles)
    g = np.stack([el.points[..., 1], el.points[..., 0] ** 2], axis=-1)
    f = vector(plate.triangles, gradient_load(el, g), len(plate.nodes))
    linear = plate.nodes @ np.array([2.0, 3.0])
    np.testing.assert_allclose(linear @ f, ((2 * g[..., 0] + 3 * g[..., 1]) * el.w).sum())
    np.testing.assert_allclose(f.sum(), 0, atol=1e-10)
