"""Smooth nodal stress from the rough stress of the elements, and an error estimate.

Superconvergent patch recovery after Zienkiewicz & Zhu, Int. J. Numer. Meth. Engng 33 (1992)
1331-1382 (citation from memory): around every corner node a quadratic polynomial is fitted to
the stress at the three interior points of the surrounding elements. Where a boundary node has
too few neighbours of its own, the elements around its neighbours join in. Near samples weigh
more, by the inverse square of their distance: in a wide patch at a notch a plain fit would cut
off the peak.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from rimfea.arrays import Floats, Ints
from rimfea.fem.elements import Elements

FEWEST_ELEMENTS = 5
NEARBY = 0.01  # (distance / size of the patch)² within which all samples weigh the same


@dataclass(frozen=True)
class ErrorEstimate:
    """Energy of the error by element (e,), and the whole, relative to the energy norm."""

    energy: Floats
    relative: float


def recovered(nodes: Floats, sampled: Elements, values: Floats) -> Floats:
    """Nodal values (n, k) of a field given at the sampling points (e, q, k) of ``sampled``."""
    vertex, element = _patches(sampled.triangles, len(nodes))
    starts = np.flatnonzero(np.diff(vertex, prepend=-1))
    offset = sampled.points[element] - nodes[vertex][:, None]
    reach = _reach(np.linalg.norm(offset, axis=2).max(axis=1), starts)
    offset = offset / reach[:, None, None]
    P = _quadratic(offset)
    weighted = P / ((offset**2).sum(axis=2) + NEARBY)[..., None]
    normal = np.add.reduceat(np.einsum("pqm,pqn->pmn", weighted, P, optimize=True), starts, axis=0)
    right = np.add.reduceat(
        np.einsum("pqm,pqk->pmk", weighted, values[element], optimize=True), starts, axis=0
    )
    corners = vertex[starts]
    coefficients = np.zeros((len(nodes), P.shape[2], values.shape[2]))
    coefficients[corners] = np.linalg.solve(normal, right)
    scale = np.ones(len(nodes))
    scale[corners] = reach[starts]
    return _at_nodes(nodes, sampled.triangles, coefficients, scale)


def estimate(el: Elements, rough: Floats, smooth: Floats, C: Floats) -> ErrorEstimate:
    """Zienkiewicz-Zhu: ‖e‖² ≈ ∫ (σ* − σ) C (σ* − σ) dA per element, C (s, t) the compliance.

    ``rough`` (e, q, s) is the stress of the elements, ``smooth`` (n, s) the recovered one.
    """
    gap = np.einsum("qa,eas->eqs", el.N, smooth[el.triangles]) - rough
    energy = np.einsum("eqs,st,eqt,eq->e", gap, C, gap, el.w, optimize=True)
    whole = np.einsum("eqs,st,eqt,eq->", rough, C, rough, el.w, optimize=True)
    total = float(energy.sum())
    relative = np.sqrt(total / (whole + total)) if whole + total > 0 else 0.0
    return ErrorEstimate(energy, float(relative))


def _patches(triangles: Ints, nodes: int) -> tuple[Ints, Ints]:
    """Pairs (p,) of corner node and element of its patch, sorted by node."""
    e = len(triangles)
    ones, element = np.ones(3 * e), np.repeat(np.arange(e), 3)
    own = sparse.csr_array((ones, (triangles[:, :3].ravel(), element)), shape=(nodes, e))
    count = np.bincount(triangles[:, :3].ravel(), minlength=nodes)
    few = np.flatnonzero((count < FEWEST_ELEMENTS) & (count > 0))
    wider, plain = (own[few] @ own.T @ own).tocoo(), own.tocoo()
    kept = ~np.isin(plain.row, few)
    vertex = np.concatenate([plain.row[kept], few[wider.row]])
    element = np.concatenate([plain.col[kept], wider.col])
    order = np.lexsort((element, vertex))
    return vertex[order].astype(np.int64), element[order].astype(np.int64)


def _reach(distance: Floats, starts: Ints) -> Floats:
    """Size (p,) of the patch of each pair: the largest distance of its sampling points."""
    size = np.maximum.reduceat(distance, starts)
    return np.repeat(size, np.diff([*starts, len(distance)]))


def _quadratic(x: Floats) -> Floats:
    """1, x, y, x², xy, y² (..., 6) at places (..., 2)."""
    x, y = x[..., 0], x[..., 1]
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def _at_nodes(nodes: Floats, triangles: Ints, coefficients: Floats, scale: Floats) -> Floats:
    """The fitted polynomials at the nodes (n, k); in the middle of a side the mean of two."""
    smooth = coefficients[:, 0].copy()
    start, end, middle = triangles[:, [0, 1, 2]], triangles[:, [1, 2, 0]], triangles[:, 3:]

    def seen_from(corner: Ints) -> Floats:
        place = (nodes[middle] - nodes[corner]) / scale[corner][..., None]
        return np.einsum("eam,eamk->eak", _quadratic(place), coefficients[corner])

    smooth[middle] = (seen_from(start) + seen_from(end)) / 2
    return smooth
