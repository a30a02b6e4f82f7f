"""How a metal hardens: the stress at which it flows, after so much plastic strain.

Ramberg and Osgood (NACA TN 902, 1943) put the strain under a stress σ at σ/E + 0.002 (σ/f₀)ⁿ, f₀
the 0.2 % proof stress. Read the other way round, metal that has flowed by p flows at
f₀ (p/0.002)^{1/n}.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log
from typing import Protocol

import numpy as np

from rimfea.arrays import Floats
from rimfea.errors import positive

PROOF_STRAIN = 0.002
# Metal that has flowed by less is taken to be elastic still; of the proof strain a two-hundredth.
FIRST_STRAIN = 1e-5
LEAST_RATIO = 1.01  # metal whose sheet gives proof and ultimate alike hardly hardens


class Hardening(Protocol):
    """A law of hardening; ``p`` is the equivalent plastic strain, any shape, stress in MPa."""

    def flow(self, p: Floats) -> tuple[Floats, Floats]:
        """The stress at which metal flows, and its slope by p."""
        ...

    def work(self, p: Floats) -> Floats:
        """∫ flow dp from 0, MPa: what flowing by p takes, in N mm per mm³."""
        ...


@dataclass(frozen=True)
class Linear:
    """Flow at ``proof_MPa`` + ``slope_MPa`` p; a slope of 0: metal that does not harden."""

    proof_MPa: float
    slope_MPa: float = 0.0

    def flow(self, p: Floats) -> tuple[Floats, Floats]:
        """See :class:`Hardening`."""
        return self.proof_MPa + self.slope_MPa * p, np.full_like(p, self.slope_MPa)

    def work(self, p: Floats) -> Floats:
        """See :class:`Hardening`."""
        return self.proof_MPa * p + self.slope_MPa * p**2 / 2


@dataclass(frozen=True)
class RambergOsgood:
    """Flow at ``proof_MPa`` (p/0.002)^{1/n}, shifted so that it begins at a hundred-thousandth."""

    proof_MPa: float
    n: float

    def __post_init__(self) -> None:
        positive("proof stress", self.proof_MPa, "MPa")
        positive("n of Ramberg and Osgood", self.n)

    def flow(self, p: Floats) -> tuple[Floats, Floats]:
        """See :class:`Hardening`."""
        reached = p + FIRST_STRAIN
        stress = self.proof_MPa * (reached / PROOF_STRAIN) ** (1 / self.n)
        return stress, stress / (self.n * reached)

    def work(self, p: Floats) -> Floats:
        """See :class:`Hardening`."""
        return self._summed(p + FIRST_STRAIN) - self._summed(np.full_like(p, FIRST_STRAIN))

    def _summed(self, reached: Floats) -> Floats:
        m = 1 + 1 / self.n
        return self.proof_MPa * PROOF_STRAIN * (reached / PROOF_STRAIN) ** m / m


def ramberg_osgood(proof_MPa: float, ultimate_MPa: float) -> RambergOsgood:
    """The law through the proof stress at 0.2 % and the ultimate strength at the strain that
    EN 1999-1-1:2007 annex E puts there, 0.30 − 0.22 f₀/400 but at least 0.08: n = ln(0.002/ε_u)
    / ln(f₀/f_u). Citation from memory; n as that code's Table 3.2b lists it (6061-T6: 55).
    """
    strain = max(0.30 - 0.22 * proof_MPa / 400, 0.08)
    ratio = max(ultimate_MPa / proof_MPa, LEAST_RATIO)
    return RambergOsgood(proof_MPa, log(strain / PROOF_STRAIN) / log(ratio))
