"""Saint-Venant torsion of a section: torsion constant, shear centre, warping.

A bar twisted by θ' per unit length warps out of its plane by θ' ω and carries the shear stress
G θ' (∇ω − s) with s = (y, −x); ω comes from :mod:`rimfea.fem.saint_venant`, holes included.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.fem.elements import Elements, elements
from rimfea.fem.saint_venant import spin, warping
from rimfea.mesh.mesh import Mesh


@dataclass(frozen=True)
class Torsion:
    """Torsion constant J in mm⁴, shear centre (x, y) in mm, warping constant in mm⁶, and the
    warping ω (n,) in mm² at the nodes; the last two for a twist about the shear centre.
    """

    constant: float
    shear_centre: tuple[float, float]
    warping_constant: float
    warping: Floats


def torsion(mesh: Mesh) -> Torsion:
    """Torsion constant, shear centre and warping of the section under ``mesh``.

    A twist about (a, b) instead of the pole warps by ω − b x + a y, and at the shear centre
    this does no work on stretching or bending: ∫ ω dA = ∫ x ω dA = ∫ y ω dA = 0 (Trefftz,
    Z. angew. Math. Mech. 15 (1935) 220-225; citation from memory). So the least-squares plane
    c + b x − a y through ω names the shear centre, and what is left over is the warping about
    it. J converges from above. The mesh must hang together, as that of one outline does.
    """
    pole = mesh.nodes.mean(axis=0)  # any point serves; one near the metal keeps numbers small
    nodes = mesh.nodes - pole
    el = elements(nodes, mesh.triangles)
    omega = warping(el)
    plane = _plane_through(el, omega)
    left_over = omega - _plane_terms(nodes) @ plane
    return Torsion(
        constant=_constant(el, omega),
        shear_centre=(float(pole[0] - plane[2]), float(pole[1] + plane[1])),
        warping_constant=float((el.w * _at_points(el, left_over) ** 2).sum()),
        warping=left_over,
    )


def _constant(el: Elements, omega: Floats) -> float:
    """J = ∫ |∇ω − s|² dA.

    The same as ∫ (x² + y² + x ω,y − y ω,x) dA, but a sum of squares: nothing cancels in a thin
    open section, where J is a small remainder of the polar moment.
    """
    slope = np.einsum("eqai,ea->eqi", el.dN, omega[el.triangles], optimize=True)
    return float((el.w[..., None] * (slope - spin(el)) ** 2).sum())


def _plane_through(el: Elements, omega: Floats) -> Floats:
    """Coefficients (3,) of the terms 1, x, y of the plane nearest to ω, by area."""
    P, w = _plane_terms(el.points).reshape(-1, 3), el.w.ravel()
    normal, right = (P.T * w) @ P, (P.T * w) @ _at_points(el, omega).ravel()
    return np.asarray(np.linalg.solve(normal, right))


def _plane_terms(points: Floats) -> Floats:
    return np.concatenate([np.ones_like(points[..., :1]), points], axis=-1)


def _at_points(el: Elements, field: Floats) -> Floats:
    """A nodal field (n,) at every quadrature point (e, q)."""
    return field[el.triangles] @ el.N.T
