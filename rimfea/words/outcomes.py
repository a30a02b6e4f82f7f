"""What a rim is compared by, as a reader wants it: forces in the unit asked for."""

from __future__ import annotations

import math

from rimfea.study.outcome import BY_KEY, OUTCOMES, Outcome
from rimfea.units import to_unit
from rimfea.words.numbers import FINEST, Units, figures

FORCES = ("N", "N/mm")


def outcomes_data() -> dict[str, dict[str, str]]:
    """Every outcome by its key in data: the name it is asked for by, its title, its unit."""
    return {
        each.key: {"name": each.name, "title": each.title, "unit": each.unit} for each in OUTCOMES
    }


def titled(of: str) -> str:
    """An outcome in a sentence."""
    return BY_KEY[of].title.replace(", ", " on ")


def unit_of(of: str, units: Units) -> str:
    """The unit in which a reader wants an outcome."""
    inside = BY_KEY[of].unit
    return inside.replace("N", units.force) if inside in FORCES else inside


def scale_of(of: str, units: Units) -> float:
    """How many of that unit one of the unit inside is."""
    return to_unit(1.0, units.force) if BY_KEY[of].unit in FORCES else 1.0


def headed(outcome: Outcome, units: Units) -> str:
    """An outcome with its unit, at the head of its row."""
    unit = unit_of(outcome.key, units)
    return f"{outcome.title}, {unit}" if unit else outcome.title


def in_words(of: str, value: float, units: Units, count: int = 3) -> str:
    """A value of an outcome to so many figures with its unit; a dash where there is none."""
    if math.isnan(value):
        return "-"
    unit = unit_of(of, units)
    told = figures(value * scale_of(of, units), count, FINEST.get(unit))
    return f"{told} {unit}".rstrip()
