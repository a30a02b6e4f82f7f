"""A drawing from outside made a section, or refused with the place that is wrong.

Small faults of drawing are put right and told. Nothing is guessed: whatever else keeps the lines
from being one body of metal with chambers in it is refused.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from shapely import LinearRing, LineString, Polygon, STRtree, linestrings
from shapely.validation import explain_validity

from rimfea.arrays import Floats
from rimfea.errors import SectionError
from rimfea.geometry.chords import faces, stations
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import chorded, signed_area
from rimfea.traced.drawing import Drawing, Trail, visible
from rimfea.traced.join import SAME_MM, closed

THINNEST_WALL_MM = 0.3
PARALLEL_ENOUGH = np.cos(np.radians(20.0))  # of two faces that are the two sides of one wall
SMALLEST_RING_MM2 = 0.01
MOST_RINGS = 40
NARROWEST_MM, WIDEST_MM = 8.0, 90.0
LOOK_EVERY_MM = 0.1
LONGEST_MM, NEARLY_ZERO = 300.0, 1e-12
FARTHEST_MM = 1e7
# Every wall is looked at from every corner: so many are enough, and are had within so little.
MOST_CORNERS, SLIMMING_MM = 1000, (0.002, 0.005, 0.01)
# What a width that is no rim's may have been drawn in, mm, and how to say so.
UNITS = {
    "inch": 25.4,
    "cm": 10.0,
    "m": 1000.0,
    "mm": 1.0,
    "thousandths of an inch": 0.0254,
    "micrometres": 1e-3,
}
Spot: TypeAlias = tuple[float, float]


@dataclass(frozen=True)
class Repaired:
    """The section of a drawing, without names, in the drawing's own axes, and what was done."""

    outline: Outline
    done: tuple[str, ...]


@dataclass(frozen=True)
class _Closed:
    """A closed line, and the same as a polygon whose arcs are chords of three degrees."""

    line: Trail
    shape: Polygon

    @classmethod
    def of(cls, line: Trail) -> _Closed:
        ring = line.ring()
        return cls(line, Polygon(chorded(ring).corners))


def repaired(drawing: Drawing) -> Repaired:
    """The section that a drawing shows.

    Points and lines drawn twice are dropped, gaps up to 0.05 mm closed, rings turned to run the
    right way. Raises :class:`~rimfea.errors.SectionError`, with the place and what was read, for
    an open, forked or self-crossing line, a second body, a size that is no rim's, and a wall
    under 0.3 mm.
    """
    try:
        _near(drawing.trails)
        lines, done = closed(drawing.trails)
        _sized(lines, drawing)
        rings, fewer = _slimmed([_checked(line) for line in lines])
        outer, holes = _nested(rings)
        outline = Outline(outer.line.ring(), tuple(hole.line.ring() for hole in holes))
        _thick_enough(outline, outer, holes)
    except SectionError as error:
        raise error.within(drawing.source, visible(drawing.trails)) from None
    return Repaired(outline, (*done, *fewer, *_turned(outer, holes)))


def _near(lines: Sequence[Trail]) -> None:
    for line in lines:
        if np.abs(line.corners).max() > FARTHEST_MM:
            raise SectionError(
                f"a line lies more than {FARTHEST_MM / 1e6:g} km away",
                entity=str(line.where[int(np.argmax(np.abs(line.corners).max(axis=1)))]),
                remedy="look at its numbers and at the unit",
            )


