"""Sheets by the folder."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from rimfea.errors import FileError, SheetError, SheetsError
from rimfea.files.sheet_toml import read_sheet
from rimfea.profile.sheet import Sheet


def read_sheets(paths: Iterable[Path]) -> list[Sheet]:
    """Every sheet named, and every sheet (*.toml) in the folders named, in order.

    Raises :class:`~rimfea.errors.SheetsError` with the faults of all sheets at once, and
    :class:`~rimfea.errors.FileError` where nothing can be read.
    """
    sheets, faulty = [], []
    for path in _files(paths):
        try:
            sheets.append(read_sheet(path))
        except SheetError as error:
            faulty.append(error)
    if faulty:
        raise SheetsError(faulty)
    return sheets


def _files(paths: Iterable[Path]) -> list[Path]:
    files: list[Path] = []
    for path in paths:
        if path.is_dir():
            found = sorted(path.glob("*.toml"))
            if not found:
                raise FileError(f"{path}: there is no sheet (*.toml) in this folder")
            files += found
        else:
            files.append(path)
    return files
