"""Cuts across the walls, and the stress along them made linear: membrane and bending.

The point under a load and a sharp corner have no converged peak stress; the linear part of
the stress across a wall has. With s from the middle of a cut of length t:

    σ_m = (1/t) ∫ σ ds        σ_b = (6/t²) ∫ σ s ds        (each component for itself)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats, Ints
from rimfea.fem.interpolate import Places, places
from rimfea.geometry.chords import chords
from rimfea.geometry.outline import Outline
from rimfea.mesh.mesh import Mesh

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

    @property
    def tangent(self) -> Floats:
        """Unit vectors (c, 2) along the wall's mid-line."""
        across = (self.end - self.start) / self.length[:, None]
        return np.column_stack([across[:, 1], -across[:, 0]])


@dataclass(frozen=True)
class Linearised:
    """Membrane and bending stress (c, 6) of every cut, MPa; the bending part is that of the
    end of the cut.
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


def linearised(across: Cuts, stress: Floats) -> Linearised:
    """Membrane and bending part of a nodal stress (n, 6) on every cut."""
    values = across.along(stress).reshape(len(across.start), len(GAUSS), -1)
    membrane = np.einsum("q,cqk->ck", GAUSS_WEIGHTS / 2, values)
    bending = np.einsum("q,cqk->ck", 1.5 * GAUSS_WEIGHTS * GAUSS, values)
    return Linearised(membrane, bending)
