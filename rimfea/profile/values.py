"""One value of the sheet: what was written becomes a number or text, or faults."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from statistics import fmean

from rimfea.alloys import listed_alloy
from rimfea.errors import Fault, SheetError
from rimfea.profile.bead_seats import misfit, nominal_inches
from rimfea.profile.field import Field, Kind
from rimfea.profile.other_units import bare, with_unit
from rimfea.profile.trace import Trace

_LONGEST_TEXT = 200
_SPREAD_MM = 1.0
_HOOP_SPREAD_MM = 3.0  # of diameters around a hoop that is out of round
_SPREAD_SHARE = 0.1


@dataclass(frozen=True)
class Readings:
    """Repeated readings of one length and the half-width the instrument is good for, in mm."""

    values: tuple[float, ...]
    tolerance_mm: float | None = None

    @property
    def mean(self) -> float:
        """Arithmetic mean of the readings."""
        return fmean(self.values)


@dataclass(frozen=True)
class Checked:
    """A value as the sheet holds it (None if unusable), its readings and its faults."""

    value: float | str | Trace | None
    faults: tuple[Fault, ...] = ()
    readings: Readings | None = None


def checked(field: Field, raw: object) -> Checked:
    """Check what was written for one key: its type, its range and its readings."""
    if field.kind in (Kind.NUMBER, Kind.COUNT):
        if isinstance(raw, Readings):
            raw = {"readings": list(raw.values), "tolerance_mm": raw.tolerance_mm}
        return _from_readings(field, raw) if isinstance(raw, Mapping) else _number(field, raw)
    if field.kind is Kind.SECTION and isinstance(raw, Trace):
        return Checked(raw)
    if not isinstance(raw, str):
        return _refused(field, raw, "must be text", "put it in quotes")
    if field.kind is Kind.SECTION:
        return _refused(field, raw, "cannot be read here", "read the sheet as a file")
    if field.kind is Kind.CHOICE:
        return _choice(field, raw)
    return _alloy(field, raw) if field.kind is Kind.ALLOY else _text(field, raw)


def nearest(word: str, choices: Iterable[str]) -> str:
    """A did-you-mean sentence, empty if nothing is near."""
    found = difflib.get_close_matches(word.lower(), list(choices), n=2, cutoff=0.6)
    return f"did you mean {' or '.join(found)}?" if found else ""


def unknown(what: str, name: object, choices: Iterable[str], also: Iterable[str] = ()) -> str:
    """What is said of a name that is none of the choices: the nearest, and all; ``also`` are names
    that would do, too, and are told only where one is near.
    """
    known = list(choices)
    parts = (
        f"no {what} is called {name}:",
        nearest(str(name), [*known, *also]),
        f"there are: {', '.join(known)}",
    )
    return " ".join(filter(None, parts))


def shown(value: object) -> str:
    """A value as it is printed: lengths to a thousandth, text in quotes, short."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        number = _float(value)
        return f"{round(number, 3):.10g}" if math.isfinite(number) else str(number)
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _number(field: Field, raw: object) -> Checked:
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        return _refused(field, raw, "must be a number", _number_advice(raw, field.unit))
    number = _float(raw)
    if not math.isfinite(number):
        return _refused(field, raw, "must be a finite number")
    if not field.low <= number <= field.high:
        return _refused(field, raw, *_out_of_range(field, number))
    if field.kind is Kind.COUNT and (number % 2 or not number.is_integer()):
        return _refused(field, raw, "must be an even whole number")
    wrong = misfit(number) if field.key == "bead_seat_diameter_mm" else None
    if wrong:
        return Checked(None, (wrong,))
    return Checked(int(number) if field.kind is Kind.COUNT else number)


def _float(raw: float) -> float:
    try:
        return float(raw)
    except OverflowError:
        return math.inf


def _number_advice(raw: object, unit: str) -> str:
    if isinstance(raw, str):
        try:
            float(raw.replace(",", ".", 1))
        except ValueError:
            return with_unit(raw, unit) or "write the number alone: the key says the unit"
        plain = raw.strip().replace(",", ".", 1)
        comma = " and with a point" if "," in raw else ""
        return f"write it without quotes{comma}: {plain}"
    if isinstance(raw, list):
        return "repeated readings are written { readings = [25.02, 24.98] }"
    return ""


