"""Set-ups: those that come with the program, by name, and those in files of one's own."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from rimfea.errors import Fault, SheetError
from rimfea.files.demo import SETUPS, file_of, names
from rimfea.files.toml_lines import quoted
from rimfea.files.toml_values import Form, read
from rimfea.study.setup import BY_KEY, FIELDS, Setup

FORM = Form("set-up", BY_KEY)


def read_setup(name: str | Path) -> Setup:
    """A set-up by its name, or from a TOML file.

    Raises :class:`~rimfea.errors.FileError` where there is neither, and
    :class:`~rimfea.errors.SheetError` with all faults of a file.
    """
    return read(file_of(name, "set-up", SETUPS), FORM, Setup.from_values)


def changed(setup: Setup, changes: Iterable[str]) -> Setup:
    """The set-up with other values for some keys, each change written as ``key=value``.

    Raises :class:`~rimfea.errors.SheetError` with all faults.
    """
    values: dict[str, object] = {}
    faults = []
    for change in changes:
        key, _, value = (part.strip() for part in change.partition("="))
        if value:
            values[key] = _number_or_text(value)
        else:
            faults.append(Fault(key, f"cannot be read: {change!r}", remedy="write key=value"))
    try:
        varied = setup.varied(**values)
    except SheetError as error:
        raise SheetError([*faults, *error.faults], "--with") from None
    if faults:
        raise SheetError(faults, "--with")
    return varied


def setup_text(setup: Setup, heading: str) -> str:
    """The text of a file that reads as this set-up: ``heading``, and every key that is not as
    usual, with what it means.
    """
    lines = [f"# {heading}"]
    for field in FIELDS:
        value = getattr(setup, field.key)
        if value == field.default and not field.required:
            continue
        told = quoted(value) if isinstance(value, str) else f"{value:.10g}"
        lines.append(f"\n# {field.meaning}\n{field.key} = {told}")
    return "\n".join([*lines, ""])


def setup_names() -> tuple[str, ...]:
    """The names of the set-ups that come with the program."""
    return tuple(names(SETUPS))


def _number_or_text(value: str) -> float | str:
    try:
        return float(value)
    except ValueError:
        return value
