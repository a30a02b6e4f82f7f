"""Corners rounded by true arcs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from rimfea.arrays import Floats
from rimfea.geometry.corner import Corner
from rimfea.geometry.ring import Ring

STRAIGHT = 1e-9


def rounded(corners: Sequence[Corner]) -> Ring:
    """The closed ring through ``corners`` with each rounded by its radius where that fits.

    A radius that would take more than its corner's share (42 %) of an adjoining edge, or with that
    at its other end more than both shares (84 %), is reduced to what fits.
    """
    place = np.array([[c.x, c.y] for c in corners])
    before, after = np.roll(place, 1, axis=0) - place, np.roll(place, -1, axis=0) - place
    turn = _turn(-before, after)
    tangent = _tangent_lengths(corners, turn, before, after)
    from_before, to_after = _unit(before), _unit(after)
    points: list[Floats] = []
    bulges: list[float] = []
    labels: list[str] = []
    for k, corner in enumerate(corners):
        if tangent[k] > 0:
            points.append(place[k] + tangent[k] * from_before[k])
            bulges.append(float(np.tan(turn[k] / 4)))
            labels.append(corner.arc_label or corner.label)
        points.append(place[k] + tangent[k] * to_after[k])
        bulges.append(0.0)
        labels.append(corner.label)
    return Ring(np.array(points), np.array(bulges), tuple(labels))


def _tangent_lengths(
    corners: Sequence[Corner], turn: Floats, before: Floats, after: Floats
) -> Floats:
    """Distance (m,) from each sharp corner to where its arc begins: r tan(turn / 2), limited."""
    wished = np.array([c.radius for c in corners]) * np.abs(np.tan(turn / 2))
    wished = np.where(np.abs(turn) > STRAIGHT, wished, 0.0)
    room = np.full_like(wished, np.inf)
    own = np.array([c.share for c in corners])
    for edge, other in ((before, 1), (after, -1)):
        length = np.linalg.norm(edge, axis=1)
        both = (own + np.roll(own, other)) * length
        room = np.minimum(room, np.maximum(own * length, both - np.roll(wished, other)))
    return np.minimum(wished, room)


def _turn(incoming: Floats, outgoing: Floats) -> Floats:
    """Angle (m,) by which the walk turns left at each corner, radians."""
    cross = incoming[:, 0] * outgoing[:, 1] - incoming[:, 1] * outgoing[:, 0]
    return np.asarray(np.arctan2(cross, (incoming * outgoing).sum(axis=1)))


def _unit(vectors: Floats) -> Floats:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=1)[:, None])