def _out_of_range(field: Field, number: float) -> tuple[str, str]:
    """Problem and remedy."""
    if number < 0:
        return "must not be negative", ""
    if field.key == "bead_seat_diameter_mm" and nominal_inches(number):
        problem = "looks like nominal inches, which are not the bead seat diameter"
        return problem, "read the second number on the tyre, as 622 in 32-622"
    meant = bare(number, field.unit, field.low, field.high) if number < field.low else ""
    return "is out of range", meant


def _from_readings(field: Field, raw: Mapping[str, object]) -> Checked:
    if field.unit != "mm":
        return _refused(field, dict(raw), "must be one number; only lengths take readings")
    faults = [
        Fault(field.key, f"{key!r} does not belong to readings", remedy=nearest(key, _PARTS))
        for key in raw
        if key not in _PARTS
    ]
    tolerance = _tolerance(field, raw.get("tolerance_mm"), faults)
    values = raw.get("readings")
    if not isinstance(values, list | tuple) or len(values) < 2:
        example = "{ readings = [25.02, 24.98], tolerance_mm = 0.02 }"
        faults.append(Fault(field.key, "needs at least two readings", remedy=f"as in {example}"))
        return Checked(None, tuple(faults))
    each = [_number(field, value) for value in values]
    for count, one in enumerate(each, start=1):
        faults += [
            replace(fault, problem=f"reading {count} of {len(each)} {fault.problem}")
            for fault in one.faults
        ]
    numbers = tuple(one.value for one in each if isinstance(one.value, float))
    faults += _slips(field, numbers) if len(numbers) == len(each) else []
    readings = Readings(numbers, tolerance)
    return Checked(None, tuple(faults)) if faults else Checked(readings.mean, (), readings)


_PARTS = ("readings", "tolerance_mm")


def _tolerance(field: Field, raw: object, faults: list[Fault]) -> float | None:
    if raw is None:
        return None
    number = isinstance(raw, int | float) and not isinstance(raw, bool)
    if isinstance(raw, int | float) and number and 0 < raw <= 1:
        return float(raw)
    faults.append(
        Fault(
            field.key,
            "the instrument's tolerance_mm must be a number",
            shown(raw),
            "mm",
            "above 0 up to 1 mm",
        )
    )
    return None


def _slips(field: Field, numbers: tuple[float, ...]) -> list[Fault]:
    spread, middle = max(numbers) - min(numbers), fmean(numbers)
    most = _HOOP_SPREAD_MM if field.key == "erd_mm" else _SPREAD_MM
    limit = min(most, _SPREAD_SHARE * middle)
    if spread <= limit + 1e-12:
        return []
    problem = (
        f"the readings spread over {shown(spread)} mm ({shown(min(numbers))} to "
        f"{shown(max(numbers))}), more than {shown(limit)} mm"
    )
    return [Fault(field.key, problem, remedy="which reading is a slip? take it again")]


def _choice(field: Field, raw: str) -> Checked:
    plain = " ".join(raw.lower().replace("-", " ").replace("_", " ").split())
    words = {str(word): word for word in field.choices or ()}
    if plain in words:
        return Checked(words[plain])
    return _refused(field, raw, f"no such {field.meaning}", nearest(plain, words))


def _alloy(field: Field, raw: str) -> Checked:
    """A name that is not in the table may be that of an alloy of the builder's own."""
    try:
        metal = listed_alloy(raw)
    except SheetError as error:
        return Checked(None, error.faults)
    if metal is None:
        return _text(field, raw) if raw.strip() else _refused(field, raw, "must not be empty")
    return Checked(metal.name)


def _text(field: Field, raw: str) -> Checked:
    if field.required and not raw.strip():
        return _refused(field, raw, "must not be empty")
    if len(raw) > _LONGEST_TEXT or not all(letter.isprintable() for letter in raw.strip()):
        return _refused(field, raw, f"must be one line of at most {_LONGEST_TEXT} characters")
    return Checked(raw.strip())


def _refused(field: Field, raw: object, problem: str, remedy: str = "") -> Checked:
    number = isinstance(raw, int | float) and not isinstance(raw, bool)
    told = f"{raw:.10g}" if isinstance(raw, float) else shown(raw)  # 0.0499 is not 0.05
    fault = Fault(field.key, problem, told, field.unit if number else "", field.allowed, remedy)
    return Checked(None, (fault,))
