"""Stress at the edge of a round hole, from the stress that a wall without the hole has there.

A wall of thickness t, hole diameter d, membrane stress σ_m and bending stress σ_b in directions 1
and 2; H₁ is the width of the strip that σ₁ runs through, measured across it, H₂ that of σ₂. All
stresses are gross, those of the wall without the hole. Stress along the edge is worst where the
edge runs in direction 1 and where it runs in direction 2.
"""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Floats

# R.C.J. Howland, Phil. Trans. R. Soc. A 229 (1930) 49-86: stress where the edge runs across the
# pull, by d/H.
_RATIOS = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5)
_FAR = (-1.00, -1.03, -1.11, -1.26, -1.44, -1.58)


def edge_stress(membrane: Floats, bending: Floats, d: float, H: Floats, t: float) -> Floats:
    """Stress (…, 4) along the edge of the hole, MPa: where the edge runs in direction 1 and in
    direction 2, both on the face that ``bending`` is given for, then both on the other face.

    ``membrane`` and ``bending`` (…, 2) in directions 1 and 2 are uniform about the hole, ``d``,
    ``H`` (2,) and ``t`` in mm. With the factors K and f of the strip whose stress runs along the
    edge and k of the other, for example where the edge runs in direction 1,

        σ = K₁ σ_m1 + k₂ σ_m2 ± (K_b f₁ σ_b1 + (2 − K_b) σ_b2)

    Bending alike in all directions doubles at any d/t, exactly: every layer at height z is
    Lamé's plate in plane stress, in which the sum of stresses is the same everywhere, so that
    the layers stay fitted to one another. This fixes the part 2 − K_b of bending across the edge.
    """
    pulled = tension_factor(d / H) * membrane + _turned(far_factor(d / H) * membrane)
    K_b = bending_factor(d / t)
    bent = K_b * narrowness(d / H) * bending + (2 - K_b) * _turned(bending)
    return np.concatenate([pulled + bent, pulled - bent], axis=-1)


def tension_factor(ratio: Floats) -> Floats:
    """K at d/H where the edge runs with the pull: 3 in a wide plate, to d/H = 0.5.

    Pilkey, Peterson's Stress Concentration Factors, chart 4.1, of the gross stress.
    """
    rest = 1 - ratio
    return 0.284 + 2 / rest - 0.600 * rest + 1.32 * rest**2


def far_factor(ratio: Floats) -> Floats:
    """The same where the edge runs across the pull: −1 in a wide plate (Howland's table)."""
    return np.interp(ratio, _RATIOS, _FAR)


def bending_factor(ratio: float) -> float:
    """K_b at d/t in a wide plate where the edge runs with the bending stress: near 3 in a thick
    plate, (5 + 3ν)/(3 + ν) = 1.79 in a thin one, ν = 0.3.

    Roark's Formulas for Stress and Strain, Table 17.1, citation from memory.
    """
    return 1.79 + 0.25 / (0.39 + ratio) + 0.81 / (1 + ratio**2) - 0.26 / (1 + ratio**3)


def narrowness(ratio: Floats) -> Floats:
    """What K_b is multiplied with in a strip of d/H, of the gross stress (the same source).

    The source divides the moment by the net section, t² (H − d)/6; the factor here is by the
    gross one, so that it starts with the square of d/H as the hole's far field does. Solid
    elements give 3 % less than this at d/H = 0.1 and 9 % less at 0.3 (d/t = 2).
    """
    return (1 - 1.04 * ratio + 1.22 * ratio**2) / (1 - ratio)


def given_way(one: Floats, other: Floats, shear: Floats) -> Floats:
    """What a plate of E = 1 gives way more for a round hole in it, twice the energy by the volume
    that was drilled out, under membrane stress in directions 1 and 2 and their shear far away.

    3 σ₁² + 3 σ₂² − 2 σ₁ σ₂ + 8 τ²: under a pull σ the edge of Kirsch's hole becomes an ellipse that
    is longer by 3 σ/E of its diameter and narrower by σ/E, and the work of σ on it is what the hole
    adds (J. D. Eshelby, Proc. R. Soc. A 241 (1957) 376, citation from memory). In a strip three
    times as wide as the hole it is an eighth more.
    """
    return 3 * (one**2 + other**2) - 2 * one * other + 8 * shear**2


def _turned(stress: Floats) -> Floats:
    """Direction 1 for direction 2."""
    return stress[..., ::-1]
