"""Weak forms of a body of revolution, one harmonic around its axis at a time.

Section coordinates x (along the axis) and y (outward), r = R + y; z runs around. Displacement
of harmonic n in the family that is symmetric about θ = 0:

    u_x = w cos nθ        u_y = u cos nθ        u_z = v sin nθ

Strain in the order xx yy zz yz zx xy, the first three and xy with cos nθ, yz and zx with sin nθ:

    ε_xx = w,x     ε_yy = u,y     ε_zz = (u + n v)/r
    γ_yz = v,y − v/r − n u/r      γ_zx = v,x − n w/r      γ_xy = u,x + w,y

so B = B0 + n B1 and K(n) = K0 + n K1 + n² K2, three matrices assembled once; the weight is
r dA, and the π of ∫ cos² nθ dθ cancels against that of the load. The other family, turned by
a quarter wave, has u_x = w sin nθ, u_y = u sin nθ, u_z = −v cos nθ and the same K(n). (Wilson,
AIAA Journal 3 (1965) 2269-2274; citation from memory.) Unknowns are numbered node by node,
3a + i with i = x y z.
"""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Floats
from rimfea.fem.elements import Elements

COSINE = np.array([True, True, True, False, False, True])


def isotropic(youngs: float, poisson: float) -> Floats:
    """D (6, 6) in MPa of an isotropic metal, shear strains as γ = 2ε."""
    shear = youngs / (2 * (1 + poisson))
    lame = youngs * poisson / ((1 + poisson) * (1 - 2 * poisson))
    D = np.zeros((6, 6))
    D[:3, :3] = lame
    D[np.arange(6), np.arange(6)] += [2 * shear] * 3 + [shear] * 3
    return D


def strain_matrices(el: Elements, radius: float) -> tuple[Floats, Floats]:
    """B0 and B1 (e, q, s, 3a+i) in 1/mm for r = ``radius`` + y."""
    e, q, a, _ = el.dN.shape
    r = radius + el.points[..., 1, None]
    N_over_r = el.N / r
    B0, B1 = np.zeros((e, q, 6, 3 * a)), np.zeros((e, q, 6, 3 * a))
    along, outward, around = slice(0, None, 3), slice(1, None, 3), slice(2, None, 3)
    B0[:, :, 0, along] = B0[:, :, 5, outward] = B0[:, :, 4, around] = el.dN[..., 0]
    B0[:, :, 1, outward] = B0[:, :, 5, along] = el.dN[..., 1]
    B0[:, :, 2, outward] = N_over_r
    B0[:, :, 3, around] = el.dN[..., 1] - N_over_r
    B1[:, :, 2, around] = N_over_r
    B1[:, :, 3, outward] = B1[:, :, 4, along] = -N_over_r
    return B0, B1


def stiffnesses(el: Elements, D: Floats, radius: float) -> tuple[Floats, Floats, Floats]:
    """Element arrays (e, 3a, 3b) of K0, K1 and K2 per radian, N/mm."""
    B0, B1 = strain_matrices(el, radius)
    w = el.w * (radius + el.points[..., 1])
    e, q, s, n = B0.shape
    DB0, DB1 = (((D @ B) * w[..., None, None]).reshape(e, q * s, n) for B in (B0, B1))
    B0, B1 = (B.reshape(e, q * s, n).transpose(0, 2, 1) for B in (B0, B1))
    mixed = B0 @ DB1
    return B0 @ DB0, mixed + mixed.transpose(0, 2, 1), B1 @ DB1


def masses(el: Elements, density: float, radius: float) -> Floats:
    """Element arrays (e, 3a, 3b) per radian of the consistent mass ∫ ρ NᵀN r dA, the same for every
    harmonic, in t for a ``density`` in t/mm³: K(n) v = ω² M v with ω in rad/s.
    """
    w = density * el.w * (radius + el.points[..., 1])
    shared = np.einsum("qa,qb,eq->eab", el.N, el.N, w, optimize=True)
    e, a, _ = shared.shape
    M = np.zeros((e, a, 3, a, 3))
    for i in range(3):
        M[:, :, i, :, i] = shared
    return M.reshape(e, 3 * a, 3 * a)


def hoop_stiffnesses(el: Elements, radius: float) -> tuple[Floats, Floats, Floats]:
    """Element arrays (e, 3a, 3b) per radian of the geometric stiffness of a unit hoop stress.

    A hoop stress σ works on the slopes around, ½ σ |∂u/∂s|² per volume, whose components are
    −n w/r, −(n u + v)/r and (n v + u)/r; so K(n) gains σ times
    ∫ (n² w² + (n u + v)² + (n v + u)²)/r dA. A shift in the plane (n = 1, u = −v) gains nothing.
    """
    M = np.einsum("qa,qb,eq->eab", el.N, el.N, el.w / (radius + el.points[..., 1]), optimize=True)
    e, a, _ = M.shape
    G0, G1, G2 = (np.zeros((e, a, 3, a, 3)) for _ in range(3))
    for i in range(3):
        G2[:, :, i, :, i] = M
    G0[:, :, 1, :, 1] = G0[:, :, 2, :, 2] = M
    G1[:, :, 1, :, 2] = G1[:, :, 2, :, 1] = 2 * M
    shape = (e, 3 * a, 3 * a)
    return G0.reshape(shape), G1.reshape(shape), G2.reshape(shape)


def strains(el: Elements, radius: float, u: Floats) -> tuple[Floats, Floats]:
    """The two parts ε0 and ε1 (e, q, s, k) of the strain ε0 + n ε1 of fields u (n, 3, k)."""
    r = radius + el.points[..., 1]
    own = u[el.triangles]
    value = np.einsum("qa,eaik->eqik", el.N, own, optimize=True) / r[..., None, None]
    slope = np.einsum("eqaj,eaik->eqjik", el.dN, own, optimize=True)
    return strains_of(value, slope[:, :, 0], slope[:, :, 1])


def strains_of(value: Floats, across: Floats, outward: Floats) -> tuple[Floats, Floats]:
    """The same (…, s, k) of what moves by ``value`` (…, 3, k) times the radius, and by ``across``
    and ``outward`` more for each mm in x and y.
    """
    w, u_y, v = (value[..., k, :] for k in range(3))
    first, second = (np.zeros((*w.shape[:-1], 6, w.shape[-1])) for _ in range(2))
    first[..., 0, :] = across[..., 0, :]
    first[..., 1, :] = outward[..., 1, :]
    first[..., 2, :], second[..., 2, :] = u_y, v
    first[..., 3, :] = outward[..., 2, :] - v
    first[..., 4, :] = across[..., 2, :]
    first[..., 5, :] = across[..., 1, :] + outward[..., 0, :]
    second[..., 3, :], second[..., 4, :] = -u_y, -w
    return first, second
