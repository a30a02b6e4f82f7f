"""Sections as SVG: paths and shapes with their transforms, read by svgelements.

The text is parsed by defusedxml first: entities and what lies outside the file are never followed.
Circular arcs stay arcs; other curves become straight pieces within two micrometres. A line inside
another is a chamber, as by the even-odd rule. In an SVG y runs downward: it is turned round.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, TypeAlias
from xml.etree import ElementTree as ET

import numpy as np

from rimfea.arrays import Floats
from rimfea.errors import FileError, SectionError
from rimfea.files.from_outside import (
    MOST_POINTS,
    Kind,
    content,
    millimetres,
    too_many,
)
from rimfea.files.whole_file import write_file
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, arc_radii
from rimfea.traced.drawing import Drawing, Trail, trail

Shape: TypeAlias = Any  # of a library that tells no types
# CSS Values and Units 3, absolute lengths: 96 px are an inch.
UNITS = {
    "mm": 1.0,
    "inch": 25.4,
    "cm": 10.0,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "px": 25.4 / 96,
    "Q": 0.25,
}
FLOAT = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
LENGTH = re.compile(rf"\s*({FLOAT})\s*(mm|cm|in|pt|pc|px|Q|%)?\s*")
NUMBER = re.compile(r"\d+")
CHORD_MM = 0.002
ROUND = 1e-6  # by how much of its radius an arc may miss a circle
DEEPEST = 64  # of groups in groups
SPACE = "{http://www.w3.org/2000/svg}"
LINK = ("href", "{http://www.w3.org/1999/xlink}href")
# Children that are no lines of the drawing themselves.
ASIDE = ("clipPath", "mask", "marker", "pattern", "filter", "foreignObject", "script", "metadata")
MARGIN_MM = 2.0
DIGITS = 9
MOST_SHAPES = 4000


def read_outline_svg(path: str | Path, unit: str | None = None) -> Drawing:
    """The lines of an SVG; a ``unit``, mm or inch, says what one number in its paths is, and counts
    more than the file's own width.

    Raises :class:`~rimfea.errors.FileError` and :class:`~rimfea.errors.SectionError`.
    """
    import svgelements  # noqa: PLC0415 -- only who reads an SVG waits for it

    root = _root(path)
    size, told = _user_unit(root, path)
    factor, unit_name, how = millimetres({told: size} if told else {}, told, unit, path)
    dropped: Counter[str] = Counter()
    _without_asides(root, dropped)
    _bounded(root, path)
    try:
        shown = svgelements.SVG.parse(io.BytesIO(ET.tostring(root)), reify=True)
        found = [*_trails(shown, CHORD_MM / factor, dropped, path)]
    except SectionError as error:
        raise error.within(str(path)) from None
    except (ValueError, TypeError, ArithmeticError, AttributeError, IndexError) as error:
        raise FileError(f"{path}: a path in it cannot be read: {error}") from None
    except RecursionError:
        raise FileError(f"{path}: has groups within groups without end; ungroup them") from None
    lines = tuple(each.scaled(factor) for each in found)
    told_off = tuple(f"{count} {what}" for what, count in sorted(dropped.items()))
    return Drawing(lines, str(path), unit_name, how, told_off)


def write_outline_svg(path: str | Path, outline: Outline, *, overwrite: bool = False) -> None:
    """Write a section as one path in mm, filled by the even-odd rule, its arcs as arcs.

    Raises :class:`~rimfea.errors.FileError` if it is there already and not to be overwritten.
    """
    low = outline.outer.corners.min(axis=0) - MARGIN_MM
    high = outline.outer.corners.max(axis=0) + MARGIN_MM
    width, height = high - low
    box = f"{_short(low[0])} {_short(-high[1])} {_short(width)} {_short(height)}"
    drawn = " ".join(_path(ring) for ring in outline.rings)
    write_file(
        path,
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_short(width)}mm" '
        f'height="{_short(height)}mm" viewBox="{box}">\n'
        f'<path fill="#888888" fill-rule="evenodd" d="{drawn}"/>\n</svg>\n',
        overwrite=overwrite,
    )


def _path(ring: Ring) -> str:
    """The commands that draw a ring, y downward."""
    ends = np.roll(ring.corners, -1, axis=0)
    radius = arc_radii(ring)
    parts = [f"M {_short(ring.corners[0, 0])} {_short(-ring.corners[0, 1])}"]
    for (x, y), bulge, r in zip(ends.tolist(), ring.bulge.tolist(), radius.tolist(), strict=True):
        to = f"{_short(x)} {_short(-y)}"
        long, way = int(abs(bulge) > 1), int(bulge < 0)
        parts.append(f"A {_short(r)} {_short(r)} 0 {long} {way} {to}" if bulge else f"L {to}")
    return " ".join([*parts, "Z"])


def _short(number: float) -> str:
    return f"{number:.{DIGITS}g}"


def _root(path: str | Path) -> ET.Element:
    """The tree of the file; entities and what points outside are refused."""
    from defusedxml import ElementTree, common  # noqa: PLC0415

    raw = content(path, Kind.SVG)
    try:
        root: ET.Element = ElementTree.fromstring(raw, forbid_entities=True)
    except common.EntitiesForbidden:
        raise FileError(
            f"{path}: defines entities of its own, which are not followed; save it as plain SVG"
        ) from None
    except common.DefusedXmlException:
        raise FileError(f"{path}: points to another file, which is not opened") from None
    except (ET.ParseError, ValueError, LookupError) as error:
        raise FileError(f"{path}: is a broken SVG: {error}") from None
    if root.tag not in ("svg", f"{SPACE}svg"):
        raise FileError(f"{path}: is no SVG: its root is {root.tag[:40]!r}")
    return root


def _user_unit(root: ET.Element, path: str | Path) -> tuple[float, str]:
    """How many mm a number in a path is, and the unit of the drawing's width, empty where it has
    none; the root is left with a view in which a number is a pixel and (0, 0) stays where it is.
    """
    box = [float(each) for each in re.findall(FLOAT, root.get("viewBox", ""))[:4]]
    width, height = (LENGTH.fullmatch(root.get(side, "")) for side in ("width", "height"))
    shown = [each for each in (width, height) if each and each[2] not in (None, "%")]
    if len(box) == 4:
        if not (box[2] > 0 and box[3] > 0):
            raise FileError(f"{path}: its viewBox has no width or no height")
        root.set("width", str(box[2]))
        root.set("height", str(box[3]))
        root.set("viewBox", f"0 0 {box[2]} {box[3]}")
    if not shown:
        return 1.0, ""
    sizes = [float(each[1]) * UNITS[_named(each[2])] for each in shown]
    told = _named(shown[0][2])
    if len(box) < 4:
        return UNITS["px"], told
    both = [size / box[2 if each is width else 3] for size, each in zip(sizes, shown, strict=True)]
    if root.get("preserveAspectRatio", "").startswith("none") and not np.allclose(both, both[0]):
        raise FileError(f"{path}: is stretched (preserveAspectRatio none); save it as it is drawn")
    return min(both), told


def _named(unit: str) -> str:
    return "inch" if unit == "in" else unit


def _without_asides(root: ET.Element, dropped: Counter[str]) -> None:
    for parent in list(root.iter()):
        for child in list(parent):
            kind = str(child.tag).removeprefix(SPACE)
            if kind in ASIDE:
                parent.remove(child)
                if kind in ("clipPath", "mask"):
                    dropped[f"{kind}, which cuts nothing off here"] += 1


def _bounded(root: ET.Element, path: str | Path) -> None:
    """Refuse what would become too much: groups too deep, copies of copies, too many numbers."""
    named = {each.get("id", ""): each for each in root.iter()}
    sizes: dict[int, int] = {}

    def size(element: ET.Element, inside: tuple[int, ...]) -> int:
        if len(inside) > DEEPEST or id(element) in inside:
            raise FileError(f"{path}: has groups within groups without end; ungroup them")
        if id(element) not in sizes:
            here = (*inside, id(element))
            link = next((element.get(key, "") for key in LINK if element.get(key)), "")
            copied = named.get(link.removeprefix("#")) if link.startswith("#") else None
            parts = [*element, *([copied] if copied is not None else [])]
            sizes[id(element)] = 1 + sum(size(each, here) for each in parts)
        return sizes[id(element)]

    if size(root, ()) > MOST_SHAPES:
        raise too_many(path, "lines", MOST_SHAPES)
    numbers = sum(
        len(NUMBER.findall(each.get("d", ""))) + len(NUMBER.findall(each.get("points", "")))
        for each in root.iter()
    )
    if numbers > 4 * MOST_POINTS:
        raise too_many(path, "points", MOST_POINTS)


def _trails(shown: Shape, chord: float, dropped: Counter[str], path: str | Path) -> Iterator[Trail]:
    """The lines of every shape that is seen."""
    import svgelements  # noqa: PLC0415 -- only who reads an SVG waits for it

    points = 0
    for element in shown.elements():
        if isinstance(element, svgelements.Text | svgelements.Image):
            dropped["text" if isinstance(element, svgelements.Text) else "image"] += 1
        if not isinstance(element, svgelements.Shape):
            continue
        if not _is_seen(element):
            dropped["shapes that are not seen"] += 1
            continue
        name = str(element.values.get("tag", "shape"))
        known = element.values.get("id") or element.id
        name = f"{name} {known}" if known else name
        for line in _of_shape(abs(svgelements.Path(element)), name, chord):
            points += len(line.bulge)
            if points > MOST_POINTS:
                raise too_many(path, "points", MOST_POINTS)
            yield line


def _is_seen(element: Shape) -> bool:
    hidden = element.values.get("visibility") == "hidden" or element.values.get("display") == "none"
    inks = [element.fill, element.stroke]
    return not hidden and any(ink is not None and ink.value is not None for ink in inks)


def _of_shape(path: Shape, name: str, chord: float) -> Iterator[Trail]:
    for part in path.as_subpaths():
        corners: list[Floats] = []
        bulge: list[Floats] = []
        is_closed = False
        last = None
        for segment in part:
            kind = type(segment).__name__
            if kind == "Close":
                is_closed = True
            elif kind != "Move" and segment.start is not None:
                points, bent = _pieces(segment, kind, chord)
                corners.append(points)
                bulge.append(bent)
                last = np.array([[segment.end.x, segment.end.y]])
        if last is None:
            continue
        whole, bent = np.vstack([*corners, last]), np.concatenate([*bulge, np.zeros(1)])
        if is_closed and np.linalg.norm(whole[0] - whole[-1]) < ROUND * chord:
            whole, bent = whole[:-1], bent[:-1]
        if len(whole) > 1:
            yield trail(whole * [1.0, -1.0], -bent, is_closed=is_closed, where=name)


def _pieces(segment: Shape, kind: str, chord: float) -> tuple[Floats, Floats]:
    """The corners of a segment without its last, and the bulge that leaves each."""
    if kind == "Line":
        return np.array([[segment.start.x, segment.start.y]]), np.zeros(1)
    if kind == "Arc":
        return _arc(segment, chord)
    control = [segment.start, *_controls(segment, kind), segment.end]
    places = np.array([[each.x, each.y] for each in control])
    # A chord of one of n equal pieces lies within |second derivative| / 8n² of its curve.
    degree = len(places) - 1
    second = degree * (degree - 1) * np.abs(np.diff(places, 2, axis=0)).sum(axis=1).max()
    return _points(segment, int(np.sqrt(second / (8 * chord))) + 1)


def _controls(segment: Shape, kind: str) -> list[Shape]:
    if kind == "QuadraticBezier":
        return [segment.control]
    return [segment.control1, segment.control2]


def _arc(segment: Shape, chord: float) -> tuple[Floats, Floats]:
    """A circular arc as one or two with a bulge, another in straight pieces.

    Whatever the transform, the arc is centre + cos t · one + sin t · other.
    """
    centre, *ends = (
        np.array([each.x, each.y]) for each in (segment.center, segment.prx, segment.pry)
    )
    axes = np.column_stack([end - centre for end in ends])
    if not np.isfinite(axes).all():
        raise SectionError("an arc has a number that is none")
    a, b = np.linalg.norm(axes, axis=0)
    sweep, largest, turns = float(segment.sweep), max(a, b), float(np.linalg.det(axes))
    if not largest > 0 or abs(turns) < ROUND * a * b:
        return np.array([[segment.start.x, segment.start.y]]), np.zeros(1)
    is_round = abs(a - b) < ROUND * largest and abs(axes[:, 0] @ axes[:, 1]) < ROUND * a * b
    step = np.pi if is_round else 2 * np.arccos(max(0.0, 1 - chord / largest))
    count = int(abs(sweep) / step) + 1
    if count > MOST_POINTS:
        raise SectionError("a curve is too long for a section")
    start = np.linalg.solve(axes, np.array([segment.start.x, segment.start.y]) - centre)
    t = np.arctan2(start[1], start[0]) + np.sign(turns) * sweep * np.arange(count) / count
    points = centre + np.column_stack([np.cos(t), np.sin(t)]) @ axes.T
    return points, np.full(count, np.tan(sweep / count / 4) if is_round else 0.0)


def _points(segment: Shape, count: int) -> tuple[Floats, Floats]:
    if count > MOST_POINTS:
        raise SectionError("a curve is too long for a section")
    return np.array(segment.npoint(np.arange(count) / count)), np.zeros(count)
