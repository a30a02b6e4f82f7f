"""Which wall is where on a section, as a builder says it: boxes in a TOML.

A line a wall, such as ``flank = [[10, -20, 14, -3]]``: low x, low y, high x, high y of each box,
in mm in a rim's axes. All faces in it are that wall's.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

from rimfea.errors import Fault, FileError, SheetError
from rimfea.files.whole_file import file_errors
from rimfea.profile.values import nearest, shown
from rimfea.profile.walls import Wall
from rimfea.traced.like import Boxes

LARGEST = 64 * 1024
FARTHEST_MM = 1000.0
REMEDY = "write low x, low y, high x, high y, as in [[10, -20, 14, -3]]"


def read_boxes(path: str | Path) -> Boxes:
    """The boxes of walls in a file. Raises :class:`~rimfea.errors.FileError`, and
    :class:`~rimfea.errors.SheetError` with all faults.
    """
    with file_errors(str(path), "read"), Path(path).open("rb") as file:
        raw = file.read(LARGEST + 1)
    if len(raw) > LARGEST:
        raise FileError(f"{path}: is larger than {LARGEST // 1024} kB")
    try:
        told = tomllib.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise FileError(f"{path}: cannot be read as TOML: {error}") from None
    faults = [fault for name, boxes in told.items() for fault in _faults(name, boxes)]
    if faults or not told:
        raise SheetError(faults or [Fault("", "names no wall", remedy=REMEDY)], str(path))
    return {
        Wall(_word(name)): [tuple(float(each) for each in box) for box in boxes]  # type: ignore[misc]
        for name, boxes in told.items()
    }


def _word(name: str) -> str:
    return name.removesuffix("_mm").replace("_", " ")


def _faults(name: str, boxes: object) -> list[Fault]:
    if _word(name) not in tuple(Wall):
        remedy = nearest(_word(name), Wall) or f"there are: {', '.join(Wall)}"
        return [Fault(name, "is not a wall", remedy=remedy)]
    if not isinstance(boxes, list) or not any(isinstance(box, list) for box in boxes):
        return [Fault(name, "is not a list of boxes", shown(boxes), remedy=REMEDY)]
    return [
        Fault(name, "is not a box", shown(box), remedy=REMEDY) for box in boxes if not _is_box(box)
    ]


def _is_box(box: object) -> bool:
    if not isinstance(box, list) or len(box) != 4:
        return False
    if not all(isinstance(each, int | float) and abs(each) <= FARTHEST_MM for each in box):
        return False
    return bool(box[0] < box[2] and box[1] < box[3])
