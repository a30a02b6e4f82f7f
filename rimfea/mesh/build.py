"""Outline to mesh: size, triangulate, put every boundary node on its true line or arc."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu
from scipy.spatial import KDTree

from rimfea.arrays import Floats, Ints
from rimfea.errors import MeshError
from rimfea.geometry.chords import Chords, chords, stations
from rimfea.geometry.outline import Outline, moments
from rimfea.geometry.ring import points_at
from rimfea.mesh.locate import containing
from rimfea.mesh.mesh import Mesh, Quality, smallest_angles
from rimfea.mesh.size import STATION_SPACING, SizeField, size_field
from rimfea.mesh.triangulate import Pieces, near, pieces_of, refined

SMALLEST_ANGLE_DEG = 25.0
LARGEST_AREA_ERROR = 1e-5
# Of some hundred outlines one has a triangle that its arc flattens too much: with others a little
# smaller it comes to lie otherwise.
TRIES = 1.0, 0.9, 0.8
NOTHING_FINER: Mapping[str, float] = MappingProxyType({})


def mesh_outline(
    outline: Outline, *, coarseness: float = 1.0, finer: Mapping[str, float] = NOTHING_FINER
) -> Mesh:
    """Six-node triangles, at least two across every wall at ``coarseness`` 1.

    ``finer`` maps a label to the factor (below 1) for smaller triangles there. Raises
    :class:`~rimfea.errors.MeshError` when an angle falls below 25° or the area is not met.
    """
    if not 0.1 <= coarseness <= 10:
        raise MeshError(f"coarseness = {coarseness}: allowed 0.1 to 10 (1 is the usual mesh)")
    for finer_by in TRIES:
        mesh = _meshed(outline, size_field(outline, finer_by * coarseness, finer))
        if mesh.quality.smallest_angle_deg >= SMALLEST_ANGLE_DEG:
            break
    _check(mesh)
    return mesh


def _meshed(outline: Outline, sizes: SizeField) -> Mesh:
    """The mesh of these sizes, whatever its angles."""
    pieces = pieces_of(outline, sizes)
    corners, triangles, piece_of_side = refined(pieces, sizes)
    sides, piece = _boundary(triangles, piece_of_side)
    t = _fractions(corners, sides, piece, pieces)
    onto = _on_edges(outline, pieces, piece, t[:, 0])
    corners = _carried_along(corners, triangles, sides[:, 0], onto)
    nodes, six, middle = _with_middles(corners, triangles, sides)
    nodes[middle] = _on_edges(outline, pieces, piece, t.mean(axis=1))
    sides = np.column_stack([sides, middle])
    names = tuple(dict.fromkeys(outline.labels))
    return Mesh(
        nodes=nodes,
        triangles=six,
        sides=sides,
        triangle_label=_nearest_label(outline, nodes[triangles].mean(axis=1)),
        side_label=_labels_of_pieces(outline, pieces, names)[piece],
        names=names,
        quality=_quality(outline, nodes, six, sides),
    )


def _boundary(triangles: Ints, piece_of_side: dict[tuple[int, int], int]) -> tuple[Ints, Ints]:
    """Boundary sides (f, 2), metal on the left, and the piece (f,) each lies on."""
    walked = np.vstack([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    key = np.sort(walked, axis=1)
    _, first, count = np.unique(key, axis=0, return_index=True, return_counts=True)
    alone = first[count == 1]
    pairs = key[alone].tolist()
    return walked[alone], np.array([piece_of_side[a, b] for a, b in pairs])


def _fractions(corners: Floats, sides: Ints, piece: Ints, pieces: Pieces) -> Floats:
    """Fractions (f, 2) of the outline's edge at the two ends of every boundary side."""
    start = pieces.corners[piece]
    along = pieces.corners[pieces.after[piece]] - start
    reach = corners[sides] - start[:, None]
    share = (reach * along[:, None]).sum(axis=2) / (along**2).sum(axis=1)[:, None]
    t_start, t_end = pieces.t_start[piece, None], pieces.t_end[piece, None]
    return np.asarray(t_start + np.clip(share, 0, 1) * (t_end - t_start))


def _on_edges(outline: Outline, pieces: Pieces, piece: Ints, t: Floats) -> Floats:
    """Points (f, 2) of the true edges under each piece at fraction ``t`` (f,)."""
    points = np.empty((len(piece), 2))
    for number, ring in enumerate(outline.rings):
        here = pieces.ring[piece] == number
        points[here] = points_at(ring, pieces.edge[piece[here]], t[here])
    return points


