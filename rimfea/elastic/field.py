"""The answer of a model to one case: displacement, stress, and the evidence for both."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.elastic.loads import Case


@dataclass(frozen=True)
class Evidence:
    """Why to trust a field, or not; all are relative.

    ``residual``: error of the equations (of a ring, that of its reduced basis in the energy
    norm). ``reaction``: force left over between loads and what holds them. ``error``: the
    Zienkiewicz-Zhu estimate of the discretisation error in the energy norm. ``truncation``:
    change of the governing stress when the top quarter of the harmonics is left out.
    """

    residual: float
    reaction: float
    error: float
    truncation: float = 0.0


@dataclass(frozen=True)
class Field:
    """``displacement`` (n, 2) in mm and smooth nodal ``stress`` (n, 6) in MPa in the order
    xx yy zz yz zx xy, with z along the rim; ``assumes`` in words what the model leaves out.
    """

    case: Case
    displacement: Floats
    stress: Floats
    evidence: Evidence
    assumes: str

    __repr__ = brief

    def displacement_at(self, theta: float) -> Floats:
        """Displacement (n, 3), the same everywhere around."""
        del theta
        return np.column_stack([self.displacement, np.zeros(len(self.displacement))])

    def stress_at(self, theta: float) -> Floats:
        """Stress (n, 6), the same everywhere around."""
        del theta
        return self.stress
