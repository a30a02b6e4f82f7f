"""Flat TOML files of known keys: every fault at once, each with the line it is on."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from rimfea.errors import Fault, FileError, SheetError
from rimfea.files.toml_lines import Line, key_lines
from rimfea.files.whole_file import file_errors
from rimfea.profile.field import Field
from rimfea.profile.other_units import with_unit
from rimfea.profile.values import nearest

Made = TypeVar("Made")

_LARGEST = 256 * 1024
_MOST_LINES = 2000
_MOST_STRAY = 5  # lines that cannot be read, of a file without a key


@dataclass(frozen=True)
class Form:
    """A kind of file: what messages call it, such as "sheet", and its keys."""

    name: str
    keys: Mapping[str, Field]


@dataclass(frozen=True)
class _Screened:
    """The text with its unusable lines blanked, the faults of those, and the line and the value
    of each key as it is written.
    """

    text: str
    faults: tuple[Fault, ...]
    lines: Mapping[str, int]
    values: Mapping[str, str]


def read(path: str | Path, form: Form, make: Callable[[Mapping[str, object]], Made]) -> Made:
    """What ``make`` makes of the values in a TOML file.

    Raises :class:`FileError` if there is no such readable file, and :class:`SheetError` with
    all faults, each with its line, those that ``make`` raises among them.
    """
    return parse(_text(Path(path), str(path), form), str(path), form, make)


def parse(text: str, source: str, form: Form, make: Callable[[Mapping[str, object]], Made]) -> Made:
    """The same for a TOML text; ``source`` is what error messages call it."""
    if not text.strip():
        fault = Fault("", f"the {form.name} is empty", remedy=f"start from a blank {form.name}")
        raise SheetError([fault], source)
    if text.count("\n") > _MOST_LINES:
        raise SheetError([Fault("", f"has more than {_MOST_LINES} lines")], source)
    screened = _screened(text, form)
    if len(screened.faults) > _MOST_STRAY and not form.keys.keys() & screened.lines.keys():
        problem = f"is not a {form.name}: no line of it has a key of one"
        raise SheetError([Fault("", problem, remedy=f"start from a blank {form.name}")], source)
    values, unreadable = _values(screened.text)
    if unreadable:
        raise SheetError(_in_order([*screened.faults, unreadable]), source)
    try:
        made = make(values)
    except SheetError as error:
        told = {fault.field for fault in screened.faults}
        news = [fault for fault in error.faults if fault.field not in told]
        news = _with_commas(news, screened.values)
        placed = [replace(fault, line=_line(fault, screened.lines)) for fault in news]
        raise SheetError(_in_order([*screened.faults, *placed]), source) from None
    if screened.faults:
        raise SheetError(_in_order(screened.faults), source)
    return made


def _text(path: Path, source: str, form: Form) -> str:
    with file_errors(source, "read"):
        if path.is_dir():
            raise FileError(f"{source}: is a directory, not a {form.name}")
        if not path.exists():
            raise FileError(f"{source}: there is no such file")
        with path.open("rb") as file:
            raw = file.read(_LARGEST + 1)
    if len(raw) > _LARGEST:
        raise FileError(f"{source}: is larger than {_LARGEST // 1024} kB, and a {form.name} is not")
    if raw[:2] in _WIDE or raw[:200].count(0) > len(raw[:200]) // 4:
        remedy = f"save the {form.name} as UTF-8: the editor offers that under Save as, Encoding"
        raise SheetError([Fault("", "is UTF-16 text", remedy=remedy)], source)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        problem = f"is not UTF-8 text (byte {raw[error.start]:#04x})"
        fault = Fault("", problem, remedy=f"save the {form.name} as UTF-8", line=line)
        raise SheetError([fault], source) from None


def _screened(text: str, form: Form) -> _Screened:
    """Take out the lines that TOML would trip over, one fault each, keeping the line count."""
    rows = text.split("\n")
    faults: list[Fault] = []
    lines: dict[str, int] = {}
    values: dict[str, str] = {}
    for line in key_lines(text):
        fault = _repeated(line, lines) or _unusable(line, form)
        lines.setdefault(line.key, line.first)
        values.setdefault(line.key, line.value)
        if fault:
            rows[line.first - 1 : line.last] = [""] * (line.last - line.first + 1)
            faults.append(replace(fault, line=line.first))
    return _Screened("\n".join(rows), tuple(faults), lines, values)


def _repeated(line: Line, lines: Mapping[str, int]) -> Fault | None:
    if not line.key or line.is_table or line.is_dotted or line.key not in lines:
        return None
    return Fault(line.key, f"is written twice, first on line {lines[line.key]}")


def _unusable(line: Line, form: Form) -> Fault | None:
    if line.is_table:
        remedy = "take out the heading; a comment starts with #"
        return Fault("", f"the {form.name} is flat and has no table [{line.key}]", remedy=remedy)
    if line.is_dotted and line.key not in form.keys:
        return Fault(line.key, f"the {form.name} is flat: a key has no point in it")
    if not line.value:
        return _not_filled(line.key, form)
    if not line.key:
        problem = f"cannot be read: {line.value[:40]!r}"
        return Fault("", problem, remedy="a line is: key = value, or # and a comment")
    if _loads(f"value = {line.value}") is not None:
        return None
    problem = f"cannot be read: {line.value[:40]}"
    field = form.keys.get(line.key)
    return Fault(line.key, problem, remedy=_advice(line.value, field.unit if field else ""))


def _not_filled(key: str, form: Form) -> Fault:
    field = form.keys.get(key)
    if field is None:
        return Fault(key, f"no such key in a {form.name}", remedy=nearest(key, form.keys))
    remedy = "" if field.required else f"or take the line out: {field.default_note or 'optional'}"
    problem = f"is not filled in yet: {field.meaning}"
    return Fault(key, problem, allowed=field.allowed, remedy=remedy, is_blank=True)


_COMMA = re.compile(r"([+-]?\d+),(\d+)")
_BARE_POINT = re.compile(r"([+-]?)(\d*)\.(\d*)")
_CURLY = {**dict.fromkeys("“”„«»", '"'), **dict.fromkeys("‘’‚", "'")}
_JOINED = re.compile(r"(?<![.\d])(\d+),(\d+)(?![.\d])")
_WIDE = (b"\xff\xfe", b"\xfe\xff")  # what UTF-16 begins with


def _advice(value: str, unit: str) -> str:
    if match := _COMMA.fullmatch(value):
        return f"use a point: {match[1]}.{match[2]}"
    if told := _curly(value) or with_unit(value, unit) or _pointed(value):
        return told
    if (match := _BARE_POINT.fullmatch(value)) and bool(match[2]) != bool(match[3]):
        return f"write {match[1]}{match[2] or 0}.{match[3] or 0}"
    if re.fullmatch(r"[+-]?0\d+(\.\d+)?", value):
        return "leave out the leading zero"
    return _ADVICE.get(value[0], "text stands in quotes, a number has a decimal point")


_ADVICE = {
    **dict.fromkeys("[{", "a bracket is not closed, or a comma is missing"),
    **dict.fromkeys("\"'", "text stands between two quotes of the same kind"),
}


def _values(text: str) -> tuple[dict[str, object], Fault | None]:
    loaded = _loads(text)
    if isinstance(loaded, dict):
        return loaded, None
    line, reason = _reason(text)
    return {}, Fault(
        "", f"cannot be read as TOML: {reason}", remedy="see quotes and brackets there", line=line
    )


def _loads(text: str) -> dict[str, object] | None:
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError):
        return None


def _reason(text: str) -> tuple[int | None, str]:
    try:
        tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        place = re.search(r"\s*\(at line (\d+), column \d+\)", str(error))
        reason = str(error).replace(place[0], "") if place else str(error)
        return (int(place[1]) if place else None), reason
    return None, ""


def _curly(value: str) -> str:
    found = [sign for sign in _CURLY if sign in value]
    if not found:
        return ""
    straight = "".join(_CURLY.get(sign, sign) for sign in value)
    what = "is a curly quote" if len(found) == 1 else "are curly quotes"
    return f"{' '.join(found)} {what}; write straight ones: {straight[:40]}"


def _with_commas(faults: Sequence[Fault], written: Mapping[str, str]) -> list[Fault]:
    """Where commas may stand for decimal points in readings, one fault says so for all of them."""
    found: dict[object, Fault] = {}
    for place, fault in enumerate(faults):
        remedy = _pointed(written.get(fault.field, ""))
        found.setdefault(fault.field if remedy else place, fault)
        if remedy:
            found[fault.field] = replace(found[fault.field], remedy=remedy)
    return list(found.values())


def _pointed(written: str) -> str:
    if "readings" not in written or not _JOINED.search(written):
        return ""
    pointed = _JOINED.sub(r"\1.\2", written)
    return f"if the commas are decimal points: {pointed[:60]}"


def _line(fault: Fault, lines: Mapping[str, int]) -> int | None:
    return lines.get(fault.field)


def _in_order(faults: Sequence[Fault]) -> list[Fault]:
    return sorted(faults, key=lambda fault: (fault.line is None, fault.line or 0))
