"""How a load of total 1 is spread around the rim, as complex amplitudes of its harmonics.

A patch at θ = 0 is q(θ) = Σ q_n cos nθ with q_0 = 1/2π and q_n = s(nα)/π for half-angle α. The
raised cosine (1 + cos(πθ/α))/2α has s(x) = sin x / x / (1 − x²/π²), which falls as 1/n³.
"""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Floats, Ints


def smooth(n: Ints, half_angle: float) -> Floats:
    """Amplitudes (h,) of a raised-cosine patch, per radian."""
    x = n * half_angle / np.pi
    with np.errstate(divide="ignore", invalid="ignore"):
        s = np.where(np.abs(x - 1) < 1e-6, 0.5, np.sinc(x) / (1 - x**2))
    return _scaled(n, s)


def constant(n: Ints) -> Floats:
    """Amplitudes (h,) of a load of total 1 spread evenly all around."""
    return _scaled(n, np.where(n == 0, 1.0, 0.0))


def turned(n: Ints, angle: float) -> Floats:
    """Factors (h,), complex, that move a load from θ = 0 to θ = ``angle``."""
    return np.exp(-1j * n * angle)


def _scaled(n: Ints, s: Floats) -> Floats:
    return np.where(n == 0, 0.5, 1.0) * s / np.pi
