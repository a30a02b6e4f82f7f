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
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse

from rimfea.arrays import Floats, Ints
from rimfea.fem.elements import Elements

if TYPE_CHECKING:
    from scipy.sparse import csr_array

FEWEST_ELEMENTS = 5
NEARBY = 0.01  # (distance / size of the patch)² within which all samples weigh the same


@dataclass(frozen=True)
class ErrorEstimate:
    """Energy of the error by element (e,), and the whole, relative to the energy norm."""

    energy: Floats
    relative: float


def recovered(nodes: Floats, sampled: Elements, values: Floats) -> Floats:
    """Nodal values (n, k) of a field given at the sampling points (e, q, k) of ``sampled``."""
    flat = values.reshape(-1, values.shape[2])
    return np.asarray(recovery(nodes, sampled) @ flat)


def recovery(nodes: Floats, sampled: Elements) -> csr_array:
    """The matrix (n, e·q) that takes values at the sampling points to the nodes.

    It depends on the mesh alone, so any number of fields can share it.
    """
    vertex, element = _patches(sampled.triangles, len(nodes))
    starts = np.flatnonzero(np.diff(vertex, prepend=-1))
    offset = sampled.points[element] - nodes[vertex][:, None]
    reach = _reach(np.linalg.norm(offset, axis=2).max(axis=1), starts)
    offset = offset / reach[:, None, None]
    P = _quadratic(offset)
    weighted = P / ((offset**2).sum(axis=2) + NEARBY)[..., None]
    normal = np.add.reduceat(np.einsum("pqm,pqn->pmn", weighted, P, optimize=True), starts, axis=0)
    inverse = np.linalg.inv(normal)[np.repeat(np.arange(len(starts)), _counts(starts, len(vertex)))]
    fit = np.einsum("pmn,pqn->pqm", inverse, weighted, optimize=True)
    return _at_nodes(nodes, sampled, fit, vertex, element, reach)


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


def _counts(starts: Ints, pairs: int) -> Ints:
    return np.diff(starts, append=pairs)


def _reach(distance: Floats, starts: Ints) -> Floats:
    """Size (p,) of the patch of each pair: the largest distance of its sampling points."""
    size = np.maximum.reduceat(distance, starts)
    return np.repeat(size, _counts(starts, len(distance)))


def _quadratic(x: Floats) -> Floats:
    """1, x, y, x², xy, y² (..., 6) at places (..., 2)."""
    x, y = x[..., 0], x[..., 1]
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def _at_nodes(
    nodes: Floats, sampled: Elements, fit: Floats, vertex: Ints, element: Ints, reach: Floats
) -> csr_array:
    """The fitted polynomials at the nodes; in the middle of a side the mean of its two.

    ``fit`` (p, q, m) are the weights of the sampling points in the coefficients of the
    polynomial around each corner node.
    """
    q = fit.shape[1]
    columns = q * element[:, None] + np.arange(q)
    t = sampled.triangles
    corner = np.concatenate([t[:, :3].ravel(), t[:, [1, 2, 0]].ravel()])
    side = np.unique(np.column_stack([corner, np.tile(t[:, 3:].ravel(), 2)]), axis=0)
    first, last = (np.searchsorted(vertex, side[:, 0], edge) for edge in ("left", "right"))
    count = last - first
    pair = np.repeat(first - np.cumsum(count) + count, count) + np.arange(count.sum())
    corner_of, middle = np.repeat(side, count, axis=0).T
    place = (nodes[middle] - nodes[corner_of]) / reach[pair][:, None]
    seen = np.einsum("pm,pqm->pq", _quadratic(place), fit[pair]) / 2
    row = np.concatenate([np.repeat(vertex, q), np.repeat(middle, q)])
    column = np.concatenate([columns.ravel(), columns[pair].ravel()])
    value = np.concatenate([fit[:, :, 0].ravel(), seen.ravel()])
    shape = (len(nodes), q * len(t))
    return sparse.coo_array((value, (row, column)), shape=shape).tocsr()
