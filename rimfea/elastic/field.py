"""The answer of a model to one case: displacement, stress, and the evidence for both."""

from __future__ import annotations

from dataclasses import dataclass

from rimfea.arrays import Floats
from rimfea.elastic.loads import Case


@dataclass(frozen=True)
class Evidence:
    """Why to trust a field, or not.

    ``residual``: largest out-of-balance term of the equations, relative. ``reaction``: what
    the pins carry although they should carry nothing, relative to the load. ``error``: the
    Zienkiewicz-Zhu estimate of the discretisation error, relative to the energy norm.
    """

    residual: float
    reaction: float
    error: float


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
