"""Caliper sheets as TOML: what is written reads back as the same sheet."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from rimfea.errors import Fault, FileError, RimfeaError, SheetError
from rimfea.files.demo import file_of
from rimfea.files.toml_lines import quoted
from rimfea.files.toml_values import Form, parse, read
from rimfea.files.whole_file import write_file
from rimfea.profile.fields import BY_KEY, FIELDS
from rimfea.profile.moved import OF_THE_NIPPLE
from rimfea.profile.sheet import Sheet
from rimfea.profile.trace import Trace
from rimfea.profile.values import Readings, shown

FORM = Form("sheet", BY_KEY)
SECTION = "section"
# For naming a section's walls the hoop's size does not matter.
OF_ANY: Mapping[str, object] = MappingProxyType({"bead_seat_diameter_mm": 622})


def read_sheet(path: str | Path) -> Sheet:
    """The sheet in a TOML file, or of an invented rim by its name, such as curlew.

    Raises :class:`~rimfea.errors.FileError` if there is no such readable file, and
    :class:`~rimfea.errors.SheetError` with all faults, each with its line.
    """
    file = file_of(path, "rim")
    return read(file, FORM, lambda values: Sheet(_with_section(values, file.parent)))


def parse_sheet(text: str, source: str) -> Sheet:
    """The sheet in a TOML text; ``source`` is what error messages call it."""
    return parse(text, source, FORM, Sheet)


def sheet_text(sheet: Sheet, heading: str = "", folder: Path | None = None) -> str:
    """The sheet as TOML under a heading of comments; what was assumed is a comment too. The file of
    a traced section is told as seen from the ``folder`` in which the sheet will be.
    """
    above = [f"# {line}".rstrip() for line in heading.splitlines()]
    return "\n".join([*above, *_lines(sheet, folder), ""])


def write_sheet(
    path: str | Path, sheet: Sheet, heading: str = "", *, overwrite: bool = False
) -> None:
    """Write a sheet to a file.

    Raises :class:`~rimfea.errors.FileError` if it cannot be written, or is already there and not
    to be overwritten.
    """
    write_file(path, sheet_text(sheet, heading, Path(path).parent), overwrite=overwrite)


def write_kept_sheet(
    path: Path, section: Path, sheet: Sheet, heading: str = "", *, overwrite: bool = False
) -> None:
    """Write the sheet of a traced section, and the section with the names of its walls (.json)."""
    from rimfea.files.outline_json import write_outline_json

    if sheet.section is None:
        raise FileError(f"{sheet.name}: is drawn from its numbers, and has no section to keep")
    write_outline_json(section, sheet.section.outline, overwrite=overwrite)
    kept = replace(sheet.section, source=str(section))
    write_sheet(path, sheet.varied(section=kept), heading, overwrite=overwrite)


def _with_section(values: Mapping[str, object], folder: Path) -> Mapping[str, object]:
    """The values with the section that their file tells in the place of its name."""
    named = values.get(SECTION)
    if not isinstance(named, str) or not named.strip():
        return values
    from rimfea.files.section import read_trace

    own = {key: values[key] for key in OF_THE_NIPPLE if key in values}
    try:
        return {**values, SECTION: read_trace(folder / named, {**OF_ANY, **own})}
    except RimfeaError as error:
        raise SheetError([Fault(SECTION, str(error))]) from None


def _lines(sheet: Sheet, folder: Path | None) -> Iterator[str]:
    for field in FIELDS:
        value = getattr(sheet, field.key)
        if isinstance(value, Trace):
            value = _seen_from(value, folder, sheet.name)
        if value in (None, "", ()) or not field.used_by(sheet.family):
            continue
        if field.key in sheet.assumed and field.key not in sheet.guessed:
            yield f"# {field.key} = {value if isinstance(value, str) else shown(value)}, assumed"
        else:
            yield f"{field.key} = {_value(sheet.readings.get(field.key, value))}"


def _seen_from(section: Trace, folder: Path | None, name: str) -> str:
    if not section.source:
        raise FileError(f"{name}: its traced section is in no file yet: write it as .json first")
    return os.path.relpath(section.source, folder) if folder else section.source


def _value(value: object) -> str:
    """A value as TOML."""
    if isinstance(value, Readings):
        tolerance = value.tolerance_mm
        told = "" if tolerance is None else f", tolerance_mm = {tolerance!r}"
        return f"{{ readings = {list(value.values)!r}{told} }}"
    if isinstance(value, str | tuple):
        return quoted(value)
    return repr(value)
