"""The stiffness of a body of revolution, as a matrix for every harmonic around it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse

from rimfea.arrays import Floats, Ints
from rimfea.brief import brief
from rimfea.fem.assemble import degrees_of_freedom

if TYPE_CHECKING:
    from scipy.sparse import csc_array


@dataclass(frozen=True)
class Revolved:
    """K(n) = K0 + n K1 + n² K2 (3·nodes square) in one sparsity pattern."""

    pattern: csc_array
    data: tuple[Floats, Floats, Floats]

    __repr__ = brief

    def at(self, n: float) -> csc_array:
        """K(n)."""
        K0, K1, K2 = self.data
        return self._matrix(K0 + n * K1 + n * n * K2)

    def slope(self, n: float) -> csc_array:
        """dK/dn."""
        _, K1, K2 = self.data
        return self._matrix(K1 + 2 * n * K2)

    def _matrix(self, values: Floats) -> csc_array:
        kept = (values, self.pattern.indices, self.pattern.indptr)
        return sparse.csc_array(kept, shape=self.pattern.shape)

    def taken(self, order: Ints) -> Revolved:
        """The same with its unknowns in another order (d,)."""
        count = np.arange(self.pattern.nnz, dtype=np.float64)
        kept = (count, self.pattern.indices, self.pattern.indptr)
        pattern = sparse.csc_array(kept, shape=self.pattern.shape)[order][:, order].tocsc()
        pattern.sort_indices()  # or the threads that share it would each do so, in place
        entry = pattern.data.astype(np.int64)
        K0, K1, K2 = self.data
        return Revolved(pattern, (K0[entry], K1[entry], K2[entry]))

    def parts(self) -> tuple[csc_array, csc_array, csc_array]:
        """K0, K1 and K2 as matrices, each with its own entries only: less than half are."""
        kept = self.pattern.indices, self.pattern.indptr
        first, second, third = (
            sparse.csc_array((values, *kept), shape=self.pattern.shape, copy=True)
            for values in self.data
        )
        for K in (first, second, third):
            K.eliminate_zeros()
        return first, second, third


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
