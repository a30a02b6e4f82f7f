"""One number of a sheet as somebody types it into the page: its value, and the line it makes."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import fmean

from rimfea.errors import Fault
from rimfea.files.toml_lines import quoted
from rimfea.profile.field import NUMERIC, Field, Kind
from rimfea.profile.other_units import OTHERS

LONGEST = 400
DIGITS = 4  # of a millimetre that was typed as inches
AS_TYPED = "# typed:"
_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)"
_ONE = re.compile(rf"({_NUMBER})\s*([A-Za-z]+|°|\"|″)?(?=[\s;,]|$)")
_TOLERANCE = re.compile(r"\s*(?:±|\+/?-)\s*(?=\S)")
_BETWEEN = re.compile(r"\s*[;,]?\s*")
_PLAIN = re.compile(r"-?(?:0|[1-9]\d*)(?:\.\d+)?")
_HOW = "type a number, as in 2.1, or several readings with spaces between them: 2.1 2.15 2.1"


class TypedError(Exception):
    """What was typed is no value: why, and what to do."""

    def __init__(self, problem: str, remedy: str) -> None:
        super().__init__(problem)
        self.remedy = remedy


@dataclass(frozen=True)
class Typed:
    """The ``value`` that a sheet takes, as it is written there, and a comment with it."""

    value: object
    written: str
    comment: str = ""

    @property
    def mean(self) -> float | None:
        """Of several readings."""
        return fmean(self.value["readings"]) if isinstance(self.value, dict) else None


@dataclass(frozen=True)
class _Number:
    value: float
    written: str
    is_as_typed: bool


def typed(field: Field, text: str) -> Typed | Fault:
    """What was typed for a key, or what is wrong with it."""
    text = text.strip()
    if len(text) > LONGEST:
        return Fault(field.key, "is too long", remedy=f"at most {LONGEST} characters")
    try:
        if field.kind is Kind.NUMBERS:
            return _listed([each.written for each in _numbers(field, text)])
        return _measured(field, text) if field.kind in NUMERIC else Typed(text, quoted(text))
    except TypedError as error:
        return Fault(field.key, str(error), repr(text[:40]), remedy=error.remedy)


def as_typed(field: Field, written: str, comment: str = "") -> str:
    """What to show in the page for a value as a sheet has it: what was typed, where a comment says
    so and it still holds.
    """
    value = _loaded(written)
    told = comment.removeprefix(AS_TYPED).strip() if comment.startswith(AS_TYPED) else ""
    again = typed(field, told) if told else None
    if isinstance(again, Typed) and again.value == value:
        return told
    if isinstance(value, dict) and isinstance(value.get("readings"), list):
        tolerance = value.get("tolerance_mm")
        each = " ".join(map(str, value["readings"]))
        return each if tolerance is None else f"{each} ± {tolerance}"
    if isinstance(value, list):
        return " ".join(map(str, value))
    return value if isinstance(value, str) else written


def _measured(field: Field, text: str) -> Typed:
    told, *after = _TOLERANCE.split(text, maxsplit=1)
    numbers = _numbers(field, told)
    within = _numbers(field, after[0]) if after else []
    if after and (len(within) != 1 or len(numbers) < 2):
        raise TypedError(
            "has a ± that does not go with it",
            "a ± is the caliper's, and follows two or more readings: 2.1 2.15 ± 0.02",
        )
    everything = [*numbers, *within]
    comment = "" if all(each.is_as_typed for each in everything) else f"{AS_TYPED} {text}"
    if len(numbers) == 1:
        return Typed(_plain(field, numbers[0]), numbers[0].written, comment)
    value: dict[str, object] = {"readings": [each.value for each in numbers]}
    written = f"readings = [{', '.join(each.written for each in numbers)}]"
    if within:
        value["tolerance_mm"] = within[0].value
        written += f", tolerance_mm = {within[0].written}"
    return Typed(value, f"{{ {written} }}", comment)


def _plain(field: Field, number: _Number) -> float | int:
    whole = field.kind is Kind.COUNT and number.value.is_integer()
    return int(number.value) if whole else number.value


def _listed(written: list[str]) -> Typed:
    return Typed([float(each) for each in written], f"[{', '.join(written)}]")


def _numbers(field: Field, text: str) -> list[_Number]:
    found = list(_split(text))
    units = [unit for _, unit in found if unit]
    if len(units) not in (0, 1, len(found)) or (len(units) == 1 and not found[-1][1]):
        raise TypedError("has a unit at some numbers only", "one unit at the end is enough")
    return [_number(field, number, unit or "".join(units[:1])) for number, unit in found]


def _split(text: str) -> Iterator[tuple[str, str]]:
    """Numbers and their units, with spaces, semicolons or commas and spaces between them."""
    place, text = 0, text.strip()
    while place < len(text):
        one = _ONE.match(text, place)
        if one is None:
            raise TypedError("cannot be read", _HOW)
        yield one[1], one[2] or ""
        between = _BETWEEN.match(text, one.end())
        place = between.end() if between else one.end()
    if not text:
        raise TypedError("cannot be read", _HOW)


def _number(field: Field, text: str, unit: str) -> _Number:
    own = text.replace(",", ".").removeprefix("+")
    if not _PLAIN.fullmatch(own):
        own = _bare(float(own))
    known = {name.lower(): factor for name, factor in OTHERS.get(field.unit, {}).items()}
    named = '"' if unit == "″" else unit.lower()
    if unit and named not in {**known, field.unit.lower(): 1.0}:
        others = ", ".join(OTHERS.get(field.unit, {})) or field.unit
        raise TypedError(
            f"is in {unit}, which is not known here",
            f"type it in {others}" if others else "type the number alone",
        )
    factor = known.get(named, 1.0) if unit else 1.0
    if factor == 1.0:
        return _Number(float(own), own, is_as_typed=True)
    value = round(factor * float(own), DIGITS)
    return _Number(value, _bare(value), is_as_typed=False)


def _bare(value: float) -> str:
    return f"{value:.10f}".rstrip("0").rstrip(".") or "0"


def _loaded(written: str) -> object:
    try:
        return tomllib.loads(f"value = {written}")["value"]
    except (ValueError, RecursionError):
        return written
