"""Every error the library raises: what is wrong, where, and what to do about it.

The library raises, only the command line catches: whatever is derived from
:class:`RimfeaError` is shown to the user as text, without a traceback.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

MOST_TOLD = 40  # faults of one file: more are those of a file of another kind


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
        told = tuple(dict.fromkeys(describe(fault, source) for fault in self.faults))
        more = len(told) - MOST_TOLD
        rest = (f"{source}: and {more} more; mend these first",) if more > 0 else ()
        super().__init__("\n".join((*told[:MOST_TOLD], *rest)))

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


class SectionError(OutlineError):
    """A section from outside that is not taken as it is: what is wrong, where, what to do.

    ``spots`` are the places (x, y) that are meant and ``lines`` what was read, as points (x, y),
    all in mm with y upward as the file has them: a picture can show the one on the other.
    ``source`` is the file, ``entity`` what it calls the thing there, such as "line 12".
    """

    def __init__(
        self,
        problem: str,
        *,
        spots: Sequence[tuple[float, float]] = (),
        remedy: str = "",
        source: str = "",
        entity: str = "",
        lines: Sequence[Sequence[tuple[float, float]]] = (),
    ) -> None:
        self.problem, self.remedy = problem, remedy
        self.source, self.entity = source, entity
        self.spots, self.lines = tuple(spots), tuple(lines)
        super().__init__(self._told())

    def _told(self) -> str:
        where = ", ".join(part for part in (self.source, self.entity) if part)
        at = " and ".join(f"x = {x:.2f}, y = {y:.2f} mm" for x, y in self.spots[:2])
        told = f"{where}: {self.problem}" if where else self.problem
        told = f"{told} at {at}" if at else told
        return f"{told}; {self.remedy}" if self.remedy else told

    def within(
        self, source: str, lines: Sequence[Sequence[tuple[float, float]]] = ()
    ) -> SectionError:
        """The same of a file, with what was read of it."""
        return SectionError(
            self.problem,
            spots=self.spots,
            remedy=self.remedy,
            source=self.source or source,
            entity=self.entity,
            lines=self.lines or lines,
        )

    def __reduce__(self) -> tuple[object, ...]:
        """How it travels between processes: by its parts, not by its text."""
        told = {name: getattr(self, name) for name in ("spots", "remedy", "source", "entity")}
        return _section_error, (self.problem, {**told, "lines": self.lines})


def _section_error(problem: str, told: Mapping[str, Any]) -> SectionError:
    return SectionError(problem, **told)


class RecordingError(RimfeaError):
    """A recording that tells no tones: what is wrong, what to do; ``source`` is the file."""

    def __init__(self, problem: str, *, remedy: str = "", source: str = "") -> None:
        self.problem, self.remedy, self.source = problem, remedy, source
        told = f"{source}: {problem}" if source else problem
        super().__init__(f"{told}; {remedy}" if remedy else told)

    def __reduce__(self) -> tuple[object, ...]:
        """How it travels between processes: by its parts, not by its text."""
        return _recording_error, (self.problem, self.remedy, self.source)


def _recording_error(problem: str, remedy: str, source: str) -> RecordingError:
    return RecordingError(problem, remedy=remedy, source=source)


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


class UnitlessError(FileError):
    """A drawing that does not say in which unit it is."""


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
