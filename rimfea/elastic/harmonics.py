"""A body of revolution under loads of any shape around it: few harmonics solved, all used.

Fields are sums over harmonics with complex amplitudes c_n: a component that goes with cos nθ
for a load symmetric about θ = 0 is Re Σ c_n e^{inθ}, one that goes with sin nθ is Im of the
same sum. A real amplitude is the symmetric family, an imaginary one the other, and turning a
load by θ₀ multiplies its amplitudes by e^{−inθ₀}; K(n) is the same for all.

The response varies smoothly with n, so K(n) u = f is solved at a few n only. The same factors give
its slope there, K(n) du/dn = −(dK/dn) u, at a fraction of what another harmonic would cost. Both
are the basis onto which K0, K1, K2 are projected, and the small system is solved for every n.
Whether that is enough is found out by solving in full at harmonics in between: these solutions
join the basis if it is not, until the error found is below the tolerance.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import scipy
from threadpoolctl import threadpool_limits

from rimfea.allocator import share_one_arena
from rimfea.arrays import Floats, Ints
from rimfea.brief import brief
from rimfea.errors import SolveError
from rimfea.fem.revolved import Revolved
from rimfea.fem.solve import NOTHING_HELD, elimination_order, factorised

if TYPE_CHECKING:
    from scipy.sparse import csc_array

Solutions: TypeAlias = tuple[Floats, ...]
TOLERANCE = 1e-3
# Neighbouring harmonics of the first basis are apart by this ratio, but no more than this share
# of the highest: long waves change with log n, short ones with n.
SPREAD = 3.0
WIDEST = 0.3
CHECKS = 3
# The small systems are solved for every harmonic up to the first, then at this ratio or share.
# A spline between leaves out a few 1e-5.
ALL_UP_TO, DENSE, DENSE_WIDEST, SPLINED = 40, 1.06, 0.02, 1e-4
MOST_SOLVES = 60
DEPENDENT = 1e-9
THREADS = 2
# The threads of dense algebra would only fight those that solve two harmonics at a time.
ONE_DENSE_THREAD = threadpool_limits.wrap(limits=1, user_api="blas")
share_one_arena()  # before there is a thread


Guess: TypeAlias = Callable[[Revolved, Floats], Solutions]


@dataclass(frozen=True)
class Near:
    """What is known of a body that differs in little but its spokes: an orthonormal ``basis``
    (d, m) of answers to the same loads. Stiffer or softer spokes under a load leave the answers
    within it; what tension softens, checks find out.
    """

    basis: Floats

    __repr__ = brief


@dataclass(frozen=True)
class Harmonics:
    """Solutions to unit loads (l): ``basis`` (d, m), ``n`` (h,) = 0, 1, 2 …, and the solution of
    harmonic n under load l as ``basis @ weights[n, :, l]``. ``small`` are K0, K1, K2 as all but
    the last l vectors of the basis see them.

    ``solved`` are the harmonics whose answers are in the basis, ``error`` the largest error in the
    energy norm, relative, found at the last harmonics in between that were solved in full.
    """

    basis: Floats
    n: Ints
    weights: Floats
    small: tuple[Floats, ...]
    solved: tuple[int, ...]
    error: float

    __repr__ = brief

    @property
    def near(self) -> Near:
        """What a body that differs in little but its spokes may start from."""
        return Near(self.basis[:, : len(self.small[0])])


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def solve_harmonics(
    body: Revolved,
    F: Floats,
    still: Floats,
    highest: int,
    tolerance: float = TOLERANCE,
    guess: Guess | Near | None = None,
) -> Harmonics:
    """Unit loads F (d, l) of every harmonic from 0 to ``highest``, followed by those of
    ``still`` (d, k), which are even around the axis and so have harmonic 0 only.

    ``guess`` gives answers at some harmonics that are near enough to be the basis, and spares
    solving there; the error is then not found (nan). What is :class:`Near` is checked as if it had
    been solved here. Raises :class:`~rimfea.errors.SolveError`, naming the harmonic, where K(n) is
    singular.
    """
    if callable(guess):
        known: list[int] = []
        worst = float("nan")
        reduced = _nothing(body, F).joined(guess(body, F))
    else:
        known, reduced, worst = _sampled(body, F, highest, tolerance, guess)
    n = np.arange(highest + 1)
    even = _still(body, np.hstack([F, still]))
    basis = np.hstack([reduced.V, even])
    weights = np.zeros((len(n), basis.shape[1], even.shape[1]))
    weights[1:, : reduced.V.shape[1], : F.shape[1]] = reduced.all_weights(highest, tolerance)
    weights[0, reduced.V.shape[1] :] = np.eye(even.shape[1])
    return Harmonics(basis, n, weights, reduced.small, (0, *known), worst)


def _sampled(
    body: Revolved, F: Floats, highest: int, tolerance: float, near: Near | None
) -> tuple[list[int], _Reduced, float]:
    """Harmonics solved in full, the basis that they make, and the largest error found."""
    solver = _solver(body, F)
    known = first_harmonics(highest)
    reduced = _nothing(body, F)
    reduced = reduced.on(near.basis) if near else reduced.joined(solver(known))
    worst = 0.0
    while checks := _checks(known):
        true = solver(checks)
        worst = max(
            _energy_error(body.at(n), reduced.solution(n), u[:, : F.shape[1]])
            for n, u in zip(checks, true, strict=True)
        )
        reduced, known = reduced.joined(true), sorted(known + checks)
        if worst < tolerance or len(known) > MOST_SOLVES:
            break
    return known, reduced, worst


@dataclass(frozen=True)
class _Reduced:
    """K0, K1, K2 (m, m) and F (m, l) as an orthonormal basis V (d, m) sees them."""

    parts: tuple[csc_array, csc_array, csc_array]
    F: Floats
    V: Floats
    small: tuple[Floats, ...]

    def joined(self, solutions: Sequence[Floats]) -> _Reduced:
        """With what the solutions (d, l) add to the basis: only that is projected anew."""
        return self.on(_widened(self.V, solutions))

    def on(self, V: Floats) -> _Reduced:
        """The same on an orthonormal basis that has this one in front."""
        m, small = self.V.shape[1], []
        for K, A in zip(self.parts, self.small, strict=True):
            all_new = V.T @ (K @ V[:, m:])
            small.append(np.block([[A, all_new[:m]], [all_new[:m].T, all_new[m:]]]))
        return _Reduced(self.parts, self.F, V, tuple(small))

    def weights(self, n: Floats) -> Floats:
        """Weights (h, m, l) of the basis for harmonics n (h,)."""
        load = self.V.T @ self.F

        def some(n: Floats) -> Floats:
            A0, A1, A2 = self.small
            k = n[:, None, None]
            return np.asarray(np.linalg.solve(A0 + k * A1 + k * k * A2, load[None]))

        with ThreadPoolExecutor(THREADS) as pool:
            return np.concatenate(list(pool.map(some, np.array_split(n, THREADS))))

    def all_weights(self, highest: int, tolerance: float) -> Floats:
        """Weights (h, m, l) for n = 1 … ``highest``: solved for all the long waves and for some of
        the short ones, with a cubic spline between where that is good enough.
        """
        every, some = np.arange(1.0, highest + 1), _dense(highest)
        if tolerance < SPLINED or len(some) == len(every):
            return self.weights(every)
        return np.asarray(scipy.interpolate.CubicSpline(some, self.weights(some), axis=0)(every))

    def solution(self, n: int) -> Floats:
        """The solution (d, l) at one harmonic."""
        return self.V @ self.weights(np.array([float(n)]))[0]


def _nothing(body: Revolved, F: Floats) -> _Reduced:
    """The basis without any vector."""
    return _Reduced(body.parts(), F, np.empty((len(F), 0)), (np.empty((0, 0)),) * 3)


def _energy_error(K: csc_array, ours: Floats, true: Floats) -> float:
    """Largest error over the loads, relative in the energy norm: that of the mean stress."""
    gap = ours - true
    work = np.einsum("dl,dl->l", true, K @ true)
    error = np.abs(np.einsum("dl,dl->l", gap, K @ gap))[work > 0] / work[work > 0]
    return float(np.sqrt(error.max(initial=0.0)))


def first_harmonics(highest: int) -> list[int]:
    """From 1 at even ratios to where a ratio is as wide as a step may be, from there in even steps
    to the highest.
    """
    turn = max(1.0, highest * WIDEST / (SPREAD - 1))
    ratios, steps = np.log(turn) / np.log(SPREAD), (highest - turn) / (highest * WIDEST)
    long = np.geomspace(1, turn, 1 + int(np.ceil(ratios)))
    short = np.linspace(turn, highest, 1 + int(np.ceil(steps)))
    return sorted({int(n) for n in np.concatenate([long, short]).round()})


def _dense(highest: int) -> Floats:
    """Harmonics between which weights are interpolated."""
    chosen = [1]
    while (n := chosen[-1]) < highest:
        step = min(n * (DENSE - 1), highest * DENSE_WIDEST) if n >= ALL_UP_TO else 1
        chosen.append(min(highest, n + max(1, int(step))))
    return np.array(chosen, dtype=np.float64)


def _checks(known: list[int]) -> list[int]:
    """A few harmonics between those known: the first gap, where bending of the whole ring
    changes most, and others over the range.
    """
    between = [round((a * b) ** 0.5) for a, b in pairwise(known) if b - a > 1]
    if len(between) <= CHECKS:
        return between
    picked = np.linspace(0, len(between) - 1, CHECKS + 1)[:-1].round().astype(int)
    return [between[k] for k in picked]


def _solver(body: Revolved, F: Floats) -> Callable[[Sequence[int]], list[Floats]]:
    """K(n)⁻¹ F and its slope in n (d, 2l) for some harmonics: the order of elimination is the same
    for all, and SuperLU lets two threads work at once.
    """
    try:
        order = elimination_order(body.at(1))
    except SolveError as error:
        raise SolveError(f"harmonic 1: {error}") from error
    ordered, loads = body.taken(order), F[order]

    def solution(n: int) -> Floats:
        try:
            solve = factorised(ordered.at(n), NOTHING_HELD, ordered=True).solve
            solved = with_slope(solve, ordered, n, loads)
        except SolveError as error:
            raise SolveError(f"harmonic {n}: {error}") from error
        U = np.empty((len(F), 2 * F.shape[1]))
        U[order] = solved
        return U

    def solutions(harmonics: Sequence[int]) -> list[Floats]:
        with ThreadPoolExecutor(THREADS) as pool:
            return list(pool.map(solution, harmonics))

    return solutions


def with_slope(solve: Callable[[Floats], Floats], body: Revolved, n: float, F: Floats) -> Floats:
    """K(n)⁻¹ F and its slope in n (d, 2l): −K(n)⁻¹ (dK/dn) K(n)⁻¹ F, by what solves K(n)."""
    U = solve(F)
    return np.hstack([U, solve(-(body.slope(n) @ U))])


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


def _widened(V: Floats, solutions: Sequence[Floats]) -> Floats:
    """The orthonormal basis V (d, m) with that of every solution (d, l) in it, near copies
    left out. One by one, because a small remainder is then still exact to many digits, and
    twice, because one pass leaves round-off as large as the part taken out.
    """
    m, wide = V.shape[1], np.empty((V.shape[0], V.shape[1] + sum(U.shape[1] for U in solutions)))
    wide = np.asfortranarray(wide)
    wide[:, :m] = V
    for U in solutions:
        size = np.linalg.norm(U, axis=0)
        rest = U[:, size > 0] / size[size > 0]
        for _ in range(2):
            rest -= wide[:, :m] @ (wide[:, :m].T @ rest)
        Q, R = np.linalg.qr(rest)
        turn, strength, _ = np.linalg.svd(R)
        new = Q @ turn[:, strength > DEPENDENT]
        wide[:, m : m + new.shape[1]] = new
        m += new.shape[1]
    return wide[:, :m]
