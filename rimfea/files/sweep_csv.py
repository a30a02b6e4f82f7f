"""A sweep as comma-separated values (RFC 4180), a row a point, written as the points come.

Lines that begin with # say what it is a sweep of; the digest among them is that of sheet, set-up,
wheel, loading and axes. The first row is the rim as it is. In a gap the numbers are empty, and
``gap`` says why. Those of dents are empty, too, in a sweep that did not ask for them.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from rimfea.ask.sweep import DECIDED, Place, Point, Sweep
from rimfea.errors import FileError
from rimfea.files.whole_file import file_errors, write_file
from rimfea.study.outcome import BY_KEY, OUTCOMES

FIRST_LINE = "# rimfea sweep 1"
DIGEST = "# digest: "
REMEDY = "write to another file, or add --overwrite to begin it anew"
NUMBERS = tuple(each.key for each in OUTCOMES)


def read_points(path: str | Path, sweep: Sweep) -> dict[Place, Point]:
    """The points of this sweep that a file has, by place; none where there is no file.

    A last line that was not written to its end does not count. Raises
    :class:`~rimfea.errors.FileError` for a file that cannot be read or is not of this sweep.
    """
    text = _text(Path(path))
    if not FIRST_LINE.startswith(text[: len(FIRST_LINE)]):
        raise FileError(f"{path}: does not hold a sweep and is left as it is: {REMEDY}")
    lines = text[: _whole(text)].splitlines()
    notes = [line for line in lines if line.startswith("#")]
    if lines and DIGEST + sweep.digest not in notes:
        told = "".join(notes[1:2]).lstrip("# ")
        raise FileError(f"{path}: holds another sweep ({told}) and is left as it is: {REMEDY}")
    rows = csv.DictReader(lines[len(notes) :])
    try:
        found = [_point(row, sweep.keys) for row in rows]
    except (KeyError, TypeError, ValueError):
        where = f"{path}, line {len(notes) + rows.line_num}"
        raise FileError(f"{where}: cannot be read: delete the line, or {REMEDY}") from None
    return {point.place: point for point in found}


def recorded(
    path: str | Path, sweep: Sweep, points: Iterable[Point], *, overwrite: bool = False
) -> Iterator[Point]:
    """The points, each once it stands in the file, after those of this sweep already there.

    With ``overwrite`` the file begins anew, whatever was in it. Raises
    :class:`~rimfea.errors.FileError` as :func:`read_points`, or where it cannot be written.
    """
    file = Path(path)
    begun = not overwrite and bool(read_points(file, sweep))
    before = _text(file) if begun else _heading(sweep)
    if not begun or _whole(before) < len(before):
        write_file(file, before[: _whole(before)], overwrite=True)
    for point in points:
        _append(file, _line(_cells(point)))
        yield point


def _heading(sweep: Sweep) -> str:
    along = ", ".join(
        f"{axis.key} {axis.start_mm:g} to {axis.end_mm:g} in {axis.count}" for axis in sweep.axes
    )
    notes = (
        FIRST_LINE,
        f"# {sweep.sheet.name}: {along}; {sweep.setup.name}, {sweep.end} wheel",
        "# The first row is the rim as it is.",
        DIGEST + sweep.digest,
    )
    walls = [f"{key}_wall" for key in DECIDED]
    head = _line([*sweep.keys, *NUMBERS, *walls, "remeshed", "gap"])
    return "".join(f"{note}\n" for note in notes) + head


def _cells(point: Point) -> list[str]:
    return [
        *map(repr, point.place),
        *(repr(point.outcomes[key]) if key in point.outcomes else "" for key in NUMBERS),
        *(point.walls.get(key, "") for key in DECIDED),
        point.remeshed,
        point.gap,
    ]


def _point(row: Mapping[str, str], keys: Iterable[str]) -> Point:
    place, gap = tuple(float(row[key]) for key in keys), row["gap"]
    if gap is None:
        raise ValueError("the row ends too early")
    if gap:
        return Point(place, gap=gap)
    given = [key for key in NUMBERS if row[key] or not BY_KEY[key].dent]
    numbers = {key: float(row[key]) for key in given}
    walls = {key: row[f"{key}_wall"] for key in DECIDED}
    return Point(place, numbers, walls, row["remeshed"])


def _line(cells: Iterable[str]) -> str:
    line = io.StringIO()
    csv.writer(line, lineterminator="\n").writerow(cells)
    return line.getvalue()


def _whole(text: str) -> int:
    """Where its last whole line ends."""
    return text.rfind("\n") + 1


def _text(path: Path) -> str:
    if not path.exists():
        return ""
    with file_errors(path, "read"):
        return path.read_text(encoding="utf-8")


def _append(path: Path, text: str) -> None:
    with file_errors(path, "written"), path.open("a", encoding="utf-8", newline="") as file:
        file.write(text)