def _carried_along(corners: Floats, triangles: Ints, edge: Ints, onto: Floats) -> Floats:
    """Vertices (v, 2) with those on the boundary, ``edge`` (f,), moved ``onto`` their arcs (f, 2):
    refinement puts them on chords. Each vertex inside shifts by the mean of its neighbours, or
    small triangles beside the boundary would be squeezed flat.
    """
    v = len(corners)
    shift = np.zeros_like(corners)
    shift[edge] = onto - corners[edge]
    inside = np.ones(v, dtype=bool)
    inside[edge] = False
    if not inside.any() or not shift.any():
        return np.asarray(corners + shift)
    start, end = triangles.ravel(), triangles[:, [1, 2, 0]].ravel()
    pairs = (np.concatenate([start, end]), np.concatenate([end, start]))
    beside = sparse.coo_array((np.ones(len(pairs[0])), pairs), shape=(v, v)).tocsr()
    balance = (sparse.diags_array(beside.sum(axis=1)) - beside).tocsr()[inside]
    shift[inside] = splu(balance[:, inside].tocsc()).solve(-(balance @ shift))
    return np.asarray(corners + shift)


def _with_middles(corners: Floats, triangles: Ints, sides: Ints) -> tuple[Floats, Ints, Ints]:
    """Nodes (n, 2) with one more in the middle of every side, triangles (e, 6), and the
    middle node (f,) of every boundary side.
    """
    v = len(corners)
    walked = np.stack([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]], axis=1)
    key = np.sort(walked.reshape(-1, 2), axis=1)
    code = key[:, 0] * v + key[:, 1]
    every, number = np.unique(code, return_inverse=True)
    middles = (corners[every // v] + corners[every % v]) / 2
    six = np.hstack([triangles, v + number.reshape(-1, 3)])
    low, high = np.sort(sides, axis=1).T
    return np.vstack([corners, middles]), six, v + np.searchsorted(every, low * v + high)


def _labels_of_pieces(outline: Outline, pieces: Pieces, names: tuple[str, ...]) -> Ints:
    first = np.cumsum([0] + [len(ring.labels) for ring in outline.rings])
    all_labels = np.array([names.index(label) for label in outline.labels])
    return np.asarray(all_labels[first[pieces.ring] + pieces.edge])


def _nearest_label(outline: Outline, points: Floats) -> Ints:
    """Label (p,) of the face nearest to each point: the wall it belongs to."""
    on_faces, _, label = stations(outline, STATION_SPACING)
    return np.asarray(label[KDTree(on_faces).query(points)[1]])


def _quality(outline: Outline, nodes: Floats, triangles: Ints, sides: Ints) -> Quality:
    corners = nodes[triangles[:, :3]]
    angle = float(smallest_angles(corners).min())
    exact = moments(outline)[0]
    area_error = float(abs(_area(nodes, sides) - exact) / exact)
    across = _fewest_across(corners, chords(outline, 1.0))
    return Quality(len(triangles), len(nodes), float(np.degrees(angle)), area_error, across)


def _check(mesh: Mesh) -> None:
    """Refuse a mesh that breaks a promise, with the place that is to blame."""
    quality, corners = mesh.quality, mesh.nodes[mesh.triangles[:, :3]]
    if quality.smallest_angle_deg < SMALLEST_ANGLE_DEG:
        angles = smallest_angles(corners)
        worst = int(angles.argmin())
        name = mesh.names[mesh.triangle_label[worst]]
        place = near(*corners[worst].mean(axis=0))
        raise MeshError(
            f"the smallest angle is {np.degrees(angles[worst]):.1f}°, below 25°, {place}"
            f"{f', at the {name}' if name else ''}: look at the thickness there and at the "
            "rounding beside it"
        )
    if not quality.area_error <= LARGEST_AREA_ERROR:
        raise MeshError(f"the mesh misses the area of the outline by {quality.area_error:.1e}")


def _area(nodes: Floats, sides: Ints) -> float:
    """Area inside the curved boundary sides: Simpson's rule is exact for their parabolas."""
    start, end, middle = (nodes[sides[:, k]] for k in range(3))
    slope = (-3 * start + 4 * middle - end, end - start, start - 4 * middle + 3 * end)
    weights = (1 / 6, 4 / 6, 1 / 6)
    return float(
        sum(
            w * ((p[:, 0] * d[:, 1] - p[:, 1] * d[:, 0]) / 2).sum()
            for w, p, d in zip(weights, (start, middle, end), slope, strict=True)
        )
    )


def _fewest_across(corners: Floats, across: Chords) -> int:
    """Fewest different triangles met along any chord: twenty places of each are looked up
    among the triangles with the nearest centres.
    """
    if not len(across.start):
        return 0
    s = (np.arange(20) + 0.5) / 20
    places = across.start[:, None] + s[:, None] * (across.end - across.start)[:, None]
    met = containing(corners, places.reshape(-1, 2)).reshape(len(across.start), -1)
    ordered = np.sort(met, axis=1)
    return int((1 + (np.diff(ordered, axis=1) > 0).sum(axis=1)).min())
