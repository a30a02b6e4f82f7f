"""Every weak form on one page.

Index legend: e element, q quadrature point, a b nodes of an element, i j components, s t
strain components in the order xx yy xy (shear as γ = 2ε). Displacement is numbered node by
node: degree of freedom 2a + i.
"""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Floats
from rimfea.fem.elements import Elements, Sides


def strain_matrix(el: Elements) -> Floats:
    """B (e, q, s, 2a+i) in 1/mm: ε = B u.

    ε_xx = Σ_a N_a,x u_ax, ε_yy = Σ_a N_a,y u_ay, γ_xy = Σ_a N_a,y u_ax + N_a,x u_ay.
    """
    e, q, a, _ = el.dN.shape
    B = np.zeros((e, q, 3, 2 * a))
    B[:, :, 0, 0::2] = B[:, :, 2, 1::2] = el.dN[..., 0]
    B[:, :, 1, 1::2] = B[:, :, 2, 0::2] = el.dN[..., 1]
    return B


def stiffness(el: Elements, D: Floats) -> Floats:
    """K_e (e, 2a, 2b) in N/mm per mm of depth: ∫ Bᵀ D B dA, for D (s, t) in MPa."""
    B = strain_matrix(el)
    e, q, s, n = B.shape
    DB = (D @ B) * el.w[..., None, None]
    return np.asarray(B.reshape(e, q * s, n).transpose(0, 2, 1) @ DB.reshape(e, q * s, n))


def laplace(el: Elements) -> Floats:
    """K_e (e, a, b): ∫ ∇N_a · ∇N_b dA."""
    return np.einsum("eqai,eqbi,eq->eab", el.dN, el.dN, el.w, optimize=True)


def mass(el: Elements) -> Floats:
    """M_e (e, a, b) in mm²: ∫ N_a N_b dA."""
    return np.einsum("qa,qb,eq->eab", el.N, el.N, el.w, optimize=True)


def body_load(el: Elements, b: Floats) -> Floats:
    """f_e (e, 2a+i) in N/mm of depth: ∫ N_a b_i dA, for a force b (e, q, i) in N/mm³."""
    f = np.einsum("qa,eqi,eq->eai", el.N, b, el.w, optimize=True)
    return f.reshape(len(f), -1)


def gradient_load(el: Elements, g: Floats) -> Floats:
    """f_e (e, a): ∫ N_a,i g_i dA, for a field g (e, q, i)."""
    return np.einsum("eqai,eqi,eq->ea", el.dN, g, el.w, optimize=True)


def traction_load(side: Sides, t: Floats) -> Floats:
    """f_f (f, 2a+i) in N/mm of depth: ∫ N_a t_i ds, for a traction t (f, q, i) in MPa."""
    f = np.einsum("qa,fqi,fq->fai", side.N, t, side.w, optimize=True)
    return f.reshape(len(f), -1)


def stress(el: Elements, D: Floats, u: Floats) -> Floats:
    """σ (e, q, s) in MPa: D B u, for the displacement u (n, 2) in mm."""
    slope = np.einsum("eqai,eaj->eqji", el.dN, u[el.triangles], optimize=True)
    strain = np.stack(
        [slope[..., 0, 0], slope[..., 1, 1], slope[..., 0, 1] + slope[..., 1, 0]], axis=-1
    )
    return np.asarray(strain @ D.T)
