"""Reading a caliper sheet from TOML."""

from __future__ import annotations

from pathlib import Path

from rimfea.files.demo import file_of
from rimfea.files.toml_values import Form, parse, read
from rimfea.profile.fields import BY_KEY
from rimfea.profile.sheet import Sheet

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
