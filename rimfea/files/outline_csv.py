"""Rings of coordinates as a table: a point a line, x and y in the file's unit.

Columns are found by their heads (ring, x, y, bulge, in any order; the unit as in "x_mm" or
"x (inch)"); without heads the first two are x and y. A new ring begins where the number of the
ring changes, and after an empty line. A comment begins with "#", and "# unit: mm" tells the unit.
Cells end with a comma, or with a semicolon, a tab or blanks where the comma is the decimal point.
The bulge of an edge that leaves a point is that of DXF: tan(sweep / 4).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from rimfea.errors import FileError, SectionError
from rimfea.files.from_outside import MOST_POINTS, Kind, millimetres, text_of, too_many
from rimfea.files.whole_file import write_file
from rimfea.geometry.outline import Outline
from rimfea.traced.drawing import Drawing, Trail, trail

UNITS = {"mm": 1.0, "inch": 25.4, "cm": 10.0}
MEANT = {"in": "inch", "inches": "inch", '"': "inch", "millimetre": "mm", "millimeter": "mm"}
HEAD = re.compile(r"(ring|x|y|bulge|unit)(?![A-Za-z])[\s_(\[]*([A-Za-z\"]*)[\s)\]]*", re.IGNORECASE)
UNIT = re.compile(r"#?\s*units?\s*[:=]\s*(\S+)", re.IGNORECASE)


@dataclass(frozen=True)
class _Row:
    """One line of the table: its number in the file, and its cells; none of an empty line."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class _Columns:
    """Where in a row each number stands; -1 where there is none."""

    x: int = 0
    y: int = 1
    bulge: int = -1
    ring: int = -1


def read_outline_csv(path: str | Path, unit: str | None = None) -> Drawing:
    """The rings of a table of coordinates; a ``unit``, mm or inch, counts more than the file's.

    Raises :class:`~rimfea.errors.FileError` and :class:`~rimfea.errors.SectionError` with the line.
    """
    told = ""
    rows: list[_Row] = []
    for number, text in enumerate(text_of(path, Kind.CSV).splitlines(), 1):
        if found := UNIT.match(text.strip()):
            told = _meant(found[1])
        elif not text.lstrip().startswith("#"):
            rows.append(_Row(number, _cells(text)))
        if len(rows) > MOST_POINTS:
            raise too_many(path, "points", MOST_POINTS)
    rows = rows[next((k for k, row in enumerate(rows) if row.cells), len(rows)) :]
    columns = _Columns()
    if rows and not _is_number(rows[0].cells[0]):
        columns, heads_unit = _heads(rows[0], path)
        told, rows = told or heads_unit, rows[1:]
    factor, unit_name, how = millimetres(UNITS, told, unit, path)
    lines = [_line(part, columns, path).scaled(factor) for part in _parts(rows, columns)]
    return Drawing(tuple(lines), str(path), unit_name, how)


def write_outline_csv(path: str | Path, outline: Outline, *, overwrite: bool = False) -> None:
    """Write a section as such a table in mm, the outer ring first.

    Raises :class:`~rimfea.errors.FileError` if it is there already and not to be overwritten.
    """
    lines = ["ring,x_mm,y_mm,bulge"]
    for number, ring in enumerate(outline.rings, 1):
        for (x, y), bulge in zip(ring.corners.tolist(), ring.bulge.tolist(), strict=True):
            lines.append(f"{number},{x:.9g},{y:.9g},{bulge:.9g}")
    write_file(path, "\n".join(lines) + "\n", overwrite=overwrite)


def _cells(text: str) -> tuple[str, ...]:
    """The cells of a line; none of one without any letter or digit."""
    if ";" in text or "\t" in text:
        parts = re.split(r"[;\t]", text)
        parts = [re.sub(r"^(\s*[-+]?\d*),(\d+\s*)$", r"\1.\2", part) for part in parts]
    else:
        parts = text.split(",") if "," in text else text.split()
    cells = tuple(part.strip().strip('"') for part in parts)
    return cells if any(cells) else ()


def _heads(row: _Row, path: str | Path) -> tuple[_Columns, str]:
    """Where the columns are, and the unit if a head tells it."""
    found = [HEAD.match(cell) for cell in row.cells]
    places = {match[1].lower(): k for k, match in enumerate(found) if match}
    if "x" not in places or "y" not in places:
        raise FileError(
            f"{path}, line {row.line}: neither numbers nor heads x and y: "
            f"{', '.join(row.cells)[:60]}"
        )
    units = {_meant(match[2]) for match in found if match and match[1].lower() in "xy"} - {""}
    if len(units) > 1:
        raise FileError(f"{path}, line {row.line}: x and y are in units of their own")
    columns = _Columns(**{name: k for name, k in places.items() if name != "unit"})
    return columns, units.pop() if units else ""


def _meant(unit: str) -> str:
    low = unit.lower().rstrip(".,;")
    return MEANT.get(low, low)


def _parts(rows: Sequence[_Row], columns: _Columns) -> Iterator[list[_Row]]:
    """The rows of each ring."""
    part: list[_Row] = []
    name = ""
    for row in rows:
        named = row.cells[columns.ring] if 0 <= columns.ring < len(row.cells) else name
        if part and (not row.cells or named != name):
            yield part
            part = []
        if row.cells:
            part.append(row)
            name = named
    if part:
        yield part


def _line(rows: Sequence[_Row], columns: _Columns, path: str | Path) -> Trail:
    """One ring: it leads back to where it begins."""
    points = [(_number(row, columns.x, path), _number(row, columns.y, path)) for row in rows]
    bent = [_number(row, columns.bulge, path) if columns.bulge >= 0 else 0.0 for row in rows]
    where = [f"line {row.line}" for row in rows]
    if len(points) > 1 and points[0] == points[-1]:
        points, bent, where = points[:-1], bent[:-1], where[:-1]
    try:
        return trail(points, bent, is_closed=True, where=where)
    except SectionError as error:
        raise error.within(str(path)) from None


def _number(row: _Row, column: int, path: str | Path) -> float:
    cell = row.cells[column] if column < len(row.cells) else ""
    if not _is_number(cell):
        what = f"{cell[:40]!r} is no number" if cell else "a number is missing"
        raise FileError(f"{path}, line {row.line}: {what}; a line is: x, y")
    return float(cell)


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True
