"""Walls of a traced section made thicker.

No number of a sheet draws it, so only its walls can be changed: one face of a wall is moved, the
others stay where they are. That is the face in a chamber; of a hook, lip or sidewall the one to the
tyre, of a single wall the one away from it. Of a web, which has two in chambers, both move by half.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, edge_lengths, normals_at, points_at
from rimfea.profile.trace import Trace
from rimfea.profile.walls import Wall

SHARP = math.sin(math.radians(20.0))
FREE = 0.5  # cosine up to which a face looks the way that it is moved
LEAST_MM = 1e-9
GIVES_WAY = 1e-3  # weight of an arc beside a straight edge
# Where a face without a chamber behind it looks, on the right half.
_TO_THE_TYRE = {Wall.SIDEWALL: (-1.0, 0.0), Wall.HOOK_LIP: (-1.0, 0.0), Wall.BEAD_HOOK: (0.0, -1.0)}
_AWAY = (math.sqrt(0.5), -math.sqrt(0.5))


def thickened(section: Trace, thickness: Mapping[str, float]) -> Outline:
    """The outline with walls as thick (mm) as told by the sheet's keys; those that are not told are
    as traced. Raises :class:`~rimfea.errors.OutlineError` where faces would meet.
    """
    outline, sizes = section.outline, section.sizes
    told = (wall for wall in Wall if wall.key_mm in thickness and wall.key_mm in sizes)
    steps = {wall: thickness[wall.key_mm] - sizes[wall.key_mm] for wall in told}
    steps = {wall: step for wall, step in steps.items() if abs(step) > LEAST_MM}
    if not steps:
        return outline
    inside = {label for hole in outline.holes for label in hole.labels}
    outer = _moved(outline.outer, _outer_steps(outline.outer, steps, inside))
    return Outline(outer, tuple(_moved(hole, _hole_steps(hole, steps)) for hole in outline.holes))


def _outer_steps(ring: Ring, steps: Mapping[Wall, float], inside: set[str]) -> Floats:
    """By how much each edge (m,) of the outer ring moves out of the metal."""
    found = np.zeros(len(ring.labels))
    for wall, step in steps.items():
        if wall not in inside:
            found[_named(ring, wall) & _looks(ring, _TO_THE_TYRE.get(wall, _AWAY))] = step
    return found


def _hole_steps(ring: Ring, steps: Mapping[Wall, float]) -> Floats:
    found = np.zeros(len(ring.labels))
    for wall, step in steps.items():
        found[_named(ring, wall)] = step / 2 if wall is Wall.WEB else step
    return found


def _named(ring: Ring, wall: Wall) -> Bools:
    return np.array([label == wall for label in ring.labels])


def _looks(ring: Ring, way: tuple[float, float]) -> Bools:
    """Which edges (m,) look that way, on the left half as seen in a mirror."""
    k, middle = np.arange(len(ring.labels)), np.full(len(ring.labels), 0.5)
    normal, side = normals_at(ring, k, middle), np.sign(points_at(ring, k, middle)[:, 0])
    return np.asarray(side * normal[:, 0] * way[0] + normal[:, 1] * way[1] > FREE)


def _moved(ring: Ring, step: Floats) -> Ring:
    """The ring with every edge moved out of the metal by its step (m,): a corner goes to where the
    moved edges meet. Between edges that run on into one another it goes with the longer, rather
    with a straight one, so that a face stays straight and its rounding gives way.
    """
    m = len(ring.labels)
    k = np.arange(m)
    after = normals_at(ring, k, np.zeros(m))
    before = np.roll(normals_at(ring, k, np.ones(m)), 1, axis=0)
    by_before, by_after = np.roll(step, 1), step
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    sharp = np.abs(cross) > SHARP
    safe = np.where(sharp, cross, 1.0)
    meeting = np.column_stack(
        [
            (by_before * after[:, 1] - by_after * before[:, 1]) / safe,
            (by_after * before[:, 0] - by_before * after[:, 0]) / safe,
        ]
    )
    mean = before + after
    mean /= np.maximum(np.linalg.norm(mean, axis=1), LEAST_MM)[:, None]
    weight = edge_lengths(ring) * np.where(ring.bulge == 0, 1.0, GIVES_WAY)
    w_before, w_after = np.roll(weight, 1), weight
    by = (w_before * by_before + w_after * by_after) / (w_before + w_after)
    along = mean * by[:, None]
    return Ring(ring.corners + np.where(sharp[:, None], meeting, along), ring.bulge, ring.labels)
