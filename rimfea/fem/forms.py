"""Every weak form on one page.

Index legend: e element, q quadrature point, a b nodes of an element, i j components, s t
strain components in the order xx yy xy (shear as γ = 2ε). Displacement is numbered node by
node: degree of freedom 2a + i.
"""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Floats
from rimfea.fem.elements import Elements, Sides


def stiffness(el: Elements, D: Floats) -> Floats:
    """K_e (e, 2a, 2b) in N/mm per mm of depth: ∫ Bᵀ D B dA, for D (s, t) in MPa.

    For a metal whose shear is its own strain component, B is never formed: with the products
    of slopes G_akbl = ∫ N_a,k N_b,l dA each of the four blocks ij is a sum of two of them, such
    as K_axbx = D_xx,xx G_axbx + D_xy,xy G_ayby.
    """
    e, q, a, _ = el.dN.shape
    slope = (el.dN * np.sqrt(el.w)[..., None, None]).reshape(e, q, 2 * a)
    G = (slope.transpose(0, 2, 1) @ slope).reshape(e, a, 2, a, 2)
    xx, xy, yx, yy = G[:, :, 0, :, 0], G[:, :, 0, :, 1], G[:, :, 1, :, 0], G[:, :, 1, :, 1]
    K = np.empty((e, a, 2, a, 2))
    K[:, :, 0, :, 0] = D[0, 0] * xx + D[2, 2] * yy
    K[:, :, 1, :, 1] = D[1, 1] * yy + D[2, 2] * xx
    K[:, :, 0, :, 1] = D[0, 1] * xy + D[2, 2] * yx
    K[:, :, 1, :, 0] = D[1, 0] * yx + D[2, 2] * xy
    return K.reshape(e, 2 * a, 2 * a)


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
