"""The tables of an answer as comma-separated values (RFC 4180), for a spreadsheet.

A single table is its headings and its rows. Several stand below each other: before each a row with
its title, and between two an empty row. Text is UTF-8 with a byte order mark, without which some
spreadsheets read ± as two other letters.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from pathlib import Path

from rimfea.files.whole_file import write_file
from rimfea.words.tables import Table

QUANTITY = re.compile(r"([-+]?\d+(?:\.\d+)?) ?([^-+\d\s.,;:()][^\d,;:()]*)")


def write_tables(path: str | Path, tables: Sequence[Table], *, overwrite: bool = False) -> None:
    """Write tables below each other. A unit that all numbers of a column have goes to its heading.

    Raises :class:`~rimfea.errors.FileError` if the file is already there, unless ``overwrite``,
    or cannot be written.
    """
    text = io.StringIO()
    rows = csv.writer(text)
    for k, table in enumerate(tables):
        rows.writerows([[]] if k else [])
        rows.writerows([[table.title]] if table.title and tables[1:] else [])
        columns = zip(table.head, *table.rows, strict=True)
        rows.writerows(zip(*map(_bare, columns), strict=True))
    write_file(path, text.getvalue().encode("utf-8-sig"), overwrite=overwrite)


def _bare(column: Sequence[str]) -> Sequence[str]:
    """A column, its heading first, whose unit is in the heading; as it is where a cell says more
    than a number, or another unit.
    """
    head, *cells = column
    found = [QUANTITY.fullmatch(cell) for cell in cells]
    (unit, *others) = {each[2] for each in found if each} or {""}
    more = any(re.search(r"\d", cell) for cell, each in zip(cells, found, strict=True) if not each)
    if others or more or not unit:
        return column
    bare = (each[1] if each else cell for cell, each in zip(cells, found, strict=True))
    return [f"{head}, {unit}" if head else unit, *bare]
