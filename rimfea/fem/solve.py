"""One factorisation, many right-hand sides, and the evidence that the answer balances."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from scipy.sparse.linalg import ArpackError, SuperLU, splu

from rimfea.arrays import Bools, Floats, Ints
from rimfea.errors import SolveError

if TYPE_CHECKING:
    from scipy.sparse import csc_array

NOTHING_HELD = np.array([], dtype=np.int64)
LARGEST_RESIDUAL = 1e-6
# Pushed all over with forces of about 1, a body moves by so much more than a single unknown would
# on its own stiffness: 1e10 times for a slender bow, 1e16 and more where a motion is free.
MOST_GIVEN = 1e13
FREE = "the equations are singular: the supports leave the body free to move"


@contextmanager
def solvable() -> Iterator[None]:
    """What the libraries of algebra give up on, as :class:`~rimfea.errors.SolveError`."""
    try:
        yield
    except MemoryError as error:
        raise SolveError(
            "the equations need more memory than there is: end other programs, or ask fewer rims "
            "at once"
        ) from error
    except (np.linalg.LinAlgError, ArpackError) as error:
        raise SolveError(
            f"the equations have no trustworthy answer ({error}): look for a wall that is very "
            "thin or very thick beside the others"
        ) from error


@dataclass(frozen=True)
class Factorised:
    """K with some unknowns held at zero, ready for any number of loads."""

    K: csc_array
    free: Bools
    factor: SuperLU

    def solve(self, F: Floats) -> Floats:
        """U (n,) or (n, k) with K U = F at the free unknowns and 0 at the held ones.

        Raises :class:`~rimfea.errors.SolveError` when the residual shows that the equations
        were singular.
        """
        U = np.zeros_like(F)
        U[self.free] = self.factor.solve(F[self.free])
        worst = self.residual(U, F)
        if not worst < LARGEST_RESIDUAL:
            raise SolveError(
                f"the equations have no trustworthy solution (residual {worst:.1e}): "
                "the supports leave the body free to move"
            )
        return U

    def reactions(self, U: Floats, F: Floats) -> Floats:
        """What the held unknowns must carry: K U − F, zero at the free ones."""
        R = np.asarray(self.K @ U - F)
        R[self.free] = 0.0
        return R

    def residual(self, U: Floats, F: Floats) -> float:
        """Largest |K U − F| at a free unknown, relative to the size of the terms in K U."""
        gap = (self.K @ U - F)[self.free]
        scale = (abs(self.K) @ np.abs(U)).max(initial=0.0) + np.abs(F).max(initial=0.0)
        return float(np.abs(gap).max(initial=0.0) / scale) if scale > 0 else 0.0


def elimination_order(K: csc_array) -> Ints:
    """The order (n,) of the unknowns in which a factorisation of this pattern fills in little:
    K taken in it can be factorised as ``ordered``.
    """
    return np.asarray(np.argsort(_factor(K, "MMD_AT_PLUS_A").perm_c), dtype=np.int64)


def factorised(K: csc_array, held: Ints, *, ordered: bool = False) -> Factorised:
    """Factorise K (symmetric, positive definite once held) with unknowns ``held`` at zero.

    ``ordered`` says that the unknowns are in a good order already, which saves finding one.
    Raises :class:`~rimfea.errors.SolveError` when they leave the body free to move.
    """
    free = np.ones(K.shape[0], dtype=bool)
    free[held] = False
    inner = K[free][:, free].tocsc() if len(held) else K
    factor = _factor(inner, "NATURAL" if ordered else "MMD_AT_PLUS_A")
    if not _given(inner, factor) < MOST_GIVEN:
        raise SolveError(FREE)
    return Factorised(K, free, factor)


def condensed(K: csc_array, first: int) -> csc_array:
    """K as its unknowns after the ``first`` feel it, the first free of load: the Schur complement,
    put together from the last block of the factors of all.

    K is symmetric and its first unknowns are in a good order. Raises
    :class:`~rimfea.errors.SolveError` where it is singular.
    """
    whole = factorised(K, NOTHING_HELD, ordered=True).factor
    # SuperLU may shift unknowns so that the branches of its tree lie together, but leaves those
    # that follow from the last ones among themselves.
    last = np.sort(whole.perm_c[first:])
    ours = np.argsort(np.argsort(whole.perm_c[first:]))
    L, U = whole.L[last][:, last], whole.U[last][:, last]
    return (L @ U)[ours][:, ours].tocsc()


def factor(K: csc_array) -> SuperLU:
    """The factors of K in an order of their own. SuperLU gives their memory back only if they are
    dropped by the thread that made them: whoever keeps them makes them itself, and not in a pool.

    Raises :class:`~rimfea.errors.SolveError` where K is singular.
    """
    return _factor(K, "MMD_AT_PLUS_A")


def _given(K: csc_array, factor: SuperLU) -> float:
    """How much further the softest motion goes than the stiffest unknown would. The pivots say it
    too, but whoever asks SuperLU for them makes it keep a copy of all its factors.
    """
    push = np.random.default_rng(0).standard_normal(K.shape[0])
    moved = np.abs(factor.solve(push)).max(initial=0.0)
    return float(moved * K.diagonal().max(initial=0.0))


def _factor(K: csc_array, order: Literal["NATURAL", "MMD_AT_PLUS_A"]) -> SuperLU:
    try:
        return splu(K, permc_spec=order, diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    except RuntimeError as error:
        raise SolveError(FREE) from error
