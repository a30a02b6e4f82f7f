"""Sections as DXF, read and written by ezdxf: the lines of model space in the plane x, y.

Arcs of polylines, arcs and circles stay arcs; splines and ellipses become short straight pieces
within two micrometres. Blocks are taken apart. What is no line of an outline is left out and told.
"""

from __future__ import annotations

import io
import logging
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from rimfea.arrays import Floats
from rimfea.errors import FileError, SectionError
from rimfea.files.from_outside import (
    BINARY_DXF,
    MOST_ENTITIES,
    MOST_POINTS,
    Kind,
    content,
    millimetres,
    too_many,
)
from rimfea.files.whole_file import write_file
from rimfea.geometry.outline import Outline
from rimfea.traced.drawing import Drawing, Trail, trail

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

Entity: TypeAlias = Any  # whose attributes depend on its kind
# $INSUNITS (DXF Reference, HEADER section): its number, its name, and in mm.
INSUNITS = {
    1: ("inch", 25.4),
    2: ("ft", 304.8),
    4: ("mm", 1.0),
    5: ("cm", 10.0),
    6: ("m", 1000.0),
    8: ("microinch", 25.4e-6),
    9: ("mil", 0.0254),
    13: ("micrometre", 1e-3),
    14: ("dm", 100.0),
}
UNITS = dict(INSUNITS.values())
CHORD_MM = 0.002  # how far a straight piece may lie beside its curve
DEEPEST = 8  # of blocks in blocks
NO_METAL = ("CENTER", "CENTRE", "DASHDOT", "PHANTOM", "HIDDEN", "DASHED")
INVISIBLE = ("DEFPOINTS",)
OUT_OF_PLANE_MM = 0.05
FRAME = 16  # flag of a vertex that controls a spline and does not lie on it


def read_outline_dxf(path: str | Path, unit: str | None = None) -> Drawing:
    """The lines of a DXF; a ``unit``, mm or inch, counts more than the file's $INSUNITS.

    Raises :class:`~rimfea.errors.FileError` and :class:`~rimfea.errors.SectionError`.
    """
    document = _document(path)
    told = INSUNITS.get(int(document.header.get("$INSUNITS", 0)), ("", 0.0))[0]
    factor, unit_name, how = millimetres(UNITS, told, unit, path)
    dropped: Counter[str] = Counter()
    lines: list[Trail] = []
    points = 0
    try:
        for entity in _lines(document, path, dropped):
            line = _trail(entity, CHORD_MM / factor)
            lines.append(line.scaled(factor))
            points += len(line.bulge)
            if points > MOST_POINTS:
                raise too_many(path, "points", MOST_POINTS)
    except SectionError as error:
        raise error.within(str(path)) from None
    except (ValueError, TypeError, ArithmeticError, AttributeError, RecursionError) as error:
        raise FileError(f"{path}: a line in it cannot be read: {error}") from None
    told_off = tuple(f"{count} {what}" for what, count in sorted(dropped.items()))
    return Drawing(tuple(lines), str(path), unit_name, how, told_off)


def write_outline_dxf(path: str | Path, outline: Outline, *, overwrite: bool = False) -> None:
    """Write a section as closed LWPOLYLINEs in mm, its arcs as bulges.

    Raises :class:`~rimfea.errors.FileError` if it is there already and not to be overwritten.
    """
    from ezdxf import document as dxf  # noqa: PLC0415 -- only who writes a DXF waits for it

    with _undated():
        document = dxf.Drawing.new("R2010")
        document.units = 4
        space = document.modelspace()
        names = ("OUTER", *["HOLE"] * len(outline.holes))
        for name, ring in zip(names, outline.rings, strict=True):
            corners = np.column_stack([ring.corners, ring.bulge]).tolist()
            space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": name})
        text = io.StringIO()
        document.write(text)
    write_file(path, text.getvalue(), overwrite=overwrite)


@contextmanager
def _undated() -> Iterator[None]:
    """The same drawing is the same bytes: with a fixed date, and numbers of its own that are 0."""
    from ezdxf import options  # type: ignore[attr-defined]  # noqa: PLC0415

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _document(path: str | Path) -> Document:
    from ezdxf import recover  # noqa: PLC0415 -- only who reads a DXF waits for it
    from ezdxf.lldxf.const import DXFError  # noqa: PLC0415

    logging.getLogger("ezdxf").addHandler(logging.NullHandler())  # a damaged file is told once
    raw = content(path, Kind.DXF)
    if raw.startswith(BINARY_DXF):
        raise FileError(f"{path}: is a binary DXF; save it as DXF in text (ASCII)")
    try:
        document, _ = recover.read(io.BytesIO(raw))
    except (DXFError, OSError) as error:
        raise FileError(f"{path}: is a broken DXF: {error}") from None
    except Exception as error:  # noqa: BLE001 -- whatever a damaged file makes it trip over
        raise FileError(f"{path}: is a broken DXF ({type(error).__name__})") from None
    return document


def _lines(document: Document, path: str | Path, dropped: Counter[str]) -> Iterator[Entity]:
    """The lines of an outline, blocks taken apart; what else there is is counted."""
    off = {
        layer.dxf.name.upper() for layer in document.layers if layer.is_off() or layer.is_frozen()
    }
    types = {layer.dxf.name.upper(): str(layer.dxf.linetype) for layer in document.layers}
    waiting = [(0, entity) for entity in reversed(list(document.modelspace()))]
    seen = 0
    while waiting:
        depth, entity = waiting.pop()
        seen += 1
        if seen + len(waiting) > MOST_ENTITIES:
            raise too_many(path, "lines", MOST_ENTITIES)
        kind, layer = entity.dxftype(), str(entity.dxf.get("layer", "0")).upper()
        if layer in off or layer in INVISIBLE or entity.dxf.get("invisible", 0):
            dropped["lines on layers that are off"] += 1
        elif kind == "INSERT":
            waiting += _taken_apart(entity, depth, path)
        elif kind not in READERS:
            dropped[kind] += 1
        elif _linetype(entity, types.get(layer, "")).startswith(NO_METAL):
            dropped["centre lines and dashed lines"] += 1
        else:
            yield entity


