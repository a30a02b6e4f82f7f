"""What a stress that swings between two values does to metal, in two numbers to compare by.

Amplitude and mean are half the difference and half the sum of those values, MPa; all functions
take arrays of any one shape. No life is told: published curves hold for one alloy, and what
yielding leaves of a mean is least in the weakest metal, which would seem to last longest.
"""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Floats


def relaxed(mean: Floats, amplitude: Floats, proof_MPa: float) -> Floats:
    """The mean that is left where mean + amplitude would exceed the proof stress: the metal at
    the edge yields once, the metal around it stays elastic, and from then on the highest stress
    is the proof stress.
    """
    return np.minimum(mean, proof_MPa - amplitude)


def with_mean(amplitude: Floats, mean: Floats) -> Floats:
    """√(σ_max σ_a), which swings of equal life of one metal have in common (K. N. Smith, P. Watson
    and T. H. Topper, J. Materials 5 (1970) 767, citation from memory); none without tension.
    """
    return np.sqrt(np.maximum(amplitude + mean, 0.0) * amplitude)
