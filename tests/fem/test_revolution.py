"""Weak forms of a body of revolution."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.fem.assemble import matrix
from rimfea.fem.elements import elements
from rimfea.fem.forms import stiffness
from rimfea.fem.material import plane_strain
from rimfea.fem.revolution import (
    COSINE,
    hoop_stiffnesses,
    isotropic,
    masses,
    stiffnesses,
    strain_matrices,
    strains,
)
from tests.often import few

YOUNGS, POISSON = 70e3, 0.33
D = isotropic(YOUNGS, POISSON)
RADIUS = 20.0


@pytest.fixture(scope="module")
def section(plate):
    """Nodes and triangles of the plate, as the section of a ring."""
    return plate.nodes, plate.triangles


def assembled(section, blocks):
    nodes, triangles = section
    return [matrix(triangles, block, len(nodes)) for block in blocks]


def at(parts, n):
    K0, K1, K2 = parts
    return (K0 + n * K1 + n * n * K2).toarray()


@pytest.fixture(scope="module")
def elastic(section):
    return assembled(section, stiffnesses(elements(*section), D, RADIUS))


def field(nodes, w, u, v):
    """The nodal vector (3n,) of displacements given at the nodes."""
    return np.column_stack(np.broadcast_arrays(w, u, v, nodes[:, 0])[:3]).ravel()


def rigid_motions(nodes, n):
    """The two rigid motions of a body of revolution that have harmonic n."""
    x, r = nodes[:, 0], RADIUS + nodes[:, 1]
    if n == 0:
        return [field(nodes, 1.0, 0.0, 0.0), field(nodes, 0.0, 0.0, r)]
    return [field(nodes, 0.0, 1.0, -1.0), field(nodes, r, -x, x)]


@pytest.mark.parametrize("n", [0, 1])
def test_rigid_motions_and_no_others_cost_no_energy(section, elastic, n):
    K = at(elastic, n)
    strength = np.linalg.eigvalsh(K)
    assert (np.abs(strength[:2]) < 1e-10 * strength[-1]).all()
    assert strength[2] > 1e-6 * strength[-1]
    for motion in rigid_motions(section[0], n):
        assert np.abs(K @ motion).max() < 1e-10 * (np.abs(K) @ np.abs(motion)).max()


@pytest.mark.parametrize("n", few([2, 3, 7]))
def test_no_motion_with_more_waves_is_free(elastic, n):
    strength = np.linalg.eigvalsh(at(elastic, n))
    assert strength[0] > 1e-8 * strength[-1]


@pytest.mark.parametrize("n", [0, 1, 4])
def test_the_stiffness_is_the_energy_of_the_strain_matrices(section, elastic, n):
    """K(n) is ∫ Bᵀ D B r dA with B = B0 + n B1, element by element in plain loops."""
    nodes, triangles = section
    el = elements(nodes, triangles)
    B0, B1 = strain_matrices(el, RADIUS)
    K = np.zeros((3 * len(nodes), 3 * len(nodes)))
    for e, triangle in enumerate(triangles):
        own = (3 * triangle[:, None] + np.arange(3)).ravel()
        for q, w in enumerate(el.w[e]):
            B = B0[e, q] + n * B1[e, q]
            r = RADIUS + el.points[e, q, 1]
            K[np.ix_(own, own)] += B.T @ D @ B * w * r
    np.testing.assert_allclose(at(elastic, n), K, atol=1e-10 * np.abs(K).max())


@pytest.mark.parametrize("n", [0, 1, 5])
def test_strains_of_a_field_are_those_of_the_strain_matrices(section, n):
    nodes, triangles = section
    el = elements(nodes, triangles)
    u = np.random.default_rng(1).normal(size=(len(nodes), 3, 2))
    B0, B1 = strain_matrices(el, RADIUS)
    own = u[triangles].reshape(len(triangles), 18, 2)
    expected = np.einsum("eqsa,eak->eqsk", B0 + n * B1, own)
    first, second = strains(el, RADIUS, u)
    np.testing.assert_allclose(first + n * second, expected, atol=1e-12)


@pytest.mark.parametrize("n", [0, 1, 3])
def test_strain_is_the_symmetric_gradient_in_space(straight, n):
    """Against the displacement in Cartesian axes, differentiated numerically around a point."""

    def amplitudes(x, y):
        """w, u, v as quadratic functions of the section, which the elements hold exactly."""
        return np.array([x * y + 2 * x, y * y - x, x * x - 3 * y + 1])

    def moved(place):
        X, Y, Z = place
        r, theta = np.hypot(Y, Z), np.arctan2(Z, Y)
        w, u, v = amplitudes(X, r - RADIUS)
        u_x, u_r, u_t = w * np.cos(n * theta), u * np.cos(n * theta), v * np.sin(n * theta)
        c, s = np.cos(theta), np.sin(theta)
        return np.array([u_x, u_r * c - u_t * s, u_r * s + u_t * c])

    el = elements(straight.nodes, straight.triangles)
    values = amplitudes(straight.nodes[:, 0], straight.nodes[:, 1]).T
    first, second = strains(el, RADIUS, values[:, :, None])
    ours = (first + n * second)[0, 2, :, 0]
    x, y = el.points[0, 2]
    theta, h = 0.3, 1e-4
    c, s = np.cos(theta), np.sin(theta)
    turn = np.array([[1, 0, 0], [0, c, s], [0, -s, c]])
    place = np.array([x, (RADIUS + y) * c, (RADIUS + y) * s])
    slope = np.column_stack(
        [(moved(place + h * axis) - moved(place - h * axis)) / (2 * h) for axis in np.eye(3)]
    )
    E = turn @ (slope + slope.T) / 2 @ turn.T
    expected = np.array([E[0, 0], E[1, 1], E[2, 2], 2 * E[1, 2], 2 * E[0, 2], 2 * E[0, 1]])
    wave = np.where(COSINE, np.cos(n * theta), np.sin(n * theta))
    np.testing.assert_allclose(ours * wave, expected, atol=1e-6)


def test_a_very_large_ring_that_moves_alike_all_around_is_in_plane_strain(section):
    nodes, triangles = section
    radius = 1e7
    el = elements(nodes, triangles)
    K0 = matrix(triangles, stiffnesses(el, D, radius)[0], len(nodes)).toarray() / radius
    plane = np.setdiff1d(np.arange(3 * len(nodes)), np.arange(2, 3 * len(nodes), 3))
    flat = matrix(triangles, stiffness(el, plane_strain(YOUNGS, POISSON)), len(nodes)).toarray()
    np.testing.assert_allclose(K0[np.ix_(plane, plane)], flat, atol=1e-5 * np.abs(flat).max())


@pytest.mark.parametrize("n", [0, 1, 4])
def test_a_hoop_stress_works_on_the_slopes_around(section, n):
    """uᵀ G u is ∫ (n² w² + (n u + v)² + (n v + u)²)/r dA for an even field."""
    w, u, v = 0.7, -1.3, 0.4
    G = at(assembled(section, hoop_stiffnesses(elements(*section), RADIUS)), n)
    el = elements(*section)
    moved = field(section[0], w, u, v)
    slopes = (n * w) ** 2 + (n * u + v) ** 2 + (n * v + u) ** 2
    expected = slopes * (el.w / (RADIUS + el.points[..., 1])).sum()
    assert moved @ G @ moved == pytest.approx(expected, rel=1e-10, abs=1e-10)


def test_a_shift_in_the_plane_gains_nothing_from_a_hoop_stress(section):
    G = at(assembled(section, hoop_stiffnesses(elements(*section), RADIUS)), 1)
    shift = rigid_motions(section[0], 1)[0]
    assert np.abs(G @ shift).max() < 1e-12 * np.abs(G).max()


@pytest.mark.parametrize("motion", [0, 1])
def test_a_shift_of_the_whole_body_moves_its_whole_mass(section, motion):
    """A shift along the axis (n = 0), and one in the plane (n = 1), with 1 mm/s."""
    el = elements(*section)
    (M,) = assembled(section, [masses(el, 3.0, RADIUS)])
    metal = 3.0 * 2 * np.pi * (el.w * (RADIUS + el.points[..., 1])).sum()
    shift = rigid_motions(section[0], motion)[0]
    around = np.pi if motion else 2 * np.pi
    assert around * shift @ M @ shift == pytest.approx(metal)


def test_an_isotropic_metal_has_the_strain_of_a_plain_pull():
    strain = np.linalg.solve(D, [0.0, 100.0, 0.0, 0.0, 0.0, 0.0])
    expected = np.array([-POISSON, 1.0, -POISSON, 0, 0, 0]) * 100 / YOUNGS
    np.testing.assert_allclose(strain, expected, atol=1e-15)
    assert D[5, 5] == pytest.approx(YOUNGS / (2 * (1 + POISSON)))
