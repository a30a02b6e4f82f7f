"""Shape gradients and weights of every element, computed once and used by every form."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats, Ints
from rimfea.errors import MeshError
from rimfea.fem.shape import (
    SIDE_PLACES,
    SIDE_WEIGHTS,
    SIX_POINTS,
    Rule,
    shape_functions,
    shape_slopes,
    side_shape_functions,
    side_shape_slopes,
)


@dataclass(frozen=True)
class Elements:
    """Six-node triangles ready for integration.

    ``triangles`` (e, 6), ``nodes`` their number; ``points`` (e, q, 2) in mm; ``N`` (q, a);
    ``dN`` (e, q, a, i) = ∂N/∂x_i in 1/mm; ``w`` (e, q) quadrature weight × det J in mm².
    """

    triangles: Ints
    nodes: int
    points: Floats
    N: Floats
    dN: Floats
    w: Floats


@dataclass(frozen=True)
class Sides:
    """Three-node boundary sides: ``sides`` (f, 3), ``points`` (f, q, 2), ``N`` (q, 3),
    ``normal`` (f, q, 2) out of the metal, ``w`` (f, q) weight × length in mm.
    """

    sides: Ints
    nodes: int
    points: Floats
    N: Floats
    normal: Floats
    w: Floats


def elements(nodes: Floats, triangles: Ints, rule: Rule = SIX_POINTS) -> Elements:
    """Map every triangle (e, 6) with nodes (n, 2) onto the parent triangle.

    J = Σ_a x_a ∂N_a/∂ξ, dN = ∂N/∂ξ J⁻¹. Raises :class:`~rimfea.errors.MeshError` where
    det J ≤ 0: a triangle folded over itself.
    """
    N, slopes = shape_functions(rule.places), shape_slopes(rule.places)
    x = nodes[triangles]
    e, q = len(x), len(rule.weights)
    flat = x.transpose(0, 2, 1).reshape(2 * e, 6) @ slopes.transpose(1, 0, 2).reshape(6, 2 * q)
    J = flat.reshape(e, 2, q, 2)
    J_00, J_01, J_10, J_11 = J[:, 0, :, 0], J[:, 0, :, 1], J[:, 1, :, 0], J[:, 1, :, 1]
    det = J_00 * J_11 - J_01 * J_10
    if (det <= 0).any():
        where = x[np.flatnonzero((det <= 0).any(axis=1))[0]].mean(axis=0)
        raise MeshError(f"a triangle near x = {where[0]:.3f}, y = {where[1]:.3f} mm is folded")
    by_xi, by_eta = slopes[..., 0], slopes[..., 1]
    dN = np.empty((e, q, 6, 2))
    dN[..., 0] = (J_11 / det)[..., None] * by_xi - (J_10 / det)[..., None] * by_eta
    dN[..., 1] = (J_00 / det)[..., None] * by_eta - (J_01 / det)[..., None] * by_xi
    return Elements(triangles, len(nodes), N @ x, N, dN, rule.weights * det)


def sides(nodes: Floats, chosen: Ints) -> Sides:
    """The boundary sides (f, 3) ready for line integrals, four points a side."""
    x = nodes[chosen]
    N = side_shape_functions(SIDE_PLACES)
    tangent = side_shape_slopes(SIDE_PLACES) @ x
    length = np.linalg.norm(tangent, axis=2)
    normal = np.stack([tangent[..., 1], -tangent[..., 0]], axis=-1) / length[..., None]
    return Sides(chosen, len(nodes), N @ x, N, normal, SIDE_WEIGHTS * length)
