"""Caliper sheets as TOML: what is written reads back as the same sheet."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from rimfea.files.demo import file_of
from rimfea.files.toml_values import Form, parse, read
from rimfea.files.whole_file import write_file
from rimfea.profile.fields import BY_KEY, FIELDS
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import Readings, shown

FORM = Form("sheet", BY_KEY)


def read_sheet(path: str | Path) -> Sheet:
    """The sheet in a TOML file, or of an invented rim by its name, such as curlew.

    Raises :class:`~rimfea.errors.FileError` if there is no such readable file, and
    :class:`~rimfea.errors.SheetError` with all faults, each with its line.
    """
    return read(file_of(path, "rim"), FORM, Sheet)


def parse_sheet(text: str, source: str) -> Sheet:
    """The sheet in a TOML text; ``source`` is what error messages call it."""
    return parse(text, source, FORM, Sheet)


def sheet_text(sheet: Sheet, heading: str = "") -> str:
    """The sheet as TOML under a heading of comments; what was assumed is a comment too."""
    above = [f"# {line}".rstrip() for line in heading.splitlines()]
    return "\n".join([*above, *_lines(sheet), ""])


def write_sheet(
    path: str | Path, sheet: Sheet, heading: str = "", *, overwrite: bool = False
) -> None:
    """Write a sheet to a file.

    Raises :class:`~rimfea.errors.FileError` if it cannot be written, or is already there and not
    to be overwritten.
    """
    write_file(path, sheet_text(sheet, heading), overwrite=overwrite)


def _lines(sheet: Sheet) -> Iterator[str]:
    for field in FIELDS:
        value = getattr(sheet, field.key)
        if value in (None, "", ()) or not field.used_by(sheet.family):
            continue
        if field.key in sheet.assumed and field.key not in sheet.guessed:
            yield f"# {field.key} = {value if isinstance(value, str) else shown(value)}, assumed"
        else:
            yield f"{field.key} = {_value(sheet.readings.get(field.key, value))}"


def _value(value: object) -> str:
    """A value as TOML. Text of a sheet is one printable line, for which the escapes of JSON are
    those of TOML.
    """
    if isinstance(value, Readings):
        tolerance = value.tolerance_mm
        told = "" if tolerance is None else f", tolerance_mm = {tolerance!r}"
        return f"{{ readings = {list(value.values)!r}{told} }}"
    if isinstance(value, str | tuple):
        return json.dumps(value, ensure_ascii=False)
    return repr(value)
