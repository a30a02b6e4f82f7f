"""A body of revolution as a sector that repeats: few harmonics, each factorised once.

A load at θ = 0 whose answer dies away within 2π/N around is as good as N such loads, one in every
sector: only the harmonics 0, N, 2N … are left, and a stress at θ is a sum of few terms. The
metal may yield and turn within a window about the load: some of the elements, at points of
quadrature on stations around, on one side of the load, for the other mirrors it.

Gradients H_ij = ∂u_i/∂X_j in x y z at a point (z around the axis), as nine rows in the order of
``EVEN`` (with cos nθ) and ``ODD`` (with sin nθ), from u_x = w cos nθ, u_y = u cos nθ and
u_z = v sin nθ:

    H_zz = (u + n v)/r     H_xz = −n w/r     H_yz = −(n u + v)/r     H_zx = v,x     H_zy = v,y
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse

from rimfea.arrays import Floats, Ints
from rimfea.brief import brief
from rimfea.fem.assemble import degrees_of_freedom
from rimfea.fem.elements import Elements
from rimfea.fem.revolved import Revolved
from rimfea.fem.solve import condensed, elimination_order, factor

if TYPE_CHECKING:
    from scipy.sparse import csr_array
    from scipy.sparse.linalg import SuperLU

EVEN = ((0, 0), (0, 1), (1, 0), (1, 1), (2, 2))
ODD = ((0, 2), (1, 2), (2, 0), (2, 1))
STATIONS = 1.5  # to a harmonic: products of two gradients are then summed nearly exactly
THREADS = 2


@dataclass(frozen=True)
class Sector:
    """K(n) of the harmonics ``n`` (h,) of a sector that ``repeats``, in factors, condensed onto the
    ``unknowns`` (d,) of the window: what lies beyond answers as an elastic body. ``spread`` are
    sparse matrices from unknowns to gradients at the ``points`` (p, 2), those of B0 and of n B1,
    even and odd ones; ``volume`` (p, t) in mm³ is what a point at a station ``theta`` stands for,
    on both sides of the load.
    """

    n: Ints
    repeats: int
    unknowns: Ints
    factors: tuple[SuperLU, ...]
    theta: Floats
    points: Floats
    volume: Floats
    spread: tuple[csr_array, ...]

    __repr__ = brief

    @cached_property
    def gathered(self) -> tuple[csr_array, ...]:
        """The way back, from stress to forces."""
        return tuple(G.T.tocsr() for G in self.spread)

    @cached_property
    def waves(self) -> tuple[Floats, Floats]:
        """Cos nθ and sin nθ (h, t)."""
        angles = np.outer(self.n, self.theta)
        return np.cos(angles), np.sin(angles)

    @cached_property
    def around(self) -> Floats:
        """∫ cos² nθ dθ (h,) over a sector: the work of amplitudes on one another."""
        return np.where(self.n == 0, 2.0, 1.0) * np.pi / self.repeats

    def gradients(self, U: Floats) -> Floats:
        """H (9, p, t) of amplitudes U (d, h)."""
        cos, sin = self.waves
        Un, (p, t) = U * self.n, self.volume.shape
        even = (self.spread[0] @ U + self.spread[1] @ Un) @ cos
        odd = (self.spread[2] @ U + self.spread[3] @ Un) @ sin
        return np.concatenate([even, odd]).reshape(9, p, t)

    def forces(self, T: Floats) -> Floats:
        """Amplitudes (d, h) of ∫ T : δH over the window, from T (9, p, t) in MPa."""
        cos, sin = self.waves
        weighted = T * self.volume
        even = weighted[:5].reshape(-1, len(self.theta)) @ (cos.T / self.around)
        odd = weighted[5:].reshape(-1, len(self.theta)) @ (sin.T / self.around)
        back = self.gathered
        return np.asarray(
            back[0] @ even + (back[1] @ even) * self.n + back[2] @ odd + (back[3] @ odd) * self.n
        )

    def solve(self, f: Floats) -> Floats:
        """K(n)⁻¹ f (d, h), a harmonic a column."""
        columns = np.ascontiguousarray(f.T)
        return np.stack([K.solve(c) for K, c in zip(self.factors, columns, strict=True)], axis=1)

    def work(self, f: Floats, u: Floats) -> float:
        """∫ f u dθ over the sector, N mm."""
        return float(np.einsum("dh,dh->h", f, u) @ self.around)


def sector(
    body: Revolved,
    sampled: Elements,
    radius: float,
    chosen: Ints,
    *,
    repeats: int,
    highest: int,
    window: float,
) -> Sector:
    """The sector of a body in whose elements ``chosen`` (e,) the metal may yield within the angle
    ``window`` (radians) of the load. Raises :class:`~rimfea.errors.SolveError` where a K(n) is
    singular.
    """
    n = np.arange(0, highest + 1, repeats)
    inside = np.zeros(body.pattern.shape[0], dtype=bool)
    inside[degrees_of_freedom(sampled.triangles[chosen], 3)] = True
    first, last = (_in_good_order(body, np.flatnonzero(which)) for which in (~inside, inside))
    ordered = body.taken(np.concatenate([first, last]))
    with ThreadPoolExecutor(THREADS) as pool:
        every = pool.map(lambda each: condensed(ordered.at(each), len(first)), n)
        factors = tuple(factor(K) for K in every)
    total = int(np.ceil(STATIONS * len(n)))
    theta = (np.arange(total) + 0.5) * np.pi / repeats / total
    theta = theta[theta < window]
    return Sector(
        n=n,
        repeats=repeats,
        unknowns=last,
        factors=factors,
        theta=theta,
        points=sampled.points[chosen].reshape(-1, 2),
        volume=_volume(sampled, radius, chosen, theta),
        spread=_operators(sampled, radius, chosen, last),
    )


def carried(part: Sector, sampled: Elements, radius: float, chosen: Ints) -> Sector:
    """The window of a sector on the same elements ``chosen`` of a mesh that was moved a little. Its
    factors are still those of the other.
    """
    return replace(
        part,
        points=sampled.points[chosen].reshape(-1, 2),
        volume=_volume(sampled, radius, chosen, part.theta),
        spread=_operators(sampled, radius, chosen, part.unknowns),
    )


def _volume(sampled: Elements, radius: float, chosen: Ints, theta: Floats) -> Floats:
    """What points of elements stand for (p, t) at stations, the first half a spacing from the
    middle, on both sides of it.
    """
    area = (sampled.w[chosen] * (radius + sampled.points[chosen][..., 1])).ravel()
    return np.outer(area, np.full(len(theta), 4 * theta[0]))


def _in_good_order(body: Revolved, some: Ints) -> Ints:
    """Some of the unknowns in an order in which eliminating them fills in little."""
    return some[elimination_order(body.at(1)[some][:, some].tocsc())] if len(some) else some


def _operators(
    sampled: Elements, radius: float, chosen: Ints, unknowns: Ints
) -> tuple[csr_array, ...]:
    """Sparse (5p, d), (5p, d), (4p, d), (4p, d): even gradients, their part that goes with n, and
    the odd ones alike.
    """
    dN, e = sampled.dN[chosen], len(chosen)
    q, a = sampled.N.shape
    over_r = sampled.N / (radius + sampled.points[chosen][..., 1, None])
    where = np.empty(3 * sampled.nodes, dtype=np.int64)
    where[unknowns] = np.arange(len(unknowns))
    place = where[degrees_of_freedom(sampled.triangles[chosen], 3)].reshape(e, 1, a, 3)
    d_x, d_y = dN[..., 0], dN[..., 1]

    def matrix(count: int, entries: Sequence[tuple[int, int, Floats]]) -> csr_array:
        rows, columns, values = [], [], []
        for row, component, value in entries:
            at = row * e * q + np.arange(e * q).reshape(e, q, 1)
            rows.append(np.broadcast_to(at, value.shape).ravel())
            columns.append(np.broadcast_to(place[..., component], value.shape).ravel())
            values.append(value.ravel())
        entry = (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns)))
        return sparse.csr_array(entry, shape=(count * e * q, len(unknowns)))

    return (
        matrix(5, [(0, 0, d_x), (1, 0, d_y), (2, 1, d_x), (3, 1, d_y), (4, 1, over_r)]),
        matrix(5, [(4, 2, over_r)]),
        matrix(4, [(1, 2, -over_r), (2, 2, d_x), (3, 2, d_y)]),
        matrix(4, [(0, 0, -over_r), (1, 1, -over_r)]),
    )
