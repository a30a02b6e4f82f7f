"""Every error the library raises: what is wrong, where, and what to do about it.

The library raises, only the command line catches: whatever is derived from
:class:`RimfeaError` is shown to the user as text, without a traceback.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass


class RimfeaError(Exception):
    """Base of all errors that are the input's fault, not the program's."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong with one field of a sheet.

    ``field`` may be empty when the fault is not tied to a single key; ``line`` is filled in
    by whoever read the file. ``value``, ``unit`` and ``allowed`` are ready to print. ``is_blank``
    if it is only that nobody has filled the line in.
    """

    field: str
    problem: str
    value: str = ""
    unit: str = ""
    allowed: str = ""
    remedy: str = ""
    line: int | None = None
    is_blank: bool = False


class SheetError(RimfeaError):
    """A caliper sheet that cannot be used; carries *all* its faults, not the first."""

    def __init__(self, faults: Sequence[Fault], source: str = "sheet") -> None:
        self.faults = tuple(faults)
        self.source = source
        super().__init__("\n".join(describe(fault, source) for fault in self.faults))

    def __reduce__(self) -> tuple[object, ...]:
        """How it travels between processes: by its faults, not by its text."""
        return type(self), (self.faults, self.source)


class SheetsError(RimfeaError):
    """Several sheets with faults; carries the errors of all."""

    def __init__(self, errors: Sequence[SheetError]) -> None:
        self.errors = tuple(errors)
        super().__init__("\n".join(str(error) for error in errors))

    def __reduce__(self) -> tuple[object, ...]:
        """How it travels between processes."""
        return type(self), (self.errors,)


class OutlineError(RimfeaError):
    """Rings of coordinates that do not make a rim section."""


class MeshError(RimfeaError):
    """An outline that could not be meshed to the promised quality."""


class LoadError(RimfeaError):
    """A load that cannot be: no force, a share above one, an angle that misses the rim."""


def positive(what: str, value: float, unit: str = "") -> None:
    """Refuse a number that is not finite and more than 0; raises :class:`LoadError`."""
    if not (math.isfinite(value) and value > 0):
        raise LoadError(f"{what} = {value:g} {unit}".rstrip() + ": must be more than 0")


class SolveError(RimfeaError):
    """Equations without a trustworthy solution: unheld, singular or out of balance."""


class UnitError(RimfeaError):
    """A unit that the program does not know."""


class UnknownError(RimfeaError):
    """A name that the program does not know: of a wall, a wheel, an outcome, a table."""


class FileError(RimfeaError):
    """A file that is missing, unreadable, or must not be overwritten."""


@contextmanager
def about(name: str) -> Iterator[None]:
    """Say of which rim it is, where one of several cannot be asked."""
    try:
        yield
    except (LoadError, OutlineError, MeshError, SolveError) as error:
        if name in str(error):
            raise
        raise type(error)(f"{name}: {error}") from error


def describe(fault: Fault, source: str) -> str:
    """One fault as text: where, value, what is wrong, what is allowed, what to do."""
    where = source if fault.line is None else f"{source}, line {fault.line}"
    given = f" = {fault.value} {fault.unit}".rstrip() if fault.value else ""
    named = fault.problem.startswith(fault.field)  # a clash names both its keys by itself
    what = fault.problem if named else f"{fault.field}{given}: {fault.problem}"
    parts = [f"{where}: {what}"]
    if fault.allowed:
        parts.append(f"allowed: {fault.allowed}")
    if fault.remedy:
        parts.append(fault.remedy)
    return "; ".join(parts)
