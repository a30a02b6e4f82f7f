"""Fatigue of the metal: what a stress that swings between two values uses up.

Amplitude and mean are half the difference and half the sum of those values, MPa; all functions
take arrays of any one shape.
"""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Floats

# 6061-T6, axial, ksi: log10 N = 20.68 − 9.84 log10 S with S = S_max (1 − R)^0.63
# (MIL-HDBK-5 fig. 3.6.2.2.8, citation from memory). A life by a life needs neither the constant
# nor the unit.
WALKER = 0.63
SLOPE = 9.84


def goodman(amplitude: Floats, mean: Floats, *, fatigue_MPa: float, ultimate_MPa: float) -> Floats:
    """Utilisation σ_a/σ_e + σ_m/σ_u after Goodman; 1 is the limit.

    ``fatigue_MPa`` is the amplitude σ_e that is borne without a mean. A mean in compression
    closes cracks, but counts as none: nobody knows how long it lasts.
    """
    return amplitude / fatigue_MPa + np.maximum(mean, 0.0) / ultimate_MPa


def relaxed(mean: Floats, amplitude: Floats, proof_MPa: float) -> Floats:
    """The mean that is left where mean + amplitude would exceed the proof stress: the metal at
    the edge yields once, the metal around it stays elastic, and from then on the highest stress
    is the proof stress.
    """
    return np.minimum(mean, proof_MPa - amplitude)


def equivalent_stress(amplitude: Floats, mean: Floats) -> Floats:
    """S_max (1 − R)^0.63 with R = S_min/S_max: swings of equal life have it in common.

    Written S_max^0.37 (S_max − S_min)^0.63, which also holds for S_max = 0: without tension
    nothing grows a crack.
    """
    highest = np.maximum(amplitude + mean, 0.0)
    return highest ** (1 - WALKER) * (2 * amplitude) ** WALKER


def life_ratio(one: float, other: float) -> float:
    """How many times the life at equivalent stress ``other`` that at ``one`` is, both of smooth
    6061-T6: 1 for equal stresses, infinite where ``one`` is 0.
    """
    if one == other:
        return 1.0
    return (other / one) ** SLOPE if one > 0 else float("inf")
