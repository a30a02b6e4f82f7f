"""A number in another unit than that of its key: what it would be in that one."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from types import MappingProxyType

from rimfea.units import from_unit

_INCH_MM = from_unit(1.0, "inch")
_FORCES_N = {"N": 1.0, **{unit: from_unit(1.0, unit) for unit in ("kgf", "lbf")}}
# Unit of a key → what is written instead, and how much of the key's unit one of it is.
OTHERS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "mm": {
            "mm": 1.0,
            "cm": 10.0,
            "in": _INCH_MM,
            **dict.fromkeys(("inch", "inches", '"'), _INCH_MM),
        },
        "g": {"g": 1.0, "kg": 1000.0},
        "kg": {"kg": 1.0, "g": 0.001},
        "N": {**_FORCES_N, "kp": _FORCES_N["kgf"], "kN": 1000.0},
        "bar": {"bar": 1.0, "psi": 10 * from_unit(1.0, "psi"), "kPa": 0.01, "MPa": 10.0},
        "deg": {"deg": 1.0, "°": 1.0},
    }
)
# Units that a bare number is taken to be in, as they are called.
TOLD = {"cm": "cm", "in": "inches", "kg": "kg", "kgf": "kgf"}
WRITTEN = re.compile(r"""([+-]?\d+(?:[.,]\d+)?|[+-]?\.\d+)\s*([A-Za-z]+|°|")\.?""")


def with_unit(text: str, unit: str) -> str:
    """What to write for a number that was written with a unit; empty for any other text."""
    found = WRITTEN.fullmatch(text.strip())
    if not found:
        return ""
    number, named = float(found[1].replace(",", ".")), found[2]
    if not math.isfinite(number):
        return ""
    known = {name.lower(): (name, factor) for name, factor in OTHERS.get(unit, {}).items()}
    if named.lower() not in known:
        return f"write the number alone, in {unit}" if unit else "write the number alone"
    name, factor = known[named.lower()]
    alone = f"write the number alone, {_told(factor * number)}"
    if factor == 1.0:
        return f"{alone}: the key says the unit"
    return f"{alone}: {_told(number)} {name} = {_told(factor * number)} {unit}"


def bare(number: float, unit: str, low: float, high: float) -> str:
    """In which other units a number that is out of its range would be in it; empty if in none."""
    meant = {
        name: factor * number
        for name, factor in OTHERS.get(unit, {}).items()
        if name in TOLD and factor != 1.0 and low <= factor * number <= high
    }
    if not meant:
        return ""
    names = " or ".join(TOLD[name] for name in meant)
    each = (f"{_told(number)} {name} = {_roughly(size)} {unit}" for name, size in meant.items())
    return f"looks like {names}: {', '.join(each)}"


def _told(number: float) -> str:
    return f"{round(number, 1 if abs(number) >= 100 else 3):.10g}"


def _roughly(number: float) -> str:
    return f"{round(number, 1 if number >= 1 else 3):.10g}"
