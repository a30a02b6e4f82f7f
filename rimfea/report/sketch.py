"""Small sketches of the parts of a rim and of where numbers are read, as SVG: what is drawn is what
the program itself draws and measures.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from html import escape
from types import MappingProxyType

import numpy as np

from rimfea.arrays import Floats
from rimfea.elastic.spokes import spokes
from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import read_sheet
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, arc_radii
from rimfea.profile.build import outline
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.study.setup import End, lacing
from rimfea.traced.jaws import Hold, Jaws, jaws

ROOM_MM = 3.0  # around what is drawn
TICK_MM = 0.9
DOT_MM = 0.8
STRAIGHT = 1e-6
SHORT = 5.0  # a wheel is drawn so many times lower than it is
EM_MM = 3.2  # of the sketch to the width of a letter
SHAFT_MM = 28.0  # below the bead seat, where the axle is drawn in place of where it is
WALLS: Mapping[str, tuple[Wall, ...]] = MappingProxyType(
    {
        "hook": (Wall.BEAD_HOOK, Wall.HOOK_LIP),
        **{str(wall): (wall,) for wall in Wall},
    }
)
# A rim that has what the curlew is without, by the key of its sheet.
ON: Mapping[str, tuple[str, Mapping[str, object]]] = MappingProxyType(
    {
        "web_mm": ("curlew", {"web_mm": 1.0}),
        "web_height_mm": ("curlew", {"web_mm": 1.0}),
        "bead_ridge_mm": ("curlew", {"bead_ridge_mm": 0.5}),
        "spoke_bed_offset_mm": ("curlew", {"spoke_bed_offset_mm": 3.0}),
        "middle_width_mm": ("curlew", {"middle_width_mm": 23.0}),
        "sidewall_foot_mm": ("curlew", {"sidewall_foot_mm": 1.7}),
        "crown_slope_deg": ("curlew", {"crown_slope_deg": 12.0}),
        "lip_taper_mm": ("curlew", {"lip_taper_mm": 0.3}),
        "nipple_seat_width_mm": ("lapwing", {}),
        "washer_mm": ("grouse", {}),
        "wear_mark_mm": ("wheatear", {}),
        "arch_radius_mm": ("wheatear", {}),
    }
)
KEYS: Mapping[str, str] = MappingProxyType({"web": "web_mm", "wear mark": "wear_mark_mm"})
RADII: Mapping[str, str] = MappingProxyType(
    {"bead seat diameter": "bead_seat_diameter_mm", "ERD": "erd_mm"}
)


def sketch(word: str) -> str:
    """The sketch of a word, or key of a sheet, as an ``svg`` element with a title that tells those
    who do not see it what is marked; empty for a word of which there is none.
    """
    if word in ("dish", "flange"):
        return _wheel(word)
    if word in RADII or word in RADII.values():
        return _to_the_axle(RADII.get(word, word))
    if word == "crown":
        return _crown()
    if word in WALLS and word != Wall.WEB:
        return _wall(word)
    return _read(KEYS.get(word, word))


@cache
def _rim(key: str = "") -> tuple[Sheet, Outline]:
    name, changes = ON.get(key, ("curlew", {}))
    sheet = read_sheet(name)
    sheet = sheet.varied(**changes) if changes else sheet
    return sheet, outline(sheet)


def _wall(word: str) -> str:
    _, shape = _rim()
    edges = " ".join(_edges(shape, wall) for wall in WALLS[word])
    marked = f'<path class="wall" d="{edges}"/>'
    return _svg(f"Section of a rim, the {word} marked.", shape, [marked])


def _crown() -> str:
    sheet, shape = _rim()
    edges = _edges(shape, Wall.BEAD_HOOK, above=sheet.hook_height_mm - STRAIGHT)
    marked = f'<path class="wall" d="{edges}"/>'
    return _svg("Section of a rim, the crowns of both hooks marked.", shape, [marked])


def _read(key: str) -> str:
    sheet, shape = _rim(key)
    held = jaws(sheet, shape, key).get(key)
    if held is None:
        return ""
    told = f"Section of a rim, marked where {key.replace('_', ' ').removesuffix(' mm')} is read."
    return _svg(told, shape, [_marks(held)])


def _marks(held: Jaws) -> str:
    start, end = np.array(held.start), np.array(held.end)
    if held.hold is Hold.PLACE and held.apart < TICK_MM:
        return f'<circle class="mark" cx="{start[0]:.1f}" cy="{-start[1]:.1f}" r="{DOT_MM}"/>'
    thin = []
    if held.touches is not None:
        thin = [np.array([a, b]) for a, b in zip(held.touches, (start, end), strict=True)]
    return _lines("thin", thin) + _measure(start, end)


def _measure(start: Floats, end: Floats) -> str:
    """A line with a stroke across either end."""
    along = (end - start) / np.linalg.norm(end - start)
    across = TICK_MM * np.array([-along[1], along[0]])
    ends = [np.array([place - across, place + across]) for place in (start, end)]
    return _lines("mark", [np.array([start, end]), *ends])


def _to_the_axle(key: str) -> str:
    sheet, shape = _rim()
    height = 0.0 if key == "bead_seat_diameter_mm" else sheet.erd_mm / 2 - sheet.seat_radius_mm
    low, high = _bounds(shape)
    x, axle = high[0] + 2.0, -SHAFT_MM
    seat = (sheet.inner_width_mm / 2 if not height else 0.0, height)
    broken = axle + 4.0
    zigzag = [(x, height), (x, broken + 1), (x - 1, broken + 0.5), (x + 1, broken - 0.5)]
    dimension = np.array([*zigzag, (x, broken - 1), (x, axle)])
    faces = [np.array([seat, (x, height)]), np.array([(low[0], axle), (x, axle)])]
    strokes = [np.array([(x - TICK_MM, y), (x + TICK_MM, y)]) for y in (height, axle)]
    name = "bead seat" if not height else "face on which a nipple bears"
    told = (
        f"A rim above the axle; marked is the way from the {name} to the axle, half the diameter."
    )
    parts = [_lines("thin", faces), _lines("mark", [dimension, *strokes])]
    return _svg(told, shape, parts, np.array([[x + 2.0, axle]]))


def _wheel(word: str) -> str:
    """The spokes of a dished rear wheel, from the rim down to the hub, lower than it is."""
    sheet, shape = _rim()
    laced = lacing(read_setup("gravel"), End.REAR, sheet)
    built = spokes(laced, sheet.erd_mm / 2)
    seat = sheet.erd_mm / 2 - sheet.seat_radius_mm
    spans = built.direction[:2] * built.length[:2, None]  # one to the right, one to the left
    ends = np.column_stack([spans[:, 0], seat + spans[:, 1] / SHORT])
    pulls = [np.array([(0.0, seat), end]) for end in ends]
    hub, half = ends[0, 1], laced.flange_mm / 2 / SHORT
    flanges = [np.array([(x, hub - half), (x, hub + half)]) for x in ends[:, 0]]
    middle = (laced.right_mm - laced.left_mm) / 2
    lines = [np.array([(x, hub - half), (x, 8.0)]) for x in (0.0, middle)]
    marked = [_lines("thin", lines), _measure(np.array([0.0, hub]), np.array([middle, hub]))]
    told = "A rear wheel from behind; marked is how far the rim stands beside the hub's middle."
    if word == "flange":
        marked = [_lines("wall", flanges)]
        told = "A rear wheel from behind; marked are the flanges, where spokes end."
    rest = [_lines("spoke", pulls), _lines("spoke", flanges)]
    return _svg(told, shape, [*rest, *marked], np.vstack(flanges))


def _edges(shape: Outline, label: str, above: float = -np.inf) -> str:
    """The edges of that name whose ends lie higher than ``above``, as one path."""
    return " ".join(
        f"M{_place(ring.corners[k])}{_edge(ring, k)}"
        for ring in shape.rings
        for k, name in enumerate(ring.labels)
        if name == label and min(ring.corners[k, 1], _next(ring, k)[1]) > above
    )


def _edge(ring: Ring, k: int) -> str:
    """One edge from where it begins, a line or an arc."""
    bulge = float(ring.bulge[k])
    if abs(bulge) < STRAIGHT:
        return f"L{_place(_next(ring, k))}"
    radius = float(arc_radii(ring)[k])
    return f"A{radius:.2f} {radius:.2f} 0 0 {int(bulge < 0)} {_place(_next(ring, k))}"


def _next(ring: Ring, k: int) -> Floats:
    return np.asarray(ring.corners[(k + 1) % len(ring.corners)])


def _bounds(shape: Outline) -> tuple[Floats, Floats]:
    corners = shape.outer.corners
    return corners.min(axis=0), corners.max(axis=0)


def _svg(told: str, shape: Outline, parts: Iterable[str], also: Floats | None = None) -> str:
    """A drawing in mm with its metal, its parts, and room for places (p, 2) beside it."""
    around = np.vstack([*_bounds(shape), np.empty((0, 2)) if also is None else also])
    low, high = around.min(axis=0) - ROOM_MM, around.max(axis=0) + ROOM_MM
    wide, tall = high - low
    metal = " ".join(_closed(ring) for ring in shape.rings)
    return (
        f'<svg class="sketch" role="img" aria-label="{escape(told)}" '
        f'viewBox="{low[0]:.1f} {-high[1]:.1f} {wide:.1f} {tall:.1f}" '
        f'style="width: {wide / EM_MM:.1f}em"><title>{escape(told)}</title>'
        f'<path class="metal" d="{metal}"/>{"".join(parts)}</svg>'
    )


def _closed(ring: Ring) -> str:
    return f"M{_place(ring.corners[0])}{''.join(_edge(ring, k) for k in range(len(ring.labels)))}Z"


def _lines(kind: str, lines: Iterable[Floats]) -> str:
    drawn = " ".join("M" + "L".join(map(_place, line)) for line in lines)
    return f'<path class="{kind}" d="{drawn}"/>' if drawn else ""


def _place(point: Floats) -> str:
    return f"{point[0]:.2f} {-point[1]:.2f}"