def _sized(lines: Sequence[Trail], drawing: Drawing) -> None:
    if not lines:
        raise SectionError("there is no outline in it", remedy="draw the section as closed lines")
    if len(lines) > MOST_RINGS:
        raise SectionError(
            f"there are {len(lines)} closed lines in it, and a section has {MOST_RINGS} at most",
            remedy="leave the section alone in the drawing",
        )
    points = np.vstack([line.corners for line in lines])
    low, high = points.min(axis=0), points.max(axis=0)
    width = float(high[0] - low[0])
    if NARROWEST_MM <= width <= WIDEST_MM:
        for line in lines:
            _compact(line)
        return
    factor = UNITS.get(drawing.unit, 1.0)
    fits = [
        unit
        for unit, size in UNITS.items()
        if unit != drawing.unit and NARROWEST_MM <= width / factor * size <= WIDEST_MM
    ]
    meant = " or ".join(fits[:2])
    remedy = f"if it was drawn in {meant}, say so or scale it" if fits else "scale it"
    middle = (low + high) / 2
    raise SectionError(
        f"the section is {width:.4g} mm wide, read in {drawing.unit} ({drawing.unit_from}), and a "
        f"rim is {NARROWEST_MM:g} to {WIDEST_MM:g} mm wide",
        spots=[(float(middle[0]), float(middle[1]))],
        remedy=remedy,
    )


def _compact(line: Trail) -> None:
    """Refuse a line, or an arc, that goes further than any of a rim: a point that slipped."""
    chord = np.linalg.norm(np.roll(line.corners, -1, axis=0) - line.corners, axis=1)
    turn = 2 * np.arctan(np.abs(line.bulge))  # half of what the arc sweeps
    length = chord * np.where(turn > 0, turn / np.maximum(np.sin(turn), NEARLY_ZERO), 1.0)
    if length.max() > LONGEST_MM:
        k = int(length.argmax())
        raise _at(
            line,
            line.corners[k],
            f"a line is {length[k]:.0f} mm long, and no section has one over {LONGEST_MM:g} mm",
            "look at the numbers of its ends",
        )


def _checked(line: Trail) -> _Closed:
    """One ring that encloses something and does not cross itself."""
    if len(line.bulge) < 2 or (len(line.bulge) < 3 and not line.bulge.any()):
        raise _at(line, line.corners[0], "a line runs to and fro and encloses nothing")
    found = _Closed.of(line)
    if not found.shape.is_valid:
        told = explain_validity(found.shape)
        spot = _spot_of(told)
        raise _at(
            line,
            spot,
            "the outline crosses or touches itself",
            "draw it as one line round the metal",
        )
    if found.shape.area < SMALLEST_RING_MM2:
        raise _at(
            line,
            line.corners[0],
            f"a ring encloses only {found.shape.area:.2g} mm²",
            "take it out, or join it to what it belongs to",
        )
    return found


def _slimmed(rings: Sequence[_Closed]) -> tuple[Sequence[_Closed], list[str]]:
    """The rings without corners that nobody would see, where there are so many that what follows
    would take for ever; rings with arcs stay.
    """
    many, within = _corners(rings), 0.0
    for wider in SLIMMING_MM:
        if _corners(rings) > MOST_CORNERS:
            within = wider
            rings = [_slim(ring, within) for ring in rings]
    if _corners(rings) > MOST_CORNERS:
        raise SectionError(
            f"the outline is rough: {_corners(rings)} corners stand out by more than "
            f"{SLIMMING_MM[-1]:g} mm, and {MOST_CORNERS} are enough for any rim",
            remedy="smooth it, or draw it anew",
        )
    fewer = many - _corners(rings)
    told = f"left out {fewer} of {many} corners, which lay within {within:g} mm of the others' line"
    return rings, [told] if fewer else []


def _corners(rings: Sequence[_Closed]) -> int:
    return sum(len(ring.line.bulge) for ring in rings)


def _slim(ring: _Closed, within: float) -> _Closed:
    """A ring of straight edges without the corners that lie near the line of the others."""
    if ring.line.bulge.any():
        return ring
    kept = np.array(ring.shape.exterior.simplify(within).coords)[:-1]
    order = {tuple(corner): k for k, corner in enumerate(ring.line.corners.tolist())}
    where = ring.line.where[[order[tuple(corner)] for corner in kept.tolist()]]
    return _Closed.of(Trail(kept, np.zeros(len(kept)), where, is_closed=True))


