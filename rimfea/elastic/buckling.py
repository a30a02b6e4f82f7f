"""The tension at which a rim buckles sideways on its own, separate spokes.

Everything that tension does is linear in it: the hoop stress that softens the ring and the spokes'
T/L that hold it. Spokes to one flange and the other in turn couple n waves with N/2 ± n, which
takes from a rim on few spokes a fifth of what it would bear on spokes smeared evenly.

At λ times the tension the ring on its spokes has as many negative stiffnesses as

    negative(K(λ)) − negative(S(λ)⁻¹ + G(λ)),

K the ring alone, S the spokes, G what a pull at each seat moves every seat of the ring alone: the
two Schur complements of one matrix have the same inertia, so nothing large is ever solved (W. H.
Wittrick and F. W. Williams, Q. J. Mech. Appl. Math. 24 (1971) 263, citation from memory). The
rim buckles at the least λ at which there is one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimfea.arrays import Floats
from rimfea.elastic.discrete import seat_compliance
from rimfea.elastic.ring import LEFT_OVER, Ring, foundation, hoop_stress
from rimfea.fem.assemble import matrix
from rimfea.fem.elements import elements
from rimfea.fem.revolution import hoop_stiffnesses

if TYPE_CHECKING:
    from scipy.sparse import csc_array

# The basis begins with what answers the long waves; more of it changes the tension by a ten
# thousandth at most.
LONG_WAVES = 80
SOFTENED = 12  # waves whose compliance changes with tension; short ones hardly feel it
FARTHEST = 1e3  # times the tension; beyond, a rim does not buckle
CLOSE = 1e-4
ROUND_OFF = 1e-11


def buckling(ring: Ring) -> tuple[int, float]:
    """Waves around the rim and the factor on the spokes' tension at which it buckles."""
    softened = _softened(ring)
    low, high = 0.0, 1.0
    while not _buckled(ring, softened, high):
        low, high = high, 2 * high
        if high > FARTHEST:
            return 0, float("inf")
    while high - low > CLOSE * high:
        middle = (low + high) / 2
        low, high = (low, middle) if _buckled(ring, softened, middle) else (middle, high)
    return _waves(ring, softened, high), high


@dataclass(frozen=True)
class _Softened:
    """The free ring at n = 1 … k: ``factor`` (k, m) at whose reciprocals each of its modes goes,
    and what the modes move of the seat (k, m, 3).
    """

    factor: Floats
    seat: Floats

    def negative(self, factor: float) -> int:
        """Negative stiffnesses of the ring alone, each wave in two families."""
        return 2 * int((factor * self.factor > 1).sum())

    def compliance(self, factor: float) -> Floats:
        """Displacement (k, 3, 3) of the seat by a unit load on it."""
        share = 1 / (1 - factor * self.factor)
        return np.einsum("nmi,nm,nmj->nij", self.seat, share, self.seat, optimize=True)


def _softened(ring: Ring) -> _Softened:
    V = ring.harmonics.basis[:, : -len(ring.columns)][:, :LONG_WAVES]
    m = V.shape[1]
    el = elements(ring.mesh.nodes, ring.mesh.triangles)
    nodes = len(ring.mesh.nodes)
    soft = hoop_stress(ring.spokes, float(el.w.sum()))
    parts = [
        V.T @ (_without_zeros(matrix(ring.mesh.triangles, soft * G, nodes)) @ V)
        for G in hoop_stiffnesses(el, ring.radius)
    ]
    held = V.T @ (foundation(ring.F, (1 - LEFT_OVER) * ring.spokes.smeared) @ V)
    seat = V.T @ ring.F[:, :3]
    factors, modes = [], []
    for n in range(1, min(SOFTENED, int(ring.n[-1])) + 1):
        G = parts[0] + n * parts[1] + n * n * parts[2]
        K = sum(n**k * part[:m, :m] for k, part in enumerate(ring.harmonics.small)) - G - held
        factor, X = _softest(-(G + G.T) / 2, (K + K.T) / 2)
        factors.append(factor)
        modes.append(X.T @ seat)
    return _Softened(np.array(factors), np.array(modes))


def _softest(G: Floats, K: Floats) -> tuple[Floats, Floats]:
    """Factors and modes of G x = factor K x with xᵀ K x = 1. A free ring hardly minds being shifted
    or tilted, so that rounding may leave K singular, or worse: by its own eigenvectors, and with a
    floor that is as small beside spokes as it is large beside the rounding of G, it never fails.
    """
    stiffness, Q = np.linalg.eigh(K)
    by_root = Q / np.sqrt(np.maximum(stiffness, ROUND_OFF * np.abs(G).max()))
    factor, Y = np.linalg.eigh(by_root.T @ G @ by_root)
    return factor, by_root @ Y


def _without_zeros(G: csc_array) -> csc_array:
    """The same; hoop stress couples few of the directions."""
    G.eliminate_zeros()
    return G


def _buckled(ring: Ring, softened: _Softened, factor: float) -> bool:
    held = np.linalg.eigvalsh(_flexibility(ring, softened, factor))
    return softened.negative(factor) > int((held < 0).sum())


def _flexibility(ring: Ring, softened: _Softened, factor: float) -> Floats:
    """S⁻¹ + G (3j, 3j) at a factor on the tension."""
    parts = seat_compliance(ring, softened.compliance(factor))
    each = np.arange(len(parts))
    parts[each, :, each] += np.linalg.inv(ring.spokes.tensors_at(factor))
    whole = parts.reshape(3 * len(parts), -1)
    return np.asarray((whole + whole.T) / 2)


def _waves(ring: Ring, softened: _Softened, factor: float) -> int:
    """Waves of the sideways movement of the seats as the rim goes."""
    M = _flexibility(ring, softened, factor)
    values, vectors = np.linalg.eigh(M)
    pull = vectors[:, np.abs(values).argmin()]
    G = seat_compliance(ring, softened.compliance(factor)).reshape(M.shape)
    sideways = (G @ pull)[0::3]
    return int(np.abs(np.fft.rfft(sideways)).argmax())
