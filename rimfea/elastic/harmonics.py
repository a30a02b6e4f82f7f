"""A body of revolution under loads of any shape around it: few harmonics solved, all used.

Fields are sums over harmonics with complex amplitudes c_n: a component that goes with cos nθ
for a load symmetric about θ = 0 is Re Σ c_n e^{inθ}, one that goes with sin nθ is Im of the
same sum. A real amplitude is the symmetric family, an imaginary one the other, and turning a
load by θ₀ multiplies its amplitudes by e^{−inθ₀}; K(n) is the same for all.

The response varies smoothly with n, so K(n) u = f is solved at a few n only; these solutions
are the basis onto which K0, K1, K2 are projected, and the small system is solved for every n.
Whether that is enough is found out by solving in full at harmonics in between: these solutions
join the basis, and there are more of them until the error found is below the tolerance.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse

from rimfea.arrays import Floats, Ints
from rimfea.errors import SolveError
from rimfea.fem.assemble import degrees_of_freedom
from rimfea.fem.solve import factorised

if TYPE_CHECKING:
    from scipy.sparse import csc_array

TOLERANCE = 1e-3
SPREAD = 1.75  # ratio of neighbouring harmonics in the first basis
CHECKS = 3
MOST_SOLVES = 60
DEPENDENT = 1e-9
THREADS = 2


@dataclass(frozen=True)
class Revolved:
    """K(n) = K0 + n K1 + n² K2 (3·nodes square) in one sparsity pattern."""

    pattern: csc_array
    data: tuple[Floats, Floats, Floats]

    def at(self, n: float) -> csc_array:
        """K(n)."""
        K0, K1, K2 = self.data
        values = K0 + n * K1 + n * n * K2
        kept = (values, self.pattern.indices, self.pattern.indptr)
        return sparse.csc_array(kept, shape=self.pattern.shape)

    def parts(self) -> tuple[csc_array, csc_array, csc_array]:
        """K0, K1 and K2 as matrices."""
        kept = self.pattern.indices, self.pattern.indptr
        first, second, third = (
            sparse.csc_array((values, *kept), shape=self.pattern.shape) for values in self.data
        )
        return first, second, third


@dataclass(frozen=True)
class Harmonics:
    """Answers to unit loads (l): ``basis`` (d, m), ``n`` (h,) = 0, 1, 2 …, and the solution of
    harmonic n under load l as ``basis @ weights[n, :, l]``.

    ``solved`` are the harmonics at which K(n) was factorised, ``error`` the largest error in
    the energy norm, relative, that the last harmonics checked had before they joined the basis.
    """

    basis: Floats
    n: Ints
    weights: Floats
    solved: tuple[int, ...]
    error: float


def revolved(triangles: Ints, blocks: Sequence[Floats], nodes: int, held: csc_array) -> Revolved:
    """Assemble K0, K1, K2 from element arrays (e, 18, 18); ``held`` (3·nodes square) is what
    the surroundings add to every harmonic alike.
    """
    dof = degrees_of_freedom(triangles, 3).astype(np.int32)
    m, size = dof.shape[1], 3 * nodes
    extra = held.tocoo()
    row = np.concatenate([np.repeat(dof, m, axis=1).ravel(), extra.row.astype(np.int32)])
    column = np.concatenate([np.tile(dof, (1, m)).ravel(), extra.col.astype(np.int32)])
    tails = (extra.data, np.zeros_like(extra.data), np.zeros_like(extra.data))
    first, second, third = (
        sparse.coo_array(
            (np.concatenate([block.ravel(), tail]), (row, column)), shape=(size, size)
        ).tocsc()
        for block, tail in zip(blocks, tails, strict=True)
    )
    return Revolved(first, (first.data, second.data, third.data))


def solve_harmonics(
    body: Revolved, F: Floats, still: Floats, highest: int, tolerance: float = TOLERANCE
) -> Harmonics:
    """Unit loads F (d, l) of every harmonic from 0 to ``highest``, followed by those of
    ``still`` (d, k), which are even around the axis and so have harmonic 0 only.

    Raises :class:`~rimfea.errors.SolveError`, naming the harmonic, where K(n) is singular.
    """
    parts, first = body.parts(), _first_harmonics(highest)
    solutions = dict(zip(first, _solutions(body, F, first), strict=True))
    worst = 0.0
    while checks := _checks(sorted(solutions)):
        reduced = _Reduced(parts, _orthonormal(list(solutions.values())), F)
        true = dict(zip(checks, _solutions(body, F, checks), strict=True))
        worst = max(_energy_error(body.at(n), reduced.solution(n), u) for n, u in true.items())
        solutions |= true
        if worst < tolerance or len(solutions) > MOST_SOLVES:
            break
    reduced = _Reduced(parts, _orthonormal(list(solutions.values())), F)
    n = np.arange(highest + 1)
    even = _still(body, np.hstack([F, still]))
    basis = np.hstack([reduced.V, even])
    weights = np.zeros((len(n), basis.shape[1], even.shape[1]))
    weights[1:, : reduced.V.shape[1], : F.shape[1]] = reduced.weights(n[1:].astype(np.float64))
    weights[0, reduced.V.shape[1] :] = np.eye(even.shape[1])
    return Harmonics(basis, n, weights, (0, *sorted(solutions)), worst)


class _Reduced:
    """K0, K1, K2 projected onto an orthonormal basis V."""

    def __init__(self, parts: Sequence[csc_array], V: Floats, F: Floats) -> None:
        self.V = V
        self.small = [V.T @ (K @ V) for K in parts]
        self.load = V.T @ F

    def weights(self, n: Floats) -> Floats:
        """Weights (h, m, l) of the basis for harmonics n (h,)."""
        A0, A1, A2 = self.small
        k = n[:, None, None]
        return np.asarray(np.linalg.solve(A0 + k * A1 + k * k * A2, self.load[None]))

    def solution(self, n: int) -> Floats:
        """The solution (d, l) at one harmonic."""
        return self.V @ self.weights(np.array([float(n)]))[0]


def _energy_error(K: csc_array, ours: Floats, true: Floats) -> float:
    """Largest error over the loads, relative in the energy norm: that of the mean stress."""
    gap = ours - true
    error = np.einsum("dl,dl->l", gap, K @ gap) / np.einsum("dl,dl->l", true, K @ true)
    return float(np.sqrt(np.abs(error).max()))


def _first_harmonics(highest: int) -> list[int]:
    chosen = [1]
    while chosen[-1] < highest:
        chosen.append(min(highest, max(chosen[-1] + 1, round(chosen[-1] * SPREAD))))
    return chosen


def _checks(known: list[int]) -> list[int]:
    """A few harmonics between those known, spread over the whole range."""
    between = [round((a * b) ** 0.5) for a, b in pairwise(known) if b - a > 1]
    if len(between) <= CHECKS:
        return between
    picked = np.linspace(0, len(between) - 1, CHECKS + 2)[1:-1].round().astype(int)
    return [between[k] for k in picked]


def _solutions(body: Revolved, F: Floats, harmonics: Sequence[int]) -> list[Floats]:
    """K(n)⁻¹ F (d, l) for every harmonic; SuperLU lets two threads work at once."""

    def solution(n: int) -> Floats:
        try:
            return factorised(body.at(n), np.array([], dtype=np.int64)).solve(F)
        except SolveError as error:
            raise SolveError(f"harmonic {n}: {error}") from error

    with ThreadPoolExecutor(THREADS) as pool:
        return list(pool.map(solution, harmonics))


def _still(body: Revolved, F: Floats) -> Floats:
    """Harmonic 0 (d, l): the section's plane and the spin about the axis do not mix."""
    K, answer = body.at(0), np.zeros_like(F)
    spin = np.arange(2, F.shape[0], 3)
    plane = np.setdiff1d(np.arange(F.shape[0]), spin)
    for held, free in ((spin, plane), (plane, spin)):
        loaded = np.abs(F[free]).max(axis=0) > 0
        if not loaded.any():
            continue
        own = np.zeros_like(F[:, loaded])
        own[free] = F[np.ix_(free, loaded)]
        try:
            answer[:, loaded] += factorised(K, held).solve(own)
        except SolveError as error:
            raise SolveError(f"harmonic 0: {error}") from error
    return answer


def _orthonormal(solutions: list[Floats]) -> Floats:
    """An orthonormal basis (d, m) of all solutions, near copies left out."""
    columns = np.hstack(solutions)
    size = np.linalg.norm(columns, axis=0)
    Q, R = np.linalg.qr(columns[:, size > 0] / size[size > 0])
    turn, strength, _ = np.linalg.svd(R)
    return np.asarray(Q @ turn[:, strength > DEPENDENT * strength[0]])
