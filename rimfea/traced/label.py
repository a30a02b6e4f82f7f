"""Names for the walls of a traced section, found from where each face lies and where it looks.

A traced section comes as plain rings of straight edges. The outer ring is read in halves, as a
builder points at the walls: from the crown down the tyre side to the middle, and from the crown
down the outside to the spoke bed. A face of a chamber is the back of the outer face behind it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from rimfea.arrays import Bools, Floats
from rimfea.errors import OutlineError
from rimfea.geometry.chords import cast, faces
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, relabelled
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.traced.landmarks import (
    LEVEL,
    SMALLEST_TOLERANCE_MM,
    STEEP,
    Edges,
    Half,
    Plane,
    half_of,
    near_seat,
    tyre_side,
)

NARROWEST_MM, WIDEST_MM = 8.0, 90.0
LOWEST_CROWN_MM = 0.5
LARGEST_OFFSET = 0.1  # of the middle from x = 0, of the width
NEAREST_CORNER_MM = 0.03
# A corner on a leaning edge is rounded to either side of it; to the inside, what is cut off is a
# sliver that no mesh can be made beside.
OUT_MM = 1e-10
CHAMBER = "chamber"
USUAL_HOLE_MM, USUAL_HEAD_MM = 4.5, 6.2  # spoke hole and nipple
# What the face of a chamber is called where the ray behind it meets no face of its own wall.
BEHIND: Mapping[str, Wall] = MappingProxyType(
    {
        CHAMBER: Wall.WEB,  # between two chambers
        Wall.SIDEWALL: Wall.BEAD_SEAT,
        Wall.HOOK_LIP: Wall.BEAD_SEAT,
        Wall.BEAD_HOOK: Wall.BEAD_SEAT,
    }
)

# Faces that lean by less than 15° from upright.
UPRIGHT = np.sin(np.radians(15.0))

Names: TypeAlias = NDArray[Any]


def named(
    outline: Outline, *, spoke_hole_mm: float, bearing_mm: float, seat_offset_mm: float = 0.0
) -> Outline:
    """The same section with every edge named after its wall, and corners added on straight
    edges where a name changes: at both ends of the nipple seat, at the spoke hole, at the
    hook's underside, at the bead seat and at its underside.

    Axes as in a drawn section: x across and 0 in the middle, y outward and 0 at the bead seat.
    ``spoke_hole_mm`` and ``bearing_mm`` (of nipple head or washer) are diameters, their middle
    lies ``seat_offset_mm`` to the right. What parts two chambers is the web.
    Raises :class:`~rimfea.errors.OutlineError` if this is not a rim in these axes.
    """
    if not 0 <= spoke_hole_mm < bearing_mm:
        raise OutlineError("the spoke hole must be smaller than what bears on its edge")
    _check(outline)
    upright = Edges.of(outline.outer).normal[:, 0]
    whole = replace(outline, outer=cut(outline.outer, 1, 0.0, upright, both_ways=True))
    halves = (
        half_of(whole, 1, bearing_mm, seat_offset_mm),
        half_of(whole, -1, bearing_mm, seat_offset_mm),
    )
    widths = (spoke_hole_mm / 2, bearing_mm / 2)
    outer = _cut_outer(whole, halves, widths)
    outer = relabelled(outer, _outer_names(outer, halves, chamber=bool(outline.holes)))
    holes = [_cut_bed(hole, halves, widths) for hole in outline.holes]
    blank = tuple(relabelled(hole, (CHAMBER,) * len(hole.labels)) for hole in holes)
    backed = Outline(outer, blank)
    return Outline(outer, tuple(_hole_named(hole, backed, halves) for hole in holes))


def usually_named(outline: Outline, seat_offset_mm: float = 0.0) -> Outline:
    """The same where nobody said how wide hole and nipple are."""
    return named(
        outline,
        spoke_hole_mm=USUAL_HOLE_MM,
        bearing_mm=USUAL_HEAD_MM,
        seat_offset_mm=seat_offset_mm,
    )


def named_for(sheet: Sheet, outline: Outline) -> Outline:
    """The same with the hole, the nipple and the bed of a sheet."""
    return named(
        outline,
        spoke_hole_mm=sheet.spoke_hole_mm,
        bearing_mm=sheet.bearing_diameter_mm,
        seat_offset_mm=sheet.seat_offset_mm,
    )


def _check(outline: Outline) -> None:
    low, high = outline.outer.corners.min(axis=0), outline.outer.corners.max(axis=0)
    width, crown = high[0] - low[0], high[1]
    if not NARROWEST_MM <= width <= WIDEST_MM:
        raise OutlineError(
            f"the section is {width:.4g} mm wide, but a rim is {NARROWEST_MM:g} to "
            f"{WIDEST_MM:g} mm wide: scale it"
        )
    if abs(high[0] + low[0]) / 2 > LARGEST_OFFSET * width:
        raise OutlineError("the middle of the rim is not at x = 0: shift the section sideways")
    if crown < LOWEST_CROWN_MM:
        raise OutlineError("there is no metal above y = 0, where the hooks stand: shift it outward")
    edges = Edges.of(outline.outer)
    middle = np.array([[0.0, low[1] - 1.0]])
    top = _last_hit(outline, middle)
    if top > crown - LOWEST_CROWN_MM:
        raise OutlineError(
            "the section is highest in its middle, so it lies upside down: y runs outward, from "
            "the spoke bed to the hooks"
        )
    seat = near_seat(edges) & tyre_side(outline.outer)
    if not (seat & (edges.middle[:, 0] > 0)).any() or not (seat & (edges.middle[:, 0] < 0)).any():
        raise OutlineError(
            "no face near y = 0 looks outward on both sides: shift the bead seats to y = 0"
        )


def _last_hit(outline: Outline, below: Floats) -> float:
    """Height of the outermost face straight above a point (1, 2)."""
    onto, height = faces(Outline(outline.outer)), float(below[0, 1])
    while True:
        distance, hit = cast(np.array([[below[0, 0], height]]), np.array([[0.0, 1.0]]), onto)
        if hit[0] < 0:
            return height
        height += float(distance[0])


def _cut_outer(outline: Outline, halves: tuple[Half, Half], widths: tuple[float, ...]) -> Ring:
    ring = outline.outer
    for side, half in zip((1, -1), halves, strict=True):
        ring = cut(ring, 1, half.nose, Edges.of(ring).normal[:, 0], both_ways=True)
        ring = cut(ring, 1, half.shelf, Edges.of(ring).normal[:, 0] * side)
        ring = cut(ring, 0, side * (half.shift + half.zone), -Edges.of(ring).normal[:, 1])
    return ring if outline.holes else _cut_bed(ring, halves, widths)


def _cut_bed(ring: Ring, halves: tuple[Half, Half], widths: tuple[float, ...]) -> Ring:
    """Corners on the faces that look outward: where hole, bearing and nipple seat end."""
    for side, half in zip((1, -1), halves, strict=True):
        for width in (*widths, half.zone):
            ring = cut(ring, 0, side * (half.shift + width), Edges.of(ring).normal[:, 1])
    return ring


def cut(ring: Ring, axis: int, value: float, facing: Floats, *, both_ways: bool = False) -> Ring:
    """A corner on every straight edge that looks the right way and crosses ``value``.

    Where the edge ends nearer than a mesh could resolve, its end is moved there instead.
    """
    start, end = ring.corners, np.roll(ring.corners, -1, axis=0)
    before, after = value - start[:, axis], end[:, axis] - value
    looks = (np.abs(facing) if both_ways else facing) > STEEP
    crosses = np.flatnonzero((before * after > 0) & looks & (ring.bulge == 0))
    share = before[crosses] / (before + after)[crosses]
    place = start[crosses] + share[:, None] * (end - start)[crosses]
    place += OUT_MM * Edges.of(ring).normal[crosses]
    corners, new = start.copy(), np.ones(len(crosses), dtype=bool)
    for near, corner in ((before, crosses), (after, (crosses + 1) % len(start))):
        close = new & (np.abs(near[crosses]) < NEAREST_CORNER_MM)
        corners[corner[close]] = place[close]
        new &= ~close
    at = crosses[new] + 1
    labels = np.insert(np.array(ring.labels, dtype=object), at, "")
    bulge = np.insert(ring.bulge, at, 0.0)
    return Ring(np.insert(corners, at, place[new], axis=0), bulge, tuple(labels))


def _outer_names(ring: Ring, halves: tuple[Half, Half], *, chamber: bool) -> tuple[str, ...]:
    edges, tyre = Edges.of(ring), tyre_side(ring)
    right = edges.middle[:, 0] >= 0
    of_right = np.where(
        tyre, _tyre_names(edges, halves[0], chamber), _outside_names(edges, halves[0], chamber)
    )
    seen = edges.mirrored()
    of_left = np.where(
        tyre, _tyre_names(seen, halves[1], chamber), _outside_names(seen, halves[1], chamber)
    )
    return tuple(Wall(name) for name in np.where(right, of_right, of_left))


def _tyre_names(edges: Edges, half: Half, chamber: bool) -> Names:  # noqa: FBT001
    """Names (m,) as if every edge lay between crown and middle on the side of the tyre."""
    y = edges.y
    seat = half.seat.holds(edges) | (half.seat.above(edges) > 0)
    well = chamber | _held(half.well, edges) | (y > half.floor / 2)
    return np.select(
        [
            y > half.nose - SMALLEST_TOLERANCE_MM,
            (y > half.nose / 2) | ((y > 0) & _held(half.inside, edges)),
            seat,
            well,
        ],
        [_hook_names(edges), Wall.SIDEWALL, Wall.BEAD_SEAT, Wall.TYRE_WELL],
        _bed_names(edges, half),
    )


def _outside_names(edges: Edges, half: Half, chamber: bool) -> Names:  # noqa: FBT001
    """Names (m,) as if every edge lay between crown and spoke bed on the outside."""
    y = edges.y
    upright = _held(half.outside, edges)
    below = (y < (half.shelf + half.lowest) / 2) | _held(half.well_back, edges)
    return np.select(
        [
            y > half.nose - SMALLEST_TOLERANCE_MM,
            (y > 0) & (upright | (y < half.nose / 2)),
            y > 0,
            (y > half.shelf) & upright,
            half.bottom.holds(edges),
            np.full(len(y), chamber),
            below,
        ],
        [
            *(_hook_names(edges), Wall.SIDEWALL, Wall.BEAD_HOOK, Wall.BEAD_SEAT),
            *(_bed_names(edges, half), Wall.FLANK, Wall.TYRE_WELL),
        ],
        Wall.BEAD_SEAT,
    )


def _hook_names(edges: Edges) -> Names:
    """The lip is gripped between upright faces; the rounded edges belong to the hook."""
    across = np.abs(edges.normal[:, 1]) < UPRIGHT
    return np.where(across, Wall.HOOK_LIP, Wall.BEAD_HOOK)


def _bed_names(edges: Edges, half: Half) -> Names:
    from_seat = np.abs(edges.middle[:, 0] - half.shift)
    return np.where(from_seat < half.zone, Wall.NIPPLE_SEAT, Wall.SPOKE_BED)


def _held(plane: Plane | None, edges: Edges) -> Bools:
    return plane.holds(edges) if plane else np.zeros(len(edges.length), dtype=bool)


def _hole_named(hole: Ring, backed: Outline, halves: tuple[Half, Half]) -> Ring:
    """A chamber's faces named after the outer faces behind them."""
    edges, onto = Edges.of(hole), faces(backed)
    _, hit = cast(edges.middle, -edges.normal, onto)
    behind = np.array(onto.names)[onto.label[hit]]
    name = np.array([BEHIND.get(str(each), each) for each in behind])
    bed = (name == Wall.NIPPLE_SEAT) | (name == Wall.SPOKE_BED)
    right, left = _bed_names(edges, halves[0]), _bed_names(edges.mirrored(), halves[1])
    seat = np.where(edges.middle[:, 0] >= 0, right, left)
    level = edges.normal[:, 1] > LEVEL
    name = np.where(bed, np.where(level, seat, Wall.SPOKE_BED), name)
    return relabelled(hole, tuple(Wall(each) for each in name))
