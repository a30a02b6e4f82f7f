"""Shape functions of the six-node triangle and its quadrature rules.

Nodes 0 1 2 are the corners, 3 4 5 the middles of sides 0-1, 1-2, 2-0. Places inside are given
by (ξ, η): corner 0 at (0, 0), corner 1 at (1, 0), corner 2 at (0, 1).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats


@dataclass(frozen=True)
class Rule:
    """A quadrature rule: places (q, 2) and weights (q,), which sum to the area 1/2."""

    places: Floats
    weights: Floats


def shape_functions(places: Floats) -> Floats:
    """N (q, 6) at places (q, 2)."""
    xi, eta = places[..., 0], places[..., 1]
    zeta = 1 - xi - eta
    return np.stack(
        [
            zeta * (2 * zeta - 1),
            xi * (2 * xi - 1),
            eta * (2 * eta - 1),
            4 * zeta * xi,
            4 * xi * eta,
            4 * eta * zeta,
        ],
        axis=-1,
    )


def shape_slopes(places: Floats) -> Floats:
    """∂N/∂ξ and ∂N/∂η (q, 6, 2) at places (q, 2)."""
    xi, eta = places[..., 0], places[..., 1]
    zeta = 1 - xi - eta
    zero = np.zeros_like(xi)
    by_xi = [1 - 4 * zeta, 4 * xi - 1, zero, 4 * (zeta - xi), 4 * eta, -4 * eta]
    by_eta = [1 - 4 * zeta, zero, 4 * eta - 1, -4 * xi, 4 * xi, 4 * (zeta - eta)]
    return np.stack([np.stack(by_xi, axis=-1), np.stack(by_eta, axis=-1)], axis=-1)


def side_shape_functions(s: Floats) -> Floats:
    """N (q, 3) of a side's start, end and middle node at s (q,) from 0 to 1."""
    return np.stack([(1 - s) * (1 - 2 * s), s * (2 * s - 1), 4 * s * (1 - s)], axis=-1)


def side_shape_slopes(s: Floats) -> Floats:
    """dN/ds (q, 3) of a side's start, end and middle node at s (q,)."""
    return np.stack([4 * s - 3, 4 * s - 1, 4 - 8 * s], axis=-1)


def _three_each(a: float) -> list[list[float]]:
    return [[a, a], [1 - 2 * a, a], [a, 1 - 2 * a]]


# Exact for polynomials of degree 2 and 4: Strang & Fix, An Analysis of the Finite Element
# Method, 1973, table 4.1 (citation from memory; the tests integrate every monomial).
THREE_POINTS = Rule(np.array(_three_each(1 / 6)), np.full(3, 1 / 6))
_A, _B = 0.445948490915964886, 0.091576213509770743
_W_A, _W_B = 0.223381589678011466 / 2, 0.109951743655321868 / 2
SIX_POINTS = Rule(np.array(_three_each(_A) + _three_each(_B)), np.repeat([_W_A, _W_B], 3))

_LEGENDRE, _LEGENDRE_WEIGHTS = np.polynomial.legendre.leggauss(4)
SIDE_PLACES = (_LEGENDRE + 1) / 2
SIDE_WEIGHTS = _LEGENDRE_WEIGHTS / 2
