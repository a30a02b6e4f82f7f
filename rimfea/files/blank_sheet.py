"""Writing a blank caliper sheet: every key with what it means and how to measure it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from itertools import groupby
from pathlib import Path

from rimfea.files.whole_file import write_file
from rimfea.profile.families import Family
from rimfea.profile.field import Field
from rimfea.profile.fields import FIELDS

_HEADING = """\
# Caliper sheet of one rim: {family}.
# Fill in the lines that end in "=". A line that begins with "#" is optional: take the "#" away
# and put your own number, or leave it and the default is used and reported as assumed.
# Repeated readings of one length: {{ readings = [25.02, 24.98, 25.00], tolerance_mm = 0.02 }}
"""


def blank_sheet(family: Family) -> str:
    """The text of a blank sheet (TOML) for a family of section."""
    parts = [_HEADING.format(family=family)]
    usable = [field.within(family) for field in FIELDS if field.used_by(family)]
    for group, fields in groupby(usable, key=lambda field: field.group):
        parts.append(f"\n# ---- {group} ----\n")
        parts += [_entry(field, family) for field in fields]
    return "".join(parts)


def write_blank(path: str | Path, family: Family, *, overwrite: bool = False) -> None:
    """Write a blank sheet to a file; raises :class:`~rimfea.errors.FileError` if it cannot be
    written, or is already there and not to be overwritten.
    """
    write_file(path, blank_sheet(family), overwrite=overwrite)


def commented(words: Iterable[str]) -> str:
    """Parts of a sentence as lines of a comment; empty ones are left out."""
    lines = textwrap.wrap("; ".join(filter(None, words)), 96, break_on_hyphens=False)
    return "".join(f"# {line}\n" for line in lines)


def _entry(field: Field, family: str) -> str:
    words = [field.meaning, f"[{field.allowed}]" if field.allowed else ""]
    if not field.required and field.default_note:
        words.append(f"default: {field.default_note}")
    return commented(words) + _assignment(field, family) + "\n"


def _assignment(field: Field, family: str) -> str:
    if field.key == "family":
        return f'family = "{family}"'
    if field.required:
        return f"{field.key} ="
    if isinstance(field.default, str):
        return f'# {field.key} = "{field.default}"'
    number = f" {field.default:g}" if isinstance(field.default, int | float) else ""
    return f"# {field.key} ={number}"