def _taken_apart(insert: Entity, depth: int, path: str | Path) -> list[tuple[int, Entity]]:
    """The entities of a block where it is put, once or in rows."""
    if depth >= DEEPEST:
        raise FileError(f"{path}: has blocks within blocks, {DEEPEST} deep; take them apart")
    copies, block = int(insert.mcount), insert.block()
    if copies * (len(block) if block is not None else 0) > MOST_ENTITIES:
        raise too_many(path, "lines", MOST_ENTITIES)
    placed = insert.multi_insert() if copies > 1 else (insert,)
    return [(depth + 1, entity) for each in placed for entity in each.virtual_entities()]


def _linetype(entity: Entity, of_layer: str) -> str:
    own = str(entity.dxf.get("linetype", "BYLAYER")).upper()
    return of_layer.upper() if own == "BYLAYER" else own


def _trail(entity: Entity, chord: float) -> Trail:
    """An entity as a line in the file's unit."""
    name = f"{entity.dxftype()} {entity.dxf.get('handle') or 'of a block'}"
    corners, bulge, is_closed = READERS[entity.dxftype()](entity, chord)
    facing = entity.dxf.get("extrusion", (0, 0, 1)) if entity.dxftype() in FLAT else (0, 0, 1)
    if abs(facing[0]) > 1e-6 or abs(facing[1]) > 1e-6:
        raise SectionError(
            "is not drawn in the plane x, y", entity=name, remedy="draw the section in one plane"
        )
    if facing[2] < 0:  # seen from behind
        corners, bulge = corners * [-1.0, 1.0], -bulge
    return trail(corners, bulge, is_closed=is_closed, where=name)


def _lwpolyline(entity: Entity, _chord: float) -> tuple[Floats, Floats, bool]:
    rows = np.array(entity.get_points("xyb"), dtype=float).reshape(-1, 3)
    return rows[:, :2], rows[:, 2], bool(entity.closed)


def _polyline(entity: Entity, _chord: float) -> tuple[Floats, Floats, bool]:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        raise SectionError("is a mesh, not a line", entity=f"POLYLINE {entity.dxf.handle}")
    vertices = [each for each in entity.vertices if not each.dxf.get("flags", 0) & FRAME]
    points = _flat([tuple(each.dxf.location) for each in vertices], "POLYLINE", entity)
    bulge = np.array([float(each.dxf.get("bulge", 0.0)) for each in vertices])
    return points, bulge if entity.is_2d_polyline else 0 * bulge, bool(entity.is_closed)


def _line(entity: Entity, _chord: float) -> tuple[Floats, Floats, bool]:
    points = _flat([tuple(entity.dxf.start), tuple(entity.dxf.end)], "LINE", entity)
    return points, np.zeros(2), False


def _arc(entity: Entity, _chord: float) -> tuple[Floats, Floats, bool]:
    start, end = np.radians([entity.dxf.start_angle, entity.dxf.end_angle])
    sweep = (end - start) % (2 * np.pi) or 2 * np.pi
    return (*_round(entity, np.array([start, start + sweep / 2, start + sweep]), sweep / 2), False)


def _circle(entity: Entity, _chord: float) -> tuple[Floats, Floats, bool]:
    return (*_round(entity, np.array([0.0, np.pi]), np.pi), True)


def _round(entity: Entity, angle: Floats, sweep: float) -> tuple[Floats, Floats]:
    centre, radius = np.array(tuple(entity.dxf.center)[:2]), float(entity.dxf.radius)
    points = centre + radius * np.column_stack([np.cos(angle), np.sin(angle)])
    return points, np.full(len(angle), np.tan(sweep / 4))


def _curve(entity: Entity, chord: float) -> tuple[Floats, Floats, bool]:
    """A spline or an ellipse in straight pieces."""
    points: list[Any] = []
    for point in entity.flattening(chord):
        points.append(tuple(point))
        if len(points) > MOST_POINTS:
            raise SectionError("has too many points", entity=f"{entity.dxftype()}")
    flat = _flat(points, entity.dxftype(), entity)
    is_closed = len(flat) > 3 and float(np.linalg.norm(flat[0] - flat[-1])) < chord / 10
    if is_closed:
        flat = flat[:-1]
    return flat, np.zeros(len(flat)), is_closed


def _flat(points: Sequence[Sequence[float]], kind: str, entity: Entity) -> Floats:
    """Points in space (p, 3) of a plane of constant height, without it."""
    space = np.array(points, dtype=float).reshape(len(points), -1)
    if space.shape[1] > 2 and np.ptp(space[:, 2]) > OUT_OF_PLANE_MM:
        raise SectionError(
            "leaves the plane x, y",
            entity=f"{kind} {entity.dxf.get('handle')}",
            remedy="draw the section in one plane",
        )
    return np.ascontiguousarray(space[:, :2])


FLAT = ("LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE")  # whose coordinates are those of their plane
READERS = {
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "SPLINE": _curve,
    "ELLIPSE": _curve,
}
