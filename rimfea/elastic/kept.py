"""What is kept of a solved body of revolution, so that others much like it are soon solved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimfea.arrays import Floats, Ints
from rimfea.elastic.harmonics import ONE_DENSE_THREAD, Solutions, with_slope
from rimfea.fem.revolved import Revolved
from rimfea.fem.solve import NOTHING_HELD, elimination_order, factorised

if TYPE_CHECKING:
    from scipy.sparse import csc_array
    from scipy.sparse.linalg import SuperLU


@dataclass(frozen=True)
class Kept:
    """What is kept of a solved body for others much like it: the harmonics ``n``, the order (d,)
    of elimination, and for each harmonic the factors of K(n) and the answers (d, l), with their
    slopes in n behind them (d, 2l) where these are kept, too.
    """

    n: tuple[int, ...]
    order: Ints
    factors: tuple[SuperLU, ...]
    answers: tuple[Floats, ...]

    def __getstate__(self) -> dict[str, object]:
        """To another process the answers go without the factors, which cannot travel."""
        return {**self.__dict__, "factors": ()}

    def corrected(self, body: Revolved, F: Floats) -> Solutions:
        """Solutions of a body that differs by a little: one step U + K⁻¹ (F' − K' U) with the kept
        K(n)⁻¹, whose error is of the second order in the difference; slopes in n likewise.
        """
        found = []
        for n, factor, kept in zip(self.n, self.factors, self.answers, strict=True):
            K, U = body.at(n), kept[:, : F.shape[1]]
            corrected = [self._step(factor, F, K, U)]
            if (steep := kept[:, F.shape[1] :]).size:
                corrected.append(self._step(factor, -(body.slope(n) @ corrected[0]), K, steep))
            found.append(np.hstack(corrected))
        return tuple(found)

    def _step(self, factor: SuperLU, F: Floats, K: csc_array, U: Floats) -> Floats:
        corrected = U.copy()
        corrected[self.order] += factor.solve((F - K @ U)[self.order])
        return corrected


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def keep(body: Revolved, F: Floats, n: Sequence[int], *, slopes: bool = False) -> Kept:
    """Solve at the harmonics n, for the ``slopes`` in n too if asked to, and keep the factors."""
    order = elimination_order(body.at(1))
    ordered, loads = body.taken(order), F[order]
    each_K = (ordered.at(each) for each in n)
    factors = tuple(factorised(K, NOTHING_HELD, ordered=True).factor for K in each_K)
    answers = tuple(np.empty((len(F), (1 + slopes) * F.shape[1])) for _ in n)
    for each, factor, U in zip(n, factors, answers, strict=True):
        solve = factor.solve
        U[order] = with_slope(solve, ordered, each, loads) if slopes else solve(loads)
    return Kept(tuple(n), order, factors, answers)


def rigid_motions(nodes: Floats, radius: float) -> Floats:
    """The ring's shift in its plane and its tilt (3n, 2), both of harmonic 1, for nodes (n, 2).

    Spokes are soft against the rim: a basis that bends these motions ever so little would stiffen
    the wheel.
    """
    x, r = nodes[:, 0], radius + nodes[:, 1]
    shift = np.column_stack([np.zeros_like(x), np.ones_like(x), -np.ones_like(x)])
    tilt = np.column_stack([r, -x, x])
    return np.column_stack([shift.ravel(), tilt.ravel()])
