"""Chords through the metal: what a caliper reads when it grips a wall.

A chord starts on one face, runs at right angles to the wall's mid-line and ends on the other
face. All chords of an outline are cast at once against the faces.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Bools, Floats, Ints
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import chorded, cut_every, normals_at, points_at, subdivided

# Faces that lean against each other by more than this are a corner, not a wall.
LARGEST_LEAN = np.radians(20.0)
STUB_LEAN = np.radians(45.0)  # of a wall too short to have faces that lean less
NEARLY_ZERO = 1e-9
# A chord is aimed anew at the face it last met; it counts once the aim stays within two degrees.
AIMS = 4
LEAST = 4  # pieces of a straight edge: a short one would else be crossed once or not at all
SETTLED = np.cos(np.radians(2.0))


@dataclass(frozen=True)
class Faces:
    """The outline as short straight pieces: start and end (f, 2), outward normal (f, 2),
    label (f,) as an index into ``names``.
    """

    start: Floats
    end: Floats
    normal: Floats
    label: Ints
    names: tuple[str, ...]


@dataclass(frozen=True)
class Chords:
    """Starts and ends (c, 2) of chords on the two faces, the angle (c,) by which these lean
    against each other, and the label index of each (c,).
    """

    start: Floats
    end: Floats
    lean: Floats
    label: Ints
    names: tuple[str, ...]

    @property
    def lengths(self) -> Floats:
        """What a caliper reads at each chord (c,), mm."""
        return np.asarray(np.linalg.norm(self.end - self.start, axis=1))

    def of(self, name: str) -> Bools:
        """Which chords (c,) cross the wall called ``name``."""
        wanted = self.names.index(name) if name in self.names else -1
        return np.asarray(self.label == wanted)


def faces(outline: Outline) -> Faces:
    """The faces of an outline, arcs in chords."""
    fine = [chorded(ring) for ring in outline.rings]
    names = tuple(dict.fromkeys(outline.labels))
    start = np.vstack([ring.corners for ring in fine])
    end = np.vstack([np.roll(ring.corners, -1, axis=0) for ring in fine])
    along = end - start
    normal = np.column_stack([along[:, 1], -along[:, 0]])
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    label = np.array([names.index(each) for ring in fine for each in ring.labels])
    return Faces(start, end, normal, label, names)


def cast(origin: Floats, direction: Floats, onto: Faces) -> tuple[Floats, Ints]:
    """From each origin (p, 2) along its direction: distance (p,) to the nearest face through
    which the ray leaves the metal, and which (p,); infinite and -1 where there is none.
    """
    along = onto.end - onto.start
    gap = onto.start[None] - origin[:, None]
    d_x, d_y = direction[:, 0, None], direction[:, 1, None]
    cross = d_x * along[:, 1] - d_y * along[:, 0]  # positive where the ray leaves the metal
    with np.errstate(divide="ignore", invalid="ignore"):
        distance = (gap[..., 0] * along[:, 1] - gap[..., 1] * along[:, 0]) / cross
        where = (gap[..., 0] * d_y - gap[..., 1] * d_x) / cross
        hit = (cross > 0) & (distance > 1e-6) & (where > -NEARLY_ZERO) & (where < 1 + NEARLY_ZERO)
    distance = np.where(hit, distance, np.inf)
    nearest = distance.argmin(axis=1)
    found = distance[np.arange(len(origin)), nearest]
    return found, np.where(np.isfinite(found), nearest, -1)


def stations(outline: Outline, spacing: float, least: int = 1) -> tuple[Floats, Floats, Ints]:
    """Points (p, 2) in the middle of equal pieces of every edge, no longer than ``spacing`` and
    at least so many on a straight one, their outward normals (p, 2) and label indices (p,).
    """
    names = tuple(dict.fromkeys(outline.labels))
    points, normals, labels = [], [], []
    for ring in outline.rings:
        pieces = cut_every(ring, length=spacing)
        pieces = np.where(ring.bulge == 0, np.maximum(pieces, least), pieces)
        _, edge, t = subdivided(ring, pieces)
        t = t + 0.5 / pieces[edge]
        points.append(points_at(ring, edge, t))
        normals.append(normals_at(ring, edge, t))
        labels.append(np.array([names.index(ring.labels[k]) for k in edge]))
    return np.vstack(points), np.vstack(normals), np.concatenate(labels)


def thickness(outline: Outline, points: Floats, normals: Floats) -> Floats:
    """Metal (p,) behind each point of the outline, straight inward, mm."""
    return cast(points, -normals, faces(outline))[0]


def chords(outline: Outline, spacing: float) -> Chords:
    """Chords across every wall, about ``spacing`` mm apart along its faces.

    Both ends lie on faces of the same name that lean by less than 20°, or, in a stub of a wall,
    as little as they do there; each chord is at right angles to the line midway between them.
    """
    onto = faces(outline)
    start, normal, label = stations(outline, spacing, LEAST)
    direction = -normal
    for _ in range(AIMS):
        length, hit = cast(start, direction, onto)
        aim = _unit(onto.normal[hit] - normal)
        aimed, direction = direction, aim
    lean = np.arccos(np.clip(-(onto.normal[hit] * normal).sum(axis=1), -1.0, 1.0))
    settled = (aimed * aim).sum(axis=1) > SETTLED
    met = (hit >= 0) & settled & (onto.label[hit] == label) & (lean < STUB_LEAN)
    whole = met & (lean < LARGEST_LEAN)
    whole |= _least_leaning(met, whole, lean, label + len(onto.names) * (start[:, 0] > 0))
    start, end = start[whole], (start + length[:, None] * aimed)[whole]
    once = _seen_once((start + end) / 2, label[whole], spacing)
    return Chords(start[once], end[once], lean[whole][once], label[whole][once], onto.names)


def _least_leaning(met: Bools, whole: Bools, lean: Floats, part: Ints) -> Bools:
    """Of every part (c,) that has chords but no whole one, the chord that leans least: else a
    short wall would come and go with a hair of its neighbours.
    """
    chosen = np.zeros_like(met)
    for each in np.setdiff1d(part[met], part[whole]):
        here = np.flatnonzero(met & (part == each))
        chosen[here[lean[here].argmin()]] = True
    return chosen


def _unit(vectors: Floats) -> Floats:
    size = np.linalg.norm(vectors, axis=1)[:, None]
    return np.asarray(vectors / np.maximum(size, NEARLY_ZERO))


def _seen_once(middle: Floats, label: Ints, spacing: float) -> Bools:
    """Of chords that were cast from both faces (c,), those to keep: of two of one wall whose
    middles are closer than a third of the spacing, the first.
    """
    gap = np.linalg.norm(middle[:, None] - middle[None], axis=2)
    same = (gap < spacing / 3) & (label[:, None] == label)
    return np.asarray(~np.triu(same, 1).any(axis=0))
