"""Names for the walls of a traced section, taken from the drawing that lies nearest to it.

A drawing knows which wall owns a rounded edge, which no trace shows. Where it lies beside the
trace, so do its walls: a traced face has the name of the nearest drawn one that looks the same way.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from shapely import LineString, get_coordinates
from shapely import box as polygon_box

from rimfea.arrays import Bools, Floats
from rimfea.errors import OutlineError
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, chorded, edge_lengths, normals_at, points_at, relabelled
from rimfea.profile.build import outline as drawn
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.traced.label import OUT_MM, cut

NEAR_MM = 0.5  # of a trace, at which a corner of the drawing still parts two of its walls
NEAREST_CORNER_MM = 0.03
PIECE_MM = 0.1
RAMP_MM, ROOM_FOR_RAMP = 0.2, 2.5
ONE_LINE, STEEP = 0.9999, 0.7  # cosines: of edges of one face; of a face to the outside
SAME_WAY = 0.5  # cosine between faces that may be one and the same
BESIDE_MM = 100.0  # what a face that looks another way counts as further off
Boxes: TypeAlias = Mapping[Wall, Sequence[tuple[float, float, float, float]]]
"""Of walls the boxes (low x, low y, high x, high y), mm, in which all faces are theirs."""


@dataclass(frozen=True)
class Faces:
    """Short straight pieces: middle (f, 2), normal (f, 2), length (f,), and their names."""

    middle: Floats
    normal: Floats
    length: Floats
    names: tuple[str, ...]


def named_like(traced: Outline, sheet: Sheet) -> Outline:
    """The traced section with the names of the walls that a sheet draws there, and corners where
    these end; on the spoke bed also where hole and nipple head or washer end.
    """
    drawing = drawn(sheet)
    ends, onto = _ends(drawing), _pieces(drawing)
    bed = [
        sheet.seat_offset_mm + side * width / 2
        for side in (-1, 1)
        for width in (sheet.spoke_hole_mm, sheet.bearing_diameter_mm)
    ]
    rings = [_cut_at(ring, ends) for ring in traced.rings]
    bears = 1 if traced.holes else 0  # the ring with the face on which a nipple bears
    rings = [*rings[:bears], *(_on_bed(ring, bed) for ring in rings[bears:])]
    named = [relabelled(ring, _names(ring, onto)) for ring in rings]
    return Outline(named[0], tuple(named[1:]))


def with_ramps(named: Outline) -> Outline:
    """The section with two more corners where walls meet on a straight face: should one of them get
    thicker, the step is a short ramp, and the rest of the face stays as it is. A face to the
    outside is never moved, and needs none.
    """
    rings = [_cut_at(ring, _ramps(ring)) for ring in named.rings]
    filled = [_filled(ring) for ring in rings]
    return Outline(filled[0], tuple(filled[1:]))


def _ramps(ring: Ring) -> Floats:
    """Places (c, 2) a little before and after the corners between walls on a straight face."""
    along = np.roll(ring.corners, -1, axis=0) - ring.corners
    length = np.linalg.norm(along, axis=1)
    unit = along / length[:, None]
    before = np.roll(unit, 1, axis=0)
    labels, m = ring.labels, len(ring.labels)
    changes = np.array([labels[k] != labels[k - 1] for k in range(m)])
    straight = (ring.bulge == 0) & (np.roll(ring.bulge, 1) == 0)
    room = np.minimum(length, np.roll(length, 1)) > ROOM_FOR_RAMP * RAMP_MM
    outside = np.sign(ring.corners[:, 0]) * unit[:, 1] > STEEP
    here = changes & straight & room & ~outside & ((unit * before).sum(axis=1) > ONE_LINE)
    at = ring.corners[here]
    return np.vstack([at - RAMP_MM * before[here], at + RAMP_MM * unit[here]])


def _filled(ring: Ring) -> Ring:
    """The ring with new edges named as the one that they were cut off."""
    names = list(ring.labels)
    for k, name in enumerate(names):
        names[k] = name or names[k - 1]
    return relabelled(ring, tuple(names))


def in_boxes(outline: Outline, boxes: Boxes) -> Outline:
    """The section with other names where a builder says which wall is where: of all that lies in a
    box of a wall. Raises :class:`~rimfea.errors.OutlineError` for an empty box.
    """
    rings = list(outline.rings)
    for wall, places in boxes.items():
        for box in places:
            rings = [_filled(_cut_at(ring, _crossings(ring, box))) for ring in rings]
            held = [_in_box(ring, box) for ring in rings]
            if not any(each.any() for each in held):
                where = f"{box[0]:g}, {box[1]:g} to {box[2]:g}, {box[3]:g} mm"
                raise OutlineError(f"no face of the section lies in the box of the {wall}, {where}")
            rings = [_renamed(ring, wall, here) for ring, here in zip(rings, held, strict=True)]
    return Outline(rings[0], tuple(rings[1:]))


def agreement(one: Outline, other: Outline) -> dict[Wall, float]:
    """Of every wall of ``one`` the share of its length on which ``other``, the same section named
    in another way, has the same name.
    """
    pieces, onto = _pieces(one), _pieces(other)
    theirs = _nearest(pieces, onto)
    whole, alike = defaultdict[str, float](float), defaultdict[str, float](float)
    for name, their, length in zip(pieces.names, theirs, pieces.length.tolist(), strict=True):
        whole[name] += length
        alike[name] += length * (name == their)
    return {wall: alike[wall] / whole[wall] for wall in Wall if wall in whole}


def _ends(drawing: Outline) -> Floats:
    """Corners (c, 2) of the drawing between two names."""
    return np.vstack(
        [
            ring.corners[
                [a != b for a, b in zip(ring.labels, np.roll(ring.labels, 1), strict=True)]
            ]
            for ring in drawing.rings
        ]
    )


def _cut_at(ring: Ring, ends: Floats) -> Ring:
    """The ring with a corner on every straight edge where one of ``ends`` lies beside it."""
    start, along = ring.corners, np.roll(ring.corners, -1, axis=0) - ring.corners
    length = np.linalg.norm(along, axis=1)
    reach = ends[:, None] - start
    share = (reach * along).sum(axis=2) / length**2
    beside = np.linalg.norm(reach - np.clip(share, 0, 1)[..., None] * along, axis=2)
    edge = beside.argmin(axis=1)
    p = np.arange(len(ends))
    inside = np.minimum(share[p, edge], 1 - share[p, edge]) * length[edge] > NEAREST_CORNER_MM
    wanted = inside & (beside[p, edge] < NEAR_MM) & (ring.bulge[edge] == 0)
    cuts = sorted(
        {(int(edge[k]), round(float(share[k, edge[k]]), 9)) for k in np.flatnonzero(wanted)}
    )
    cuts = [
        cut
        for cut, before in zip(cuts, [(-1, 0.0), *cuts], strict=False)
        if cut[0] != before[0] or (cut[1] - before[1]) * length[cut[0]] > NEAREST_CORNER_MM
    ]
    at = [k + 1 for k, _ in cuts]
    out = np.column_stack([along[:, 1], -along[:, 0]]) / length[:, None] * OUT_MM
    # Bent outward, so that of several corners on one edge none lies inside the line of the others.
    places = np.array(
        [start[k] + t * along[k] + 4 * t * (1 - t) * out[k] for k, t in cuts]
    ).reshape(-1, 2)
    labels = np.insert(np.array(ring.labels, dtype=object), at, "")
    return Ring(
        np.insert(start, at, places, axis=0), np.insert(ring.bulge, at, 0.0), tuple(labels.tolist())
    )


def _on_bed(ring: Ring, places: Sequence[float]) -> Ring:
    for x in places:
        ring = cut(
            ring,
            0,
            x,
            normals_at(ring, np.arange(len(ring.labels)), np.full(len(ring.labels), 0.5))[:, 1],
        )
    return ring


def _names(ring: Ring, onto: Faces) -> tuple[str, ...]:
    k, half = np.arange(len(ring.labels)), np.full(len(ring.labels), 0.5)
    here = Faces(
        points_at(ring, k, half), normals_at(ring, k, half), edge_lengths(ring), ring.labels
    )
    return tuple(Wall(name) for name in _nearest(here, onto))


def _nearest(here: Faces, onto: Faces) -> tuple[str, ...]:
    """The names of the nearest faces that look the same way."""
    gap = np.linalg.norm(here.middle[:, None] - onto.middle, axis=2)
    gap += BESIDE_MM * (here.normal @ onto.normal.T < SAME_WAY)
    return tuple(onto.names[k] for k in gap.argmin(axis=1))


def _crossings(ring: Ring, box: tuple[float, float, float, float]) -> Floats:
    """Where (c, 2) a ring enters and leaves a box."""
    line = LineString(np.vstack([ring.corners, ring.corners[:1]]))
    return get_coordinates(line.intersection(polygon_box(*box).exterior)).reshape(-1, 2)


def _renamed(ring: Ring, wall: Wall, here: Bools) -> Ring:
    names = zip(here.tolist(), ring.labels, strict=True)
    return relabelled(ring, tuple(wall if of_it else name for of_it, name in names))


def _pieces(outline: Outline) -> Faces:
    """All faces in short pieces."""
    found = [_short(chorded(ring)) for ring in outline.rings]
    return Faces(
        np.vstack([each.middle for each in found]),
        np.vstack([each.normal for each in found]),
        np.concatenate([each.length for each in found]),
        tuple(name for each in found for name in each.names),
    )


def _short(ring: Ring) -> Faces:
    count = np.maximum(1, np.ceil(edge_lengths(ring) / PIECE_MM)).astype(int)
    edge = np.repeat(np.arange(len(count)), count)
    first = np.cumsum(count) - count
    t = (np.arange(len(edge)) - first[edge] + 0.5) / count[edge]
    return Faces(
        points_at(ring, edge, t),
        normals_at(ring, edge, t),
        (edge_lengths(ring) / count)[edge],
        tuple(ring.labels[k] for k in edge),
    )


def _in_box(ring: Ring, box: tuple[float, float, float, float]) -> Bools:
    k = np.arange(len(ring.labels))
    x, y = points_at(ring, k, np.full(len(k), 0.5)).T
    return np.asarray((x >= box[0]) & (y >= box[1]) & (x <= box[2]) & (y <= box[3]))
