"""Sheets by the folder."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from rimfea.errors import FileError, SheetError, SheetsError
from rimfea.files.sheet_toml import read_sheet
from rimfea.profile.families import DRAWN
from rimfea.profile.fields import FIELDS
from rimfea.profile.sheet import Sheet

NOT_BEGUN = frozenset(
    field.key for field in FIELDS if all(field.within(each).required for each in DRAWN)
) - {"name"}
LONGEST_NAME = 150  # leaves room for a file's


def read_sheets(
    paths: Iterable[Path], passed_over: Callable[[str], object] = lambda _told: None
) -> list[Sheet]:
    """Every sheet named, and every sheet (*.toml) in the folders named, in order. Of rims of one
    name each is called by its file as well.

    A sheet in a folder that nobody has begun to fill in is left out, and told to ``passed_over``.
    Raises :class:`~rimfea.errors.SheetsError` with the faults of all sheets at once, and
    :class:`~rimfea.errors.FileError` where nothing can be read.
    """
    found: list[tuple[Path, Sheet]] = []
    faulty: list[SheetError] = []
    for path, is_named in _files(paths):
        try:
            found.append((path, read_sheet(path)))
        except SheetError as error:
            if is_named or not is_blank(error):
                faulty.append(error)
            else:
                passed_over(f"{path}: left out: nobody has filled it in yet")
    if faulty:
        raise SheetsError(faulty)
    if not found:
        raise FileError(f"{', '.join(map(str, paths))}: there is no sheet that is filled in")
    return _told_apart(found)


def is_blank(error: SheetError) -> bool:
    """Whether a sheet has no fault but that nothing that must be measured is filled in."""
    blank = {fault.field for fault in error.faults if fault.is_blank}
    return blank >= NOT_BEGUN and all(fault.is_blank for fault in error.faults)


def _files(paths: Iterable[Path]) -> Iterator[tuple[Path, bool]]:
    """Each file, and whether it was named itself."""
    for path in paths:
        if path.is_dir():
            found = sorted(path.glob("*.toml"))
            if not found:
                raise FileError(f"{path}: there is no sheet (*.toml) in this folder")
            yield from ((each, False) for each in found)
        else:
            yield path, True


def _told_apart(found: Sequence[tuple[Path, Sheet]]) -> list[Sheet]:
    """Rims of the same name with their file behind it, and a number where that is the same, too."""
    names = Counter(sheet.name for _, sheet in found)
    called = [
        f"{sheet.name[:LONGEST_NAME]} ({path.stem})" if names[sheet.name] > 1 else sheet.name
        for path, sheet in found
    ]
    again, seen = Counter(called), Counter[str]()
    sheets = []
    for (_, sheet), name in zip(found, called, strict=True):
        seen[name] += 1
        own = f"{name} no. {seen[name]}" if again[name] > 1 else name
        sheets.append(sheet if own == sheet.name else sheet.varied(name=own))
    return sheets
