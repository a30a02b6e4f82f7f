"""Writing a set-up to be changed: every key with its unit, its usual value and what that means."""

from __future__ import annotations

from pathlib import Path

from rimfea.files.blank_sheet import commented
from rimfea.files.toml_lines import quoted
from rimfea.files.whole_file import write_file
from rimfea.profile.field import Field, Kind
from rimfea.study.setup import FIELDS

_HEADING = """\
# Set-up: who rides what over what. It can be used as it stands.
# A line that begins with "#" has the usual value: take the "#" away and put your own number.
# Where no value is shown, the comment says what is taken instead.
"""


def blank_setup(name: str) -> str:
    """The text of a set-up (TOML) of that name in which all else is as usual."""
    return "".join([_HEADING, *(f"\n{_entry(field, name)}" for field in FIELDS)])


def write_setup(path: str | Path, *, overwrite: bool = False) -> None:
    """Write such a set-up, named after the file; raises :class:`~rimfea.errors.FileError` if it
    cannot be written, or is already there and not to be overwritten.
    """
    write_file(path, blank_setup(Path(path).stem), overwrite=overwrite)


def _entry(field: Field, name: str) -> str:
    words = [field.meaning, f"[{field.allowed}]" if field.allowed else ""]
    return commented(words) + _assignment(field, name) + "\n"


def _assignment(field: Field, name: str) -> str:
    if field.key == "name":
        return f"name = {quoted(name)}"
    if field.kind is Kind.TEXT:
        return f'# {field.key} = "{field.default}"'
    number = f" {field.default:g}" if isinstance(field.default, int | float) else ""
    return f"# {field.key} ={number}"
