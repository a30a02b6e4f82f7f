"""Where a caliper goes to read a number of a sheet: two faces of the section, and how it is held.

Axes as in :mod:`rimfea.profile.build`, mm. Between the two points lies what the number says, but
for a rounding that had to be drawn smaller.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from rimfea.arrays import Floats
from rimfea.geometry.chords import cast, faces
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, arc_radii, normals_at, points_at
from rimfea.profile.fields import BY_KEY
from rimfea.profile.flank import bulge, flank_inside
from rimfea.profile.proportions import (
    RIDGE_TOP_MM,
    bed_edge,
    bed_face,
    bed_inside,
    bed_shift,
    halves,
    outer_half,
    ridge_foot,
    ridge_height,
    ridge_top,
    sidewall_foot,
    web_faces,
    well_floor_half,
    well_under,
)
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall

SETTINGS = 21  # places on each flat where jaws are tried
ALIKE_MM = 0.01  # what a caliper reads alike
BESIDE_MM = 1.6  # how far beside the section a width or a depth is told
CURVED = 1e-9
WEB = Wall.WEB.key_mm

Point: TypeAlias = tuple[float, float]


class Hold(StrEnum):
    """How a number is read."""

    OUTSIDE = "outside jaws"
    INSIDE = "inside jaws"
    ROD = "depth rod"
    GAUGE = "radius gauge"
    PLACE = "here"  # no length of the section: an angle, a difference, a size of the hoop


@dataclass(frozen=True)
class Jaws:
    """Two points ``start`` and ``end`` (x, y) and how the caliper is held there.

    ``touches`` are the faces that the jaws reach where these lie beside. ``is_even``: both ends
    move by half of what the number grows by; else only the end does.
    """

    start: Point
    end: Point
    hold: Hold = Hold.OUTSIDE
    touches: tuple[Point, Point] | None = None
    is_even: bool = False

    @property
    def apart(self) -> float:
        """What the caliper reads, mm."""
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))


def jaws(sheet: Sheet, outline: Outline, only: str = "") -> Mapping[str, Jaws]:
    """The jaws for every number of a sheet that can be pointed out, by key, or for ``only`` one,
    also where it was left out; of a traced section for its walls.
    """
    keys = {only} if only else {*BY_KEY}
    found = [*_walls(sheet, outline, [wall for wall in sheet.walls if wall.key_mm in keys])]
    if sheet.section is None:
        found += [*_lengths(sheet, keys), *_roundings(sheet, outline, keys)]
    return dict(found)


def _walls(sheet: Sheet, outline: Outline, walls: Sequence[Wall]) -> Iterator[tuple[str, Jaws]]:
    onto = faces(outline)
    parts = zip(*_set_on(outline, walls), strict=True)
    start, normal, label = (np.concatenate(part) for part in parts)
    wide, hit = cast(start, -normal, onto)
    end = start - wide[:, None] * normal
    same = (hit >= 0) & (np.array(onto.names)[onto.label[hit]] == label)
    for wall in walls:
        own = same & (label == wall)
        if own.any():
            yield wall.key_mm, _grip(start[own], end[own], wide[own] - sheet.thickness(wall))


def _set_on(
    outline: Outline, walls: Sequence[Wall]
) -> Iterator[tuple[Floats, Floats, NDArray[np.str_]]]:
    """Points (p, 2) on the straight edges that these walls have on the right half, normals (p, 2)
    and names (p,).
    """
    for ring in outline.rings:
        middle = points_at(ring, np.arange(len(ring.labels)), np.full(len(ring.labels), 0.5))
        named = np.isin(ring.labels, walls)
        flat = np.flatnonzero(named & (np.abs(ring.bulge) < CURVED) & (middle[:, 0] > -CURVED))
        edge = np.repeat(flat, SETTINGS)
        t = np.tile((np.arange(SETTINGS) + 0.5) / SETTINGS, len(flat))
        yield points_at(ring, edge, t), normals_at(ring, edge, t), np.array(ring.labels)[edge]


def _grip(start: Floats, end: Floats, off: Floats) -> Jaws:
    """Of settings that read ``off`` by so much (p,) the best, in the middle of those like it."""
    alike = np.abs(off) <= np.abs(off).min() + ALIKE_MM
    middle = (start + end) / 2
    away = np.linalg.norm(middle - np.median(middle[alike], axis=0), axis=1)
    k = int(np.where(alike, away, np.inf).argmin())
    low, high = sorted((_point(start[k]), _point(end[k])))
    return Jaws(low, high)


def _lengths(sheet: Sheet, keys: Container[str]) -> Iterator[tuple[str, Jaws]]:
    for key, place in _PLACES.items():
        if key in keys and BY_KEY[key].used_by(sheet.family):
            yield key, place(sheet)
    if WEB in keys and BY_KEY[WEB].used_by(sheet.family) and sheet.web_mm is None:
        yield WEB, _in_the_chamber(sheet)


def _roundings(sheet: Sheet, outline: Outline, keys: Container[str]) -> Iterator[tuple[str, Jaws]]:
    outer = outline.outer
    convex, concave = outer.bulge > CURVED, outer.bulge < -CURVED
    middle = points_at(outer, np.arange(len(outer.labels)), np.full(len(outer.labels), 0.5))
    right, seat = middle[:, 0] > 0, np.array([name == Wall.BEAD_SEAT for name in outer.labels])
    lowest = (convex & right, middle[:, 1])
    sought = {
        "crown_radius_mm": (convex & right, -middle[:, 1]),
        "corner_radius_mm": lowest,
        "fillet_radius_mm": (concave & right & seat, -middle[:, 0]),
        "arch_radius_mm": lowest,
    }
    for key, (able, rank) in sought.items():
        if able.any() and key in keys and BY_KEY[key].used_by(sheet.family):
            yield key, _gauge(outer, int(np.where(able, rank, np.inf).argmin()))


def _gauge(ring: Ring, k: int) -> Jaws:
    """From the centre of an arc to its middle."""
    edge, half = np.array([k]), np.array([0.5])
    point, normal = points_at(ring, edge, half)[0], normals_at(ring, edge, half)[0]
    inward = -np.sign(ring.bulge[k]) * arc_radii(ring)[k]
    return Jaws(_point(point + inward * normal), _point(point), Hold.GAUGE)


def _point(place: Floats) -> Point:
    return float(place[0]), float(place[1])


def _upright(x: float, low: float, high: float, hold: Hold, *at: float) -> Jaws:
    """From one height to another; ``at`` are the places x of the faces that the jaws reach."""
    touches = ((at[0], low), (at[1], high)) if at else None
    return Jaws((x, low), (x, high), hold, touches)


def _level(middle: float, width: float, y: float, hold: Hold, face: float | None = None) -> Jaws:
    """A width about a middle at height y, or beside the ``face`` at another height."""
    left, right = middle - width / 2, middle + width / 2
    touches = None if face is None else ((left, face), (right, face))
    return Jaws((left, y), (right, y), hold, touches, is_even=True)


def _here(x: float, y: float) -> Jaws:
    return Jaws((x, y), (x, y), Hold.PLACE)


def _inner_width(sheet: Sheet) -> Jaws:
    """At the height of the nose; without a hook half way up, at the foot where that is thicker."""
    known, top = sheet.known, sheet.hook_height_mm
    hooked = outer_half(known) - sheet.inner_width_mm / 2 > sheet.sidewall_mm + ALIKE_MM
    return _level(
        0.0, sheet.inner_width_mm, top - sheet.bead_hook_mm / 2 if hooked else top / 2, Hold.INSIDE
    )


def _overall_depth(sheet: Sheet) -> Jaws:
    left, known = -outer_half(sheet.known), sheet.known
    crown = left + sheet.hook_lip_mm / 2
    bed = bed_shift(known) - sheet.spoke_bed_width_mm / 2
    low, high = bed_face(known), sheet.hook_height_mm
    return _upright(left - BESIDE_MM, high, low, Hold.OUTSIDE, crown, bed)


def _hook_height(sheet: Sheet) -> Jaws:
    inside = sheet.inner_width_mm / 2
    return _upright(BESIDE_MM - inside, 0.0, sheet.hook_height_mm, Hold.ROD, -inside, -inside)


def _ridge(sheet: Sheet) -> Jaws:
    top, height = ridge_top(sheet.known) + RIDGE_TOP_MM / 2, ridge_height(sheet.known)
    return _upright(top, 0.0, height, Hold.ROD) if height else _here(top, 0.0)


def _middle_width(sheet: Sheet) -> Jaws:
    known = sheet.known
    y = (-sheet.bead_seat_mm + bed_face(known)) / 2
    right, left = ([*halves(known)] * 2)[:2]
    x = [(outer_half(each) + bed_edge(each)) / 2 + bulge(each) for each in (right, left)]
    return Jaws((-x[1], y), (x[0], y), Hold.OUTSIDE, is_even=True)


def _in_the_chamber(sheet: Sheet) -> Jaws:
    known = sheet.known
    return _here(bed_shift(known), (bed_inside(known) + well_under(known)) / 2)


def _web_height(sheet: Sheet) -> Jaws:
    known = sheet.known
    if sheet.web_mm is None:
        return _in_the_chamber(sheet)
    bed, (web, _) = bed_inside(known), web_faces(known)
    x = bed_shift(known) - 0.8 * (flank_inside(known, bed) - bed_shift(known))
    return _upright(x, bed, web, Hold.INSIDE)


def _bed(sheet: Sheet, width: float, rise: float, hold: Hold, face: float = 0.0) -> Jaws:
    """A width on the spoke bed, told so far above its innermost face."""
    bottom = bed_face(sheet.known)
    return _level(bed_shift(sheet.known), width, bottom + rise, hold, bottom + face)


def _bearing(sheet: Sheet, width: float) -> Jaws:
    seat = sheet.nipple_seat_mm
    return _bed(sheet, width, seat + BESIDE_MM / 2, Hold.OUTSIDE, seat)


def _offset(sheet: Sheet) -> Jaws:
    y = bed_face(sheet.known)
    if not bed_shift(sheet.known):
        return _here(0.0, y)
    return Jaws((0.0, y - BESIDE_MM), (bed_shift(sheet.known), y - BESIDE_MM))


def _under_the_hook(sheet: Sheet) -> Jaws:
    return _here(sheet.inner_width_mm / 2, sheet.hook_height_mm - sheet.bead_hook_mm)


_PLACES: Mapping[str, Callable[[Sheet], Jaws]] = {
    "bead_seat_diameter_mm": lambda s: _here(
        (ridge_foot(s.known) + sidewall_foot(s.known)) / 2, 0.0
    ),
    "inner_width_mm": _inner_width,
    "overall_depth_mm": _overall_depth,
    "hook_height_mm": _hook_height,
    "sidewall_foot_mm": lambda s: Jaws((sidewall_foot(s.known), 0.0), (outer_half(s.known), 0.0)),
    "lip_taper_mm": _under_the_hook,
    "crown_slope_deg": lambda s: _here(s.inner_width_mm / 2, s.hook_height_mm),
    "bead_ridge_mm": _ridge,
    "tyre_well_depth_mm": lambda s: _upright(
        well_floor_half(s.known) / 2, 0.0, -s.tyre_well_depth_mm, Hold.ROD
    ),
    "tyre_well_width_mm": lambda s: _level(0.0, s.tyre_well_width_mm, 0.0, Hold.INSIDE),
    "well_slope_deg": lambda s: _here(
        (s.tyre_well_width_mm / 2 + well_floor_half(s.known)) / 2, -s.tyre_well_depth_mm / 2
    ),
    "spoke_bed_width_mm": lambda s: _bed(s, s.spoke_bed_width_mm, -BESIDE_MM, Hold.OUTSIDE),
    "spoke_bed_offset_mm": _offset,
    "middle_width_mm": _middle_width,
    "web_height_mm": _web_height,
    "nipple_seat_width_mm": lambda s: _bearing(s, s.nipple_seat_width_mm),
    "wear_mark_mm": lambda s: _here(outer_half(s.known), s.hook_height_mm / 2),
    "spoke_hole_mm": lambda s: _bed(s, s.spoke_hole_mm, 0.0, Hold.INSIDE),
    "nipple_head_mm": lambda s: _bearing(s, s.nipple_head_mm),
    "washer_mm": lambda s: _bearing(s, s.bearing_diameter_mm),
    "erd_mm": lambda s: _here(bed_shift(s.known), bed_face(s.known) + s.nipple_seat_mm),
}
