"""Rings of coordinates as JSON: {"unit": "mm", "outer": [[x, y], ...], "holes": [[...], ...]}.

A section whose edges are named after a rim's walls has these names as well, a list a ring, under
"walls". A point may have a third number, the bulge of the edge that leaves it (of DXF: tan(sweep /
4)).
Also read: {"unit": ..., "rings": [...]}, a bare list of rings or of one ring's points, and a
GeoJSON Polygon ("coordinates").
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NoReturn, TypeAlias

from rimfea.errors import FileError, OutlineError, SectionError
from rimfea.files.from_outside import MOST_POINTS, Kind, millimetres, text_of, too_many
from rimfea.files.outline_csv import MEANT, UNITS
from rimfea.files.whole_file import write_file
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import relabelled
from rimfea.profile.walls import Wall
from rimfea.traced.drawing import Drawing, Trail, trail

Told: TypeAlias = Any  # whatever stands in a JSON
FORM = "rimfea outline 1"
REMEDY = 'write {"unit": "mm", "outer": [[x, y], ...], "holes": [[[x, y], ...]]}'


def read_outline_json(path: str | Path, unit: str | None = None) -> Drawing:
    """The rings of such a file; a ``unit``, mm or inch, counts more than the file's.

    Raises :class:`~rimfea.errors.FileError` and :class:`~rimfea.errors.SectionError`.
    """
    try:
        told = json.loads(text_of(path, Kind.JSON), parse_constant=_no_number)
    except RecursionError:
        raise FileError(f"{path}: has brackets within brackets without end; {REMEDY}") from None
    except ValueError as error:
        raise FileError(f"{path}: is no JSON: {error}") from None
    named = told.get("unit", told.get("units", "")) if isinstance(told, dict) else ""
    rings = _rings(told, path)
    if sum(len(ring) for ring in rings.values()) > MOST_POINTS:
        raise too_many(path, "points", MOST_POINTS)
    factor, unit_name, how = millimetres(UNITS, MEANT.get(str(named), str(named)), unit, path)
    lines = [_line(ring, name, path).scaled(factor) for name, ring in rings.items()]
    return Drawing(tuple(lines), str(path), unit_name, how)


def write_outline_json(path: str | Path, outline: Outline, *, overwrite: bool = False) -> None:
    """Write a section in this form, in mm.

    Raises :class:`~rimfea.errors.FileError` if it is there already and not to be overwritten.
    """
    rings = [
        [[round(x, 9), round(y, 9), round(bulge, 9)] for (x, y), bulge in zip(*parts, strict=True)]
        for parts in ((ring.corners.tolist(), ring.bulge.tolist()) for ring in outline.rings)
    ]
    told = {"format": FORM, "unit": "mm", "outer": rings[0], "holes": rings[1:]}
    if set(outline.labels) <= set(Wall):
        told["walls"] = [list(ring.labels) for ring in outline.rings]
    write_file(path, json.dumps(told) + "\n", overwrite=overwrite)


def read_named(path: str | Path) -> Outline | None:
    """The section in such a file as it is, its edges named after walls; None where the file has no
    names. Raises :class:`~rimfea.errors.FileError` for names that do not go with its edges.
    """
    told = json.loads(text_of(path, Kind.JSON))
    names = told.get("walls") if isinstance(told, dict) else None
    if names is None:
        return None
    lines = read_outline_json(path).trails
    remedy = f"a list a ring, a name an edge, of: {', '.join(Wall)}"
    try:
        rings = [
            relabelled(line.ring(), tuple(Wall(name) for name in of_ring))
            for line, of_ring in zip(lines, names, strict=True)
        ]
        return Outline(rings[0], tuple(rings[1:]))
    except (TypeError, ValueError, OutlineError) as error:
        raise FileError(f'{path}: the names under "walls" do not fit: {error}; {remedy}') from None


def _rings(told: Told, path: str | Path) -> Mapping[str, list[Any]]:
    """The lists of points by what messages call them."""
    found: Told = told
    if isinstance(told, dict):
        if "outer" in told:
            holes = told.get("holes", [])
            found = [told["outer"], *(holes if isinstance(holes, list) else [holes])]
        else:
            found = told.get("rings", told.get("coordinates"))
    if isinstance(found, list) and found and _is_point(found[0]):
        found = [found]
    if not (isinstance(found, list) and found and all(isinstance(each, list) for each in found)):
        raise FileError(f"{path}: there are no rings of points in it; {REMEDY}")
    return {f"ring {k}": ring for k, ring in enumerate(found, 1)}


def _is_point(told: Told) -> bool:
    return (
        isinstance(told, list)
        and len(told) in (2, 3)
        and all(isinstance(each, int | float) and not isinstance(each, bool) for each in told)
    )


def _line(ring: list[Any], name: str, path: str | Path) -> Trail:
    for k, point in enumerate(ring, 1):
        if not _is_point(point):
            raise FileError(f"{path}, {name}, point {k}: is no point [x, y]; {REMEDY}")
    try:
        points = [(float(each[0]), float(each[1])) for each in ring]
        bent = [float(each[2]) if len(each) == 3 else 0.0 for each in ring]
    except OverflowError:
        raise FileError(f"{path}, {name}: a number is too large") from None
    if len(points) > 1 and points[0] == points[-1]:
        points, bent = points[:-1], bent[:-1]
    where = [f"{name}, point {k}" for k in range(1, len(points) + 1)]
    try:
        return trail(points, bent, is_closed=True, where=where)
    except SectionError as error:
        raise error.within(str(path)) from None


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")
