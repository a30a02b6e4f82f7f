"""Arcs found again in a ring of short straight edges.

A trace has its roundings as chords, and a mesh has to hold every corner between them. Where several
follow one circle they become one arc, as in a drawing.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely import Polygon

from rimfea.arrays import Floats
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring

SLIM_MM = 0.002  # of corners that lie on the line of the others
ARC_MM = 0.006  # by which an arc may miss them: below what a scan or a caliper leaves open
FEWEST_CHORDS = 3
LARGEST_SWEEP = np.radians(150.0)
FLATTEST = 1e3  # radius of an arc, of its length: what is flatter is straight


def arced(plain: Outline) -> Outline:
    """The section with its roundings as arcs; a ring that has arcs stays as it is."""
    rings = [ring if ring.bulge.any() else _arced(ring) for ring in plain.rings]
    return Outline(rings[0], tuple(rings[1:]))


def _arced(ring: Ring) -> Ring:
    corners = np.array(Polygon(ring.corners).exterior.simplify(SLIM_MM).coords)[:-1]
    along = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    corners = np.roll(corners, -int(along.argmax()), axis=0)  # begins with what is no rounding
    kept = list(_pieces(np.vstack([corners, corners[:1]])))
    at, bulge = (np.array(each) for each in zip(*kept, strict=True))
    return Ring(corners[at], bulge, ring.labels[: len(at)])


def _pieces(closed: Floats) -> Iterator[tuple[int, float]]:
    """The corners that stay, and the bulge of what leaves them."""
    k, last = 0, len(closed) - 1
    while k < last:
        end, bulge = k + 1, 0.0
        while end < last:
            reach = max(end + 1, k + FEWEST_CHORDS)
            found = _arc(closed[k : reach + 1]) if reach <= last else None
            if found is None:
                break
            end, bulge = reach, found
        yield k, bulge
        k = end


def _arc(points: Floats) -> float | None:
    """The bulge of the arc through points (p, 2) that lie on one, as do the chords between."""
    first, middle, last = points[0], points[len(points) // 2], points[-1]
    centre = _centre(first, middle, last)
    if centre is None:
        return None
    radius = float(np.linalg.norm(first - centre))
    away = np.linalg.norm(points - centre, axis=1) - radius
    angle = np.arctan2(*(points - centre).T[::-1])
    turns = (np.diff(angle) + np.pi) % (2 * np.pi) - np.pi
    swept = float(turns.sum())
    rise = radius * (1 - np.cos(turns / 2))
    one_way = (turns > 0).all() or (turns < 0).all()
    near = np.abs(away).max() < ARC_MM and rise.max() < ARC_MM
    if not (one_way and near and abs(swept) < LARGEST_SWEEP):
        return None
    return float(np.tan(swept / 4))


def _centre(a: Floats, b: Floats, c: Floats) -> Floats | None:
    """Of the circle through three points; None where they lie almost on a line."""
    u, v = b - a, c - a
    twice = 2 * float(u[0] * v[1] - u[1] * v[0])
    if abs(twice) * FLATTEST < float(v @ v):
        return None
    x = (v[1] * (u @ u) - u[1] * (v @ v)) / twice
    y = (u[0] * (v @ v) - v[0] * (u @ u)) / twice
    return np.asarray(a + np.array([x, y]))
