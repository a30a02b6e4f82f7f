"""Corner triangles by constrained Delaunay refinement (pythoncdt)."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
import pythoncdt

from rimfea.arrays import Floats, Ints
from rimfea.errors import MeshError
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, arc_radii, cut_every, edge_lengths, points_at, subdivided
from rimfea.mesh.size import EQUILATERAL, SizeField

# Refinement promises this angle; moving vertices onto the arcs may cost a degree of it.
WISHED_ANGLE = np.radians(28.0)
ARC_PIECE = np.radians(16.0)
# A vertex moved from the chord onto its arc travels at most this share of a triangle's side:
# more would flatten or fold the triangles that stay behind.
FLATNESS = 0.02
PROBES = 9
# Some five times as many as the most awkward rim needs; a ring of so many takes 3 GB to solve.
MOST_TRIANGLES = 40_000
MOST_VERTICES = 20_000
NEXT_SIZE = 0.6
MOST_PASSES = 60


@dataclass(frozen=True)
class Pieces:
    """The outline in pieces as handed to the mesher: corners (m, 2), end of each piece (m,),
    ring and edge it lies on (m,), and the fractions (m,) of that edge it spans.
    """

    corners: Floats
    after: Ints
    ring: Ints
    edge: Ints
    t_start: Floats
    t_end: Floats


def pieces_of(outline: Outline, sizes: SizeField) -> Pieces:
    """Arcs in pieces of at most 16° that are flat against the triangles wished there, straight
    edges whole: pre-cutting them makes slivers.
    """
    parts: list[tuple[Floats | Ints, ...]] = []
    offset = 0
    for number, ring in enumerate(outline.rings):
        count = _arc_pieces(ring, sizes)
        fine, edge, t = subdivided(ring, count)
        m = len(edge)
        after = offset + (np.arange(m) + 1) % m
        parts.append((fine.corners, after, np.full(m, number), edge, t, t + 1 / count[edge]))
        offset += m
    columns = [np.concatenate(column) for column in zip(*parts, strict=True)]
    corners, after, ring_of, edge_of, t_start, t_end = columns
    return Pieces(corners, after, ring_of, edge_of, t_start, t_end)


def _arc_pieces(ring: Ring, sizes: SizeField) -> Ints:
    """Into how many pieces (m,) each edge is cut: the rise of a piece of length c on radius R
    is c²/8R.
    """
    m = len(ring.labels)
    t = np.tile((np.arange(PROBES) + 0.5) / PROBES, m)
    side = sizes.side_at(points_at(ring, np.repeat(np.arange(m), PROBES), t))
    longest = np.sqrt(8 * FLATNESS * side.reshape(m, PROBES).min(axis=1) * arc_radii(ring))
    flat = np.ceil(edge_lengths(ring) / longest).astype(np.int64)
    return np.maximum(cut_every(ring, sweep=ARC_PIECE), flat)


def refined(pieces: Pieces, sizes: SizeField) -> tuple[Floats, Ints, dict[tuple[int, int], int]]:
    """Vertices (v, 2), counter-clockwise triangles (e, 3), and for every boundary side
    (lower, higher vertex) the piece it lies on.

    Raises :class:`~rimfea.errors.MeshError` when a triangle cannot be brought to the angle, or
    more than 40 000 would be needed.
    """
    with _triangulable():
        return _refined(pieces, sizes)


@contextmanager
def _triangulable() -> Iterator[None]:
    """What the mesher refuses: edges that cross or corners in one place, once arcs are chords."""
    try:
        yield
    except RuntimeError as error:
        reason = str(error).partition("\n")[0]
        raise MeshError(
            f"the outline cannot be meshed: two of its edges meet ({reason}); look for walls that "
            "touch where they are rounded"
        ) from error


def _refined(pieces: Pieces, sizes: SizeField) -> tuple[Floats, Ints, dict[tuple[int, int], int]]:
    cdt = pythoncdt.Triangulation(
        pythoncdt.VertexInsertionOrder.AUTO,
        pythoncdt.IntersectingConstraintEdges.NOT_ALLOWED,
        0.0,
    )
    cdt.insert_vertices(np.ascontiguousarray(pieces.corners))
    m = len(pieces.corners)
    cdt.insert_edges(np.column_stack([np.arange(m), pieces.after]).astype(np.uint32))
    _refine_angle(cdt)
    _refine_size(cdt, sizes)
    _refine_angle(cdt)
    cdt.finalize_triangulation(cdt.collect_outer_triangles_and_holes())
    return _vertices(cdt), _triangles(cdt), _piece_of_side(cdt, pieces)


def _refine_angle(cdt: pythoncdt.Triangulation) -> None:
    left = cdt.refine_triangles(
        MOST_VERTICES,
        pythoncdt.RefinementCriterion.SMALLEST_ANGLE,
        WISHED_ANGLE,
        to_erase=cdt.collect_outer_triangles_and_holes(),
    )
    _within_budget(cdt)
    if left.sharp_fixed_corner or left.split_vertex_invalid:
        raise MeshError("a corner of the outline is too sharp to mesh; round it or widen its angle")


def _within_budget(cdt: pythoncdt.Triangulation) -> None:
    """Refuse a mesh that grows too large, before memory and time are spent on it."""
    if cdt.triangles_count() <= MOST_TRIANGLES:
        return
    centre = _vertices(cdt)[_triangles(cdt)].mean(axis=1)
    place, count = np.unique(np.floor(centre), axis=0, return_counts=True)
    x, y = place[count.argmax()] + 0.5
    raise MeshError(
        f"more than {MOST_TRIANGLES} triangles would be needed, most of them {near(x, y)}: there "
        "a wall, a step or a rounding is very small beside the rest; look at the numbers that "
        "make it, or leave the small one out"
    )


def near(x: float, y: float) -> str:
    """A place in words."""
    return f"near x = {x:.1f} mm (across), y = {y:.1f} mm (outward from the bead seat)"


def _refine_size(cdt: pythoncdt.Triangulation, sizes: SizeField) -> None:
    """From the coarsest size to the finest, in small passes: each refines only the triangles
    that are too large now, with one new vertex for each at most, and then looks again. One
    long pass would run away from them through all the triangles it makes on its way.
    """
    for level in _levels(sizes):
        for _ in range(MOST_PASSES):
            large, rest = _too_large(cdt, sizes, level)
            if not large:
                break
            before = cdt.triangles_count()
            cdt.refine_triangles(
                large, pythoncdt.RefinementCriterion.LARGEST_AREA, level, to_erase=rest
            )
            _within_budget(cdt)
            if cdt.triangles_count() == before:
                break


def _levels(sizes: SizeField) -> list[float]:
    """Areas from the largest wished to the smallest, mm²."""
    finest, level = (EQUILATERAL * side**2 for side in (sizes.side.min(), sizes.side.max()))
    levels = [level]
    while levels[-1] > finest:
        levels.append(max(levels[-1] * NEXT_SIZE, finest))
    return [float(each) for each in levels]


def _too_large(
    cdt: pythoncdt.Triangulation, sizes: SizeField, level: float
) -> tuple[int, set[int]]:
    """How many triangles are larger than ``level`` where the wish is no coarser, and all the
    others.
    """
    corners = _vertices(cdt)[_triangles(cdt)]
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2
    large = (area > level) & (sizes.area_at(corners.mean(axis=1)) <= level)
    large[list(cdt.collect_outer_triangles_and_holes())] = False
    return int(large.sum()), set(np.flatnonzero(~large).tolist())


def _vertices(cdt: pythoncdt.Triangulation) -> Floats:
    table = cdt.vertices_array()
    return np.column_stack([table["x"], table["y"]])


def _triangles(cdt: pythoncdt.Triangulation) -> Ints:
    return np.asarray(cdt.triangles_array()["vertices"], dtype=np.int64)


def _piece_of_side(cdt: pythoncdt.Triangulation, pieces: Pieces) -> dict[tuple[int, int], int]:
    """The piece on which each fixed side of the finished triangulation lies."""
    first = {
        _sorted(start, end): k for k, (start, end) in enumerate(enumerate(pieces.after.tolist()))
    }
    origin = {
        (side.v1, side.v2): _sorted(whole[0].v1, whole[0].v2)
        for side, whole in cdt.piece_to_originals_iter()
    }
    sides = ((side.v1, side.v2) for side in cdt.fixed_edges_iter())
    return {side: first[origin.get(side, side)] for side in sides}


def _sorted(a: int, b: int) -> tuple[int, int]:
    return (a, b) if a < b else (b, a)
