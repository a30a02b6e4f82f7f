"""Saint-Venant's bar on its section mesh: warping by torsion, and shear stress by shear force.

Torsion: twisted by θ' per unit length the bar warps by θ' ω; its stress G θ' (∇ω − s) with
s = (y, −x) must balance inside and leave every face free, so ∫ ∇v · ∇ω dA = ∫ ∇v · s dA for
every v. Shear: bending that changes along the bar, ∂σ_zz/∂z = α · (x − x̄), is balanced by
τ = ∇φ with ∫ ∇v · ∇φ dA = ∫ v α · (x − x̄) dA; with v = x and y this shows that the shear
force is V = I α. Both conditions on the faces are natural, so a hole needs nothing special.
(Timoshenko & Goodier, Theory of Elasticity, ch. 10 and 11; citation from memory. The small
terms in Poisson's ratio of the shear solution are left out.)
"""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Floats, Ints
from rimfea.fem.assemble import matrix, vector
from rimfea.fem.elements import Elements
from rimfea.fem.forms import body_load, gradient_load, laplace
from rimfea.fem.solve import factorised

# Both unknown fields are known but for a constant, which one held node fixes.
HELD: Ints = np.array([0])


def warping(el: Elements) -> Floats:
    """ω (n,) in mm² of a twist about the origin, zero at the held node."""
    K = matrix(el.triangles, laplace(el), el.nodes)
    return factorised(K, HELD).solve(_torsion_load(el))


def unit_shear(el: Elements) -> Floats:
    """Shear stress (e, q, 3, i) = (τ_zx, τ_zy) in 1/mm² of a unit force along x, one along y
    (both without twist), and in 1/mm³ of a unit torque.
    """
    K = factorised(matrix(el.triangles, laplace(el), el.nodes), HELD)
    U = K.solve(np.column_stack([*_force_loads(el), _torsion_load(el)]))
    slope = np.einsum("eqai,eak->eqki", el.dN, U[el.triangles], optimize=True)
    slope[:, :, 2] -= spin(el)
    slope[:, :, 2] /= torque(el, slope[:, :, 2])
    return slope


def torque(el: Elements, tau: Floats) -> float:
    """∫ (x τ_zy − y τ_zx) dA of a shear stress (e, q, i), about the origin."""
    return -float(np.einsum("eqi,eqi,eq->", spin(el), tau, el.w, optimize=True))


def spin(el: Elements) -> Floats:
    """The field s = (y, −x) at every quadrature point (e, q, 2)."""
    return np.stack([el.points[..., 1], -el.points[..., 0]], axis=-1)


def _torsion_load(el: Elements) -> Floats:
    return vector(el.triangles, gradient_load(el, spin(el)), el.nodes)


def _force_loads(el: Elements) -> list[Floats]:
    """∫ v α · (x − x̄) dA for a unit shear force along x and along y."""
    centroid = np.einsum("eqi,eq->i", el.points, el.w) / el.w.sum()
    arm = el.points - centroid
    inertia = np.einsum("eqi,eqj,eq->ij", arm, arm, el.w, optimize=True)
    alpha = np.linalg.inv(inertia)
    return [vector(el.triangles, body_load(el, (arm @ a)[..., None]), el.nodes) for a in alpha]
