"""Numbers with their units as a reader wants them, and the caution that ends every text."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from rimfea.errors import UnitError
from rimfea.units import from_unit, to_unit, units_of

CAUTION = (
    "Indicative only: a model of an idealised rim that knows nothing of damage and hidden "
    "faults. A failed wheel can injure. The maker's limits, local codes and licensed practice come "
    "first."
)


NO_DOUBT = "none where the model itself is a factor off"
LEAST_SET_MM = 0.05  # that is worth a number
FINEST = {"N": 0, "kgf": 1, "lbf": 1, "bar": 1, "psi": 0, "MPa": 1}  # decimals worth telling
AIR = ("bar", "psi")  # units that a tyre's gauge has; the first is the usual one


@dataclass(frozen=True)
class Units:
    """The units in which a reader wants forces, and the air of a tyre; a stress is always in MPa,
    so that nobody takes one for air. Raises :class:`~rimfea.errors.UnitError` for others than N,
    kgf and lbf, bar and psi.
    """

    force: str = "N"
    pressure: str = "bar"

    def __post_init__(self) -> None:
        """Refuse what neither a balance nor a gauge shows."""
        for unit, known in ((self.force, units_of("force")), (self.pressure, AIR)):
            if unit not in known:
                raise UnitError(f"unknown unit {unit!r}; known here are {', '.join(known)}")

    @property
    def force_N(self) -> float:
        """How many newtons one unit of force is."""
        return from_unit(1.0, self.force)

    def in_force(self, value_N: float) -> str:
        """A force to three figures with its unit, no newton and no tenth of a kgf split."""
        return f"{figures(to_unit(value_N, self.force), finest=FINEST[self.force])} {self.force}"

    def in_air(self, value_MPa: float) -> str:
        """A tyre's pressure as far as a gauge and the tyre's model can tell it, with its unit."""
        value = to_unit(value_MPa, self.pressure)
        return f"{figures(value, finest=FINEST[self.pressure])} {self.pressure}"

    def given_air(self, value_MPa: float) -> str:
        """A tyre's pressure that somebody gave, as builders say it: 6 bar, not 6.00."""
        return f"{to_unit(value_MPa, self.pressure):.3g} {self.pressure}"


USUAL = Units()


def in_stress(value_MPa: float) -> str:
    """A stress to three figures and no finer than a tenth, with its unit."""
    return f"{figures(value_MPa, finest=1)} MPa"


def figures(value: float, count: int = 3, finest: int | None = None) -> str:
    """A number to so many figures, never in powers of ten, and to ``finest`` decimals at most."""
    if value == 0 or not abs(value) < float("inf"):
        return f"{abs(value) if value == 0 else value:g}"
    digits = count - 1 - _magnitude(value, count)
    digits = digits if finest is None else min(digits, finest)
    rounded = round(value, digits)
    return f"{rounded:.{max(0, digits)}f}" if rounded else "0"


def listed(parts: Iterable[str]) -> str:
    """Some words one after the other, "and" before the last; nothing of none."""
    *most, last = [*parts] or [""]
    return f"{', '.join(most)} and {last}" if most else last


def no_finer(value: float, doubt: float, count: int = 3) -> str:
    """A number to so many figures, but no finer than the second of its expanded uncertainty, where
    that is known.
    """
    if not (math.isfinite(doubt) and doubt > 0):
        return figures(value, count)
    return figures(value, count, finest=1 - _magnitude(doubt, 2))


def length(value: float, doubt: float = 0.0) -> str:
    """A number of a sheet as it was written, or no finer than the first digit of its expanded
    uncertainty: a mean of readings has digits that no caliper read.
    """
    finest = 3 if not (math.isfinite(doubt) and doubt > 0) else -_magnitude(doubt, 1)
    return f"{round(value, max(0, min(finest, 3))):.10g}"


def told_apart(low: float, high: float) -> tuple[str, str]:
    """Two numbers to three figures, or to as many as it takes to tell them apart."""
    for count in (3, 4, 5):
        told = figures(low, count), figures(high, count)
        if told[0] != told[1]:
            break
    return told


def plus_minus(doubt: float, *, rough: bool = False) -> str:
    """An expanded uncertainty; nothing of what rests on a ``rough`` model, or of one not known."""
    return "" if rough or math.isnan(doubt) else f"±{figures(doubt, 2)}"


def set_words(set_mm: float, deepest_mm: float = 1.0) -> str:
    """How deep a dent is, as roughly as the drop that brings it is known."""
    if set_mm == 0:
        return "none"
    if math.isinf(set_mm):
        return f"more than {deepest_mm:g} mm"
    return f"about {figures(set_mm, 1)} mm" if set_mm >= LEAST_SET_MM else "hardly any"


def _magnitude(value: float, count: int) -> int:
    """The power of ten of the first figure once rounded: 9.996 is 10.0."""
    return int(f"{value:.{count - 1}e}".split("e")[1])
