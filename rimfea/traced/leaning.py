"""What a caliper reads of walls whose faces lean: tapered sidewalls, hooks with a sloping crown.

Read on drawn outlines only: on a traced one a face that leans cannot be told from a rough one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, arc_radii, normals_at, points_at
from rimfea.profile.hook import Line
from rimfea.profile.walls import Wall
from rimfea.traced.flats import STRAIGHT, Flats, flats

FACING = np.cos(np.radians(50.0))
UPRIGHT = np.cos(np.radians(20.0))


@dataclass(frozen=True)
class _Faces:
    """The longest straight faces of one half, as if it were the right one, each from start to end
    (2, 2) or None: of sidewall, lip (the nose, which stands out) and hook.
    """

    outside: Floats | None
    inside: Floats | None
    nose: Floats | None
    crown: Floats | None
    underside: Floats | None


def peak(outline: Outline, highest: float) -> float:
    """Height of the crown: of its highest point, which may be in the middle of an arc."""
    top = _arc_top(outline.outer)
    return top if top > highest + STRAIGHT else highest


def leaning(outline: Outline, seat: float) -> dict[str, float]:
    """Numbers (mm, degrees) by the sheet's keys of what leans, the mean of both sides."""
    found = flats(outline)
    if found.traced:
        return {}
    halves = [_half(_faces(found, side), seat) for side in (1, -1)]
    keys = [key for key in halves[0] if key in halves[1]]
    return {key: float(np.mean([half[key] for half in halves])) for key in keys}


def _arc_top(ring: Ring) -> float:
    """Height of the highest point of all arcs that have a level tangent and face outward."""
    k = np.flatnonzero(ring.bulge > 0)
    begin, end = (normals_at(ring, k, np.full(len(k), t)) for t in (0.0, 1.0))
    over = (begin[:, 0] > 0) & (end[:, 0] < 0)
    radius = arc_radii(ring)[k]
    centre = points_at(ring, k, np.zeros(len(k))) - radius[:, None] * begin
    return float((centre[:, 1] + radius)[over].max(initial=-np.inf))


def _faces(found: Flats, side: int) -> _Faces:
    own = found.chosen(found.start[:, 0] * side > 0)
    flip = np.array([side, 1.0])
    own = replace(own, start=own.start * flip, end=own.end * flip)
    normal = own.normals * side  # seen in a mirror the metal lies to the right
    wall, lip, hook = (own.name == each for each in (Wall.SIDEWALL, Wall.HOOK_LIP, Wall.BEAD_HOOK))
    out, inward = normal[:, 0] > UPRIGHT, normal[:, 0] < -UPRIGHT
    under = _longest(own, hook & (normal[:, 1] < -FACING))
    outside = _longest(own, wall & out)
    hooked = under is not None and outside is not None and _x(under) < _x(outside)
    return _Faces(
        outside=outside,
        inside=_longest(own, wall & inward),
        nose=_longest(own, lip & (inward if hooked else out)),
        crown=_longest(own, hook & (normal[:, 1] > FACING)),
        underside=under,
    )


def _longest(found: Flats, wanted: Bools) -> Floats | None:
    if not wanted.any():
        return None
    k = int(np.where(wanted, found.lengths, -1.0).argmax())
    return np.array([found.start[k], found.end[k]])


def _half(on: _Faces, seat: float) -> dict[str, float]:
    if on.outside is None or on.inside is None:
        return {}
    outside, inside = _steep(on.outside), _steep(on.inside)
    top, sizes = float(on.outside[:, 1].max()), dict[str, float]()
    if on.nose is not None and on.crown is not None and on.underside is not None:
        hooked = _x(on.underside) < _x(on.outside)
        crown, under = _level(on.crown), _level(on.underside)
        place, nose = _root(under, inside if hooked else outside, _x(on.nose)), _x(on.nose)
        middle = (place + nose) / 2
        square = np.hypot(1, crown.slope)
        thick = [(crown.at(x) - under.at(x)) / square for x in (place, middle, nose)]
        top = under.at(middle)
        if max(abs(crown.slope), abs(under.slope)) > STRAIGHT:
            sizes[Wall.BEAD_HOOK.key_mm] = thick[1]
        if abs(crown.slope - under.slope) > STRAIGHT:
            sizes["lip_taper_mm"] = thick[0] - thick[2]
    if on.crown is not None and abs(slope := _level(on.crown).slope) > STRAIGHT:
        sizes["crown_slope_deg"] = float(-np.degrees(np.arctan(slope)))
    if abs(inside.slope - outside.slope) > STRAIGHT:
        at = [outside.at(y) - inside.at(y) for y in ((seat + top) / 2, seat)]
        sizes |= {Wall.SIDEWALL.key_mm: at[0], "sidewall_foot_mm": at[1]}
        narrow = on.nose is None or _x(on.nose) > inside.at(seat)
        if narrow and inside.at(seat) < inside.at(top):
            sizes["inner_width_mm"] = 2 * inside.at(seat)
    return sizes


def _root(under: Line, wall: Line, nose: float) -> float:
    """The place x of the sidewall's face level with the middle of the underside, which runs from
    there to the nose: x = w + b y, y = u + d (x + nose) / 2.
    """
    b, d = wall.slope, under.slope
    return (wall.at(0.0) + b * (under.at(0.0) + d * nose / 2)) / (1 - b * d / 2)


def _level(face: Floats) -> Line:
    (x, y), (x_2, y_2) = face
    return Line(float(x), float(y), float((y_2 - y) / (x_2 - x)))


def _steep(face: Floats) -> Line:
    """With x and y exchanged: the place x as a function of the height."""
    (x, y), (x_2, y_2) = face
    return Line(float(y), float(x), float((x_2 - x) / (y_2 - y)))


def _x(face: Floats) -> float:
    return float(face[:, 0].mean())