def _nested(rings: Sequence[_Closed]) -> tuple[_Closed, list[_Closed]]:
    """The outer ring and the holes in it."""
    outer = max(rings, key=lambda ring: ring.shape.area)
    holes = [ring for ring in rings if ring is not outer]
    for hole in holes:
        _apart(outer, hole)
        if not outer.shape.contains(hole.shape):
            raise _at(
                hole.line,
                hole.line.corners[0],
                "there is a second body outside the first",
                "leave one section in the drawing, as one closed line and its chambers",
            )
    for k, one in enumerate(holes):
        for other in holes[:k]:
            _apart(one, other)
            if one.shape.intersects(other.shape):
                small = min(one, other, key=lambda ring: ring.shape.area)
                raise _at(
                    small.line,
                    small.line.corners[0],
                    "there is a second body inside a chamber",
                    "take it out, or join it to the wall",
                )
    return outer, holes


def _apart(one: _Closed, other: _Closed) -> None:
    """Refuse two rings that cross."""
    crossing = one.shape.exterior.intersection(other.shape.exterior)
    if not crossing.is_empty:
        spot = np.array(crossing.representative_point().coords[0])
        raise _at(other.line, spot, "two lines cross or touch", "draw metal and chambers apart")


def _thick_enough(outline: Outline, outer: _Closed, holes: Sequence[_Closed]) -> None:
    """Refuse a wall under 0.3 mm: where straight into the metal from a face there is another
    face, nearly parallel, nearer than that.
    """
    onto = faces(outline)
    start, normal, _ = stations(outline, LOOK_EVERY_MM)
    ends = start - THINNEST_WALL_MM * normal
    rays = linestrings(np.stack([start - 2 * SAME_MM * normal, ends], axis=1))
    tree = STRtree(np.asarray(linestrings(np.stack([onto.start, onto.end], axis=1))))
    ray, face = tree.query(rays, predicate="intersects")
    facing = (onto.normal[face] * normal[ray]).sum(axis=1) < -PARALLEL_ENOUGH
    ray, face = ray[facing], face[facing]
    if not len(ray):
        return
    deep = ((start[ray] - onto.start[face]) * onto.normal[face]).sum(axis=1)
    cosine = -(onto.normal[face] * normal[ray]).sum(axis=1)
    thick = -deep / cosine
    thin = int(np.argmin(np.where(thick > 0, thick, np.inf)))
    place = start[ray[thin]] - normal[ray[thin]] * thick[thin] / 2
    nearest = min(
        (outer, *holes),
        key=lambda ring: LinearRing(ring.shape.exterior).distance(
            LineString([place, start[ray[thin]]])
        ),
    )
    raise _at(
        nearest.line,
        place,
        f"a wall is {thick[thin]:.2f} mm thin, and no rim has one under {THINNEST_WALL_MM:g} mm",
        "look for a line drawn twice beside itself, or for a wrong unit",
    )


def _turned(outer: _Closed, holes: Sequence[_Closed]) -> list[str]:
    told = []
    if signed_area(outer.line.ring()) < 0:
        told.append("turned the outer line to run counter-clockwise")
    wrong = sum(signed_area(hole.line.ring()) > 0 for hole in holes)
    if wrong:
        told.append(f"turned {wrong} chamber{'s' if wrong > 1 else ''} to run clockwise")
    return told


def _at(line: Trail, place: Floats, problem: str, remedy: str = "") -> SectionError:
    """The error with the place, and what the file calls the nearest corner before it."""
    spot = np.asarray(place, dtype=float)
    start, end = line.corners, np.roll(line.corners, -1, axis=0)
    chord = end - start
    share = ((spot - start) * chord).sum(axis=1) / np.maximum((chord**2).sum(axis=1), 1e-18)
    nearest = start + np.clip(share, 0, 1)[:, None] * chord
    k = int(np.argmin(np.linalg.norm(nearest - spot, axis=1)))
    return SectionError(
        problem,
        spots=[(float(spot[0]), float(spot[1]))],
        entity=str(line.where[k]),
        remedy=remedy,
    )


def _spot_of(told: str) -> Floats:
    """The place in what the geometry library says of a fault."""
    found = re.search(r"\[(\S+) (\S+)\]", told)
    return np.array([float(found[1]), float(found[2])]) if found else np.zeros(2)
