"""Torsion on the mesh: the warping function and what is read from it."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.fem.assemble import matrix, vector
from rimfea.fem.elements import elements
from rimfea.fem.forms import body_load, laplace, mass
from rimfea.fem.solve import factorised
from rimfea.geometry.outline import from_rings
from rimfea.mesh.build import mesh_outline
from rimfea.section.torsion import torsion

# A lopsided hollow section without any symmetry.
LOPSIDED = from_rings(
    [(0, 0), (9, 0), (9, 2), (5, 2), (5, 6), (0, 4.5)], [[(1, 1), (4, 1), (4, 4), (1, 3)]]
)
MESH = mesh_outline(LOPSIDED)
EL = elements(MESH.nodes, MESH.triangles)


def integral(integrand):
    return float((EL.w * integrand).sum())


def at_points(field):
    return field[MESH.triangles] @ EL.N.T


def slope(field):
    return np.einsum("eqai,ea->eqi", EL.dN, field[MESH.triangles])


def test_warping_does_no_work_on_stretching_or_bending():
    omega = torsion(MESH).warping
    M_omega = matrix(MESH.triangles, mass(EL), EL.nodes) @ omega
    size = np.abs(M_omega).sum()
    reach = np.abs(MESH.nodes).max()
    assert abs(M_omega.sum()) < 1e-12 * size
    np.testing.assert_allclose(MESH.nodes.T @ M_omega, 0.0, atol=1e-12 * size * reach)


def test_warping_constant_is_the_square_of_the_warping_over_the_area():
    twist = torsion(MESH)
    expected = twist.warping @ (matrix(MESH.triangles, mass(EL), EL.nodes) @ twist.warping)
    assert twist.warping_constant == pytest.approx(expected, rel=1e-11)


def test_torsion_constant_is_the_moment_of_the_shear_stress_of_a_unit_twist():
    # J = ∫ (x² + y² + x ω,y − y ω,x) dA with x, y from the point twisted about.
    twist = torsion(MESH)
    x, y = np.moveaxis(EL.points - twist.shear_centre, -1, 0)
    by_x, by_y = np.moveaxis(slope(twist.warping), -1, 0)
    expected = integral(x**2 + y**2 + x * by_y - y * by_x)
    assert twist.constant == pytest.approx(expected, rel=1e-11)


@pytest.mark.parametrize("direction", [(1.0, 0.0), (0.0, 1.0)])
def test_the_shear_stress_of_bending_passes_through_the_shear_centre(direction):
    # With Poisson's ratio 0 the bending stress grows along the bar as a x + b y from the
    # centroid, and the shear stress ∇Ψ that feeds it solves ∇²Ψ = −(a x + b y).
    area = integral(1.0)
    centroid = np.array([integral(EL.points[..., i]) for i in (0, 1)]) / area
    arm = EL.points - centroid
    I = np.einsum("eqi,eqj,eq->ij", arm, arm, EL.w)  # noqa: E741 - the letter of the books
    growth = np.stack([arm @ np.linalg.solve(I, np.array(direction)), 0 * arm[..., 0]], axis=-1)
    F = vector(MESH.triangles, body_load(EL, growth)[:, 0::2], EL.nodes)
    K = matrix(MESH.triangles, laplace(EL), EL.nodes)
    tau = slope(factorised(K, np.array([0])).solve(F))
    force = [integral(tau[..., i]) for i in (0, 1)]
    moment = integral(EL.points[..., 0] * tau[..., 1] - EL.points[..., 1] * tau[..., 0])
    x, y = torsion(MESH).shear_centre
    assert force == pytest.approx(direction, abs=1e-9)
    assert moment == pytest.approx(x * direction[1] - y * direction[0], abs=1e-9)


def test_a_finer_mesh_lowers_the_torsion_constant_towards_its_limit():
    coarse, usual, fine = (
        torsion(mesh_outline(LOPSIDED, coarseness=c)).constant for c in (2.0, 1.0, 0.5)
    )
    assert coarse > usual > fine > 0
    assert usual - fine < 0.5 * (coarse - usual)
