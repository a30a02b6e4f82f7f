"""Cuts across the walls, and the stress along them made linear: membrane and bending.

The point under a load and a sharp corner have no converged peak stress; the linear part of
the stress across a wall has. With s from the middle of a cut of length t:

    σ_m = (1/t) ∫ σ ds        σ_b = (6/t²) ∫ σ s ds        (each component for itself)
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse

from rimfea.arrays import Bools, Floats, Ints
from rimfea.brief import brief
from rimfea.fem.interpolate import Places, places
from rimfea.geometry.chords import chords
from rimfea.geometry.outline import Outline
from rimfea.mesh.mesh import Mesh

if TYPE_CHECKING:
    from scipy.sparse import csr_array

GAUSS, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True)
class Cuts:
    """Cuts (c) across walls: start and end (c, 2) on the two faces, length (c,) as a caliper
    reads it, wall (c,) as an index into ``names``, and the places along them in the mesh.
    """

    start: Floats
    end: Floats
    length: Floats
    wall: Ints
    names: tuple[str, ...]
    along: Places

    __repr__ = brief

    @property
    def tangent(self) -> Floats:
        """Unit vectors (c, 2) along the wall's mid-line."""
        across = (self.end - self.start) / self.length[:, None]
        return np.column_stack([across[:, 1], -across[:, 0]])

    def picked(self, which: Bools) -> Cuts:
        """Some of them, marked in ``which`` (c,)."""
        points = which.repeat(len(GAUSS))
        return Cuts(
            self.start[which],
            self.end[which],
            self.length[which],
            self.wall[which],
            self.names,
            Places(self.along.nodes[points], self.along.N[points]),
        )


@dataclass(frozen=True)
class Linearised:
    """Membrane and bending stress (c, t, 6) of every cut at every angle around the rim, MPa;
    the bending part is that of the end of the cut. A slice has one angle.
    """

    membrane: Floats
    bending: Floats


def cuts(outline: Outline, mesh: Mesh, spacing: float) -> Cuts:
    """Cuts at right angles to every wall's mid-line, about ``spacing`` mm apart."""
    found = chords(outline, spacing)
    middle, half = (found.start + found.end) / 2, (found.end - found.start) / 2
    points = middle[:, None] + GAUSS[:, None] * half[:, None]
    along = places(mesh.nodes, mesh.triangles, points.reshape(-1, 2))
    return Cuts(found.start, found.end, found.lengths, found.label, found.names, along)


def across_cuts(across: Cuts, nodes: int) -> csr_array:
    """The matrix (2c, n) from a nodal field to its membrane, then its bending, on every cut."""
    q = len(GAUSS)
    cut = np.arange(len(across.start)).repeat(6 * q)
    N = across.along.N.reshape(-1, q, 6)
    parts = [
        sparse.coo_array(
            ((N * w[:, None]).ravel(), (cut, across.along.nodes.ravel())),
            shape=(len(across.start), nodes),
        )
        for w in (GAUSS_WEIGHTS / 2, 1.5 * GAUSS_WEIGHTS * GAUSS)
    ]
    return sparse.vstack(parts).tocsr()


def linearised(across: Cuts, stress: Floats) -> Linearised:
    """Membrane and bending (c, 1, 6) of a nodal stress (n, 6) on every cut."""
    both = np.asarray(across_cuts(across, len(stress)) @ stress)
    membrane, bending = both.reshape(2, -1, 1, 6)
    return Linearised(membrane, bending)
