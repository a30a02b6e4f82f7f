"""Hooke's law of an isotropic metal in the plane."""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Floats


def plane_strain(youngs: float, poisson: float) -> Floats:
    """D (3, 3) in MPa with ε_zz = 0 (Timoshenko & Goodier, Theory of Elasticity, ch. 2)."""
    c = youngs / ((1 + poisson) * (1 - 2 * poisson))
    shear = youngs / (2 * (1 + poisson))
    return np.array(
        [
            [c * (1 - poisson), c * poisson, 0.0],
            [c * poisson, c * (1 - poisson), 0.0],
            [0.0, 0.0, shear],
        ]
    )


def plane_stress(youngs: float, poisson: float) -> Floats:
    """D (3, 3) in MPa with σ_zz = 0 (Timoshenko & Goodier, Theory of Elasticity, ch. 2)."""
    c = youngs / (1 - poisson**2)
    return c * np.array(
        [
            [1.0, poisson, 0.0],
            [poisson, 1.0, 0.0],
            [0.0, 0.0, (1 - poisson) / 2],
        ]
    )


def von_mises(stress: Floats) -> Floats:
    """Equivalent stress (...) of stress (..., 6) in the order xx yy zz yz zx xy, MPa."""
    xx, yy, zz, yz, zx, xy = np.moveaxis(stress, -1, 0)
    normal = (xx - yy) ** 2 + (yy - zz) ** 2 + (zz - xx) ** 2
    return np.asarray(np.sqrt(normal / 2 + 3 * (yz**2 + zx**2 + xy**2)))
