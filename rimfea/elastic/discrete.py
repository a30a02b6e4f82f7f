"""N real spokes instead of the smeared foundation, on the ring's own compliance.

The free ring's seat compliance, harmonic for harmonic, gives the displacement of every seat
under a unit pull at every other: a small dense system for the displacement of the N seats.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.linalg import lu_factor, lu_solve

from rimfea.arrays import Floats, Ints
from rimfea.elastic import patches
from rimfea.elastic.ring import Ring, freed, times

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Complex = NDArray[np.complex128]

KEPT = "held by its spokes"
TURNS = np.array([1.0, 1.0, 1j])  # z goes with sin where x and y go with cos


@dataclass(frozen=True)
class Held:
    """A load case on a ring held by its real spokes: the seats' displacement (j, 3), the change
    of every spoke's tension (j,), and amplitudes (h, l) that act on the ring with its foundation
    as load and spokes together act on the free ring.
    """

    displacement: Floats
    tension_change: Floats
    amplitudes: Complex


def held(ring: Ring, cases: list[Complex]) -> list[Held]:
    """Hold the ring by its spokes under each case, amplitudes (h, l) of its loads alone."""
    spokes, S = ring.spokes, ring.spokes.tensors
    N = len(spokes.angle)
    free = [_at_seats(ring, freed(ring, A)) for A in cases]
    moved = lu_solve(_system(ring), np.stack([d.ravel() for d in free], axis=1))
    answers = []
    for case, column in zip(cases, moved.T, strict=True):
        d = column.reshape(N, 3)
        pull = -np.einsum("jab,jb->ja", S, d)
        change = -spokes.stiffness * np.einsum("ja,ja->j", spokes.direction, d)
        answers.append(Held(d, change, freed(ring, case + pulls(ring, pull))))
    return answers


def _system(ring: Ring) -> tuple[Floats, Ints]:
    """I + G S for the displacement of all seats, factorised, and kept with the ring for its next
    loads.
    """
    kept = vars(ring)
    if KEPT not in kept:
        kept[KEPT] = _factorised(ring)
    found: tuple[Floats, Ints] = kept[KEPT]
    return found


def _factorised(ring: Ring) -> tuple[Floats, Ints]:
    G, S, N = seat_compliance(ring), ring.spokes.tensors, len(ring.spokes.angle)
    whole = np.eye(3 * N) + np.einsum("jakb,kbc->jakc", G, S).reshape(3 * N, 3 * N)
    factors, order = lu_factor(whole)
    return factors, order


def pulls(ring: Ring, force: Floats) -> Complex:
    """Amplitudes (h, l) of forces (j, 3) on the nipple seats."""
    A = np.zeros((len(ring.n), ring.harmonics.weights.shape[2]), dtype=np.complex128)
    around = ring.at_spokes.conj() @ force
    A[:, :3] = _patch(ring)[:, None] * around * TURNS
    return A


def _patch(ring: Ring) -> Floats:
    """Amplitudes (h,) of a unit force on one nipple seat."""
    return patches.smooth(ring.n, ring.bearing / 2 / ring.seat_radius)


def _mean(ring: Ring) -> Floats:
    """Factors (h,) of the mean over one nipple seat."""
    q = _patch(ring)
    return np.asarray(q * np.where(ring.n == 0, 2 * np.pi, np.pi))


def _at_seats(ring: Ring, A: Complex) -> Floats:
    """Mean displacement (j, 3) of every nipple seat under amplitudes (h, l)."""
    d = times(ring.seen[:, :3], A) * _mean(ring)[:, None]
    wave = ring.at_spokes.T @ d
    return np.column_stack([wave[:, :2].real, wave[:, 2].imag])


def seat_compliance(ring: Ring, long_waves: Floats | None = None) -> Floats:
    """Displacement (j, 3, k, 3) of seat j of the free ring per unit force on seat k;
    ``long_waves`` (k, 3, 3) are compliances of the seat at n = 1 … k to take instead of its own.
    """
    free = ring.released @ ring.seen[:, :3, :3]
    if long_waves is not None:
        free[1 : len(long_waves) + 1] = long_waves
    c = free * (_mean(ring) * _patch(ring))[:, None, None] * TURNS
    N = len(ring.spokes.angle)
    step = np.exp(2j * np.pi / N * np.outer(np.arange(N), ring.n))
    wave = np.einsum("sn,nab->sab", step, c, optimize=True)
    G = np.concatenate([wave[:, :2].real, wave[:, 2:].imag], axis=1)
    ahead = (np.arange(N)[:, None] - np.arange(N)) % N
    return np.asarray(G[ahead].transpose(0, 2, 1, 3))
