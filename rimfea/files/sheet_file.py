"""Writing a caliper sheet as TOML, so that reading it gives the same sheet."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from rimfea.errors import FileError
from rimfea.profile.fields import FIELDS
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import Readings, shown


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
    text = sheet_text(sheet, heading)
    try:
        with Path(path).open("w" if overwrite else "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise FileError(f"{path}: is already there and is not overwritten") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileError(f"{path}: cannot be written: {reason}") from error


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
