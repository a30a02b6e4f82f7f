"""Units at the edge: inside are mm, N, MPa and radians, and grams for a mass.

Factors are exact by definition (international yard and pound agreement of 1959, standard
gravity 9.80665 m/s2 of the 3rd General Conference on Weights and Measures 1901).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from rimfea.errors import UnitError

STANDARD_GRAVITY = 9.80665
"""Standard gravity, m/s2."""

_POUND_KG = 0.45359237
_INCH_MM = 25.4

INSIDE: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "force": {"N": 1.0, "kgf": STANDARD_GRAVITY, "lbf": _POUND_KG * STANDARD_GRAVITY},
        "pressure": {
            "MPa": 1.0,
            "bar": 0.1,
            "kPa": 0.001,
            "psi": _POUND_KG * STANDARD_GRAVITY / _INCH_MM**2,
        },
        "length": {"mm": 1.0, "inch": _INCH_MM},
        "mass": {"g": 1.0, "kg": 1000.0},
    }
)
"""Quantity -> unit -> how much one of that unit is in the unit used inside."""


def to_unit(value: float, unit: str) -> float:
    """Express ``value``, in the inside unit of that quantity, in ``unit``.

    Raises :class:`UnitError` for a unit that is not in :data:`INSIDE`.
    """
    return value / _factor(unit)


def from_unit(value: float, unit: str) -> float:
    """Express ``value``, given in ``unit``, in the inside unit of that quantity.

    Raises :class:`UnitError` for a unit that is not in :data:`INSIDE`.
    """
    return value * _factor(unit)


def units_of(quantity: str) -> tuple[str, ...]:
    """Units known for a quantity ("force", "pressure", "length", "mass"), inside unit first."""
    return tuple(INSIDE[quantity])


def _factor(unit: str) -> float:
    for units in INSIDE.values():
        if unit in units:
            return units[unit]
    choices = "; ".join(f"{quantity}: {', '.join(units)}" for quantity, units in INSIDE.items())
    raise UnitError(f"unknown unit {unit!r}; known are {choices}")
