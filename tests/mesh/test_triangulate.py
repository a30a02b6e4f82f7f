"""Arcs in pieces, corner triangles on the pieces."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.errors import MeshError
from rimfea.geometry.outline import from_rings
from rimfea.geometry.ring import edge_lengths
from rimfea.mesh.size import size_field
from rimfea.mesh.triangulate import Pieces, pieces_of, refined


def rise_of(pieces, outline, ring):
    """Rise of the arcs over their chords (m,) on one ring of full circles, mm."""
    radius = np.linalg.norm(outline.rings[ring].corners[0])
    here = pieces.ring == ring
    start, end = pieces.corners[here], pieces.corners[pieces.after[here]]
    return radius - np.linalg.norm((start + end) / 2, axis=1)


def test_pieces_close_round_every_ring_and_span_every_edge_once(box):
    pieces = pieces_of(box, size_field(box, 1.0, {}))
    assert sorted(pieces.after) == list(range(len(pieces.corners)))
    for number, ring in enumerate(box.rings):
        here = pieces.ring == number
        span = np.bincount(pieces.edge[here], (pieces.t_end - pieces.t_start)[here])
        np.testing.assert_allclose(span, np.ones(len(edge_lengths(ring))))


def test_straight_edges_stay_whole(box):
    pieces = pieces_of(box, size_field(box, 1.0, {}))
    for number, ring in enumerate(box.rings):
        count = np.bincount(pieces.edge[pieces.ring == number])
        assert (count[ring.bulge == 0] == 1).all()
        assert (count[ring.bulge != 0] > 1).all()


def test_pieces_of_an_arc_are_flat_against_the_triangles_wished_there(tube):
    outline = tube(15.0, 0.5)
    for coarseness in (1.0, 0.3):
        sizes = size_field(outline, coarseness, {})
        rise = rise_of(pieces_of(outline, sizes), outline, 0)
        assert rise.max() < 0.03 * sizes.side.min()


def test_every_boundary_side_lies_on_the_piece_it_is_said_to(box):
    sizes = size_field(box, 1.0, {})
    pieces = pieces_of(box, sizes)
    corners, _, piece_of_side = refined(pieces, sizes)
    ends = np.array(list(piece_of_side))
    piece = np.array(list(piece_of_side.values()))
    start = pieces.corners[piece][:, None]
    along = pieces.corners[pieces.after[piece]][:, None] - start
    reach = corners[ends] - start
    aside = np.abs(along[..., 0] * reach[..., 1] - along[..., 1] * reach[..., 0])
    assert (aside / np.linalg.norm(along, axis=2)).max() < 1e-9
    assert set(piece) == set(range(len(pieces.corners)))


def test_triangles_run_counter_clockwise(box):
    sizes = size_field(box, 1.0, {})
    corners, triangles, _ = refined(pieces_of(box, sizes), sizes)
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    u, v = b - a, c - a
    assert (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] > 0).all()


def test_a_mesh_that_grows_too_large_is_refused_with_the_place_that_makes_it_so():
    """A slit of 0.01 mm at x = 200 in a plate 400 mm long, the metal beside it as fine."""
    slit = [(x, y) for x in (200.0, 200.01) for y in (0.01, 1.99)]
    slit = [slit[0], slit[2], slit[3], slit[1]]
    plate = from_rings([(0, 0), (400, 0), (400, 2), (0, 2)], [slit])
    sizes = size_field(plate, 0.1, {})
    with pytest.raises(MeshError, match=r"more than 40000 triangles .* near x = 200\.5 mm"):
        refined(pieces_of(plate, sizes), sizes)


def test_edges_that_cross_are_an_error_of_ours():
    bow = np.array([[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]])
    pieces = Pieces(bow, np.array([1, 2, 3, 0]), *np.zeros((4, 4), dtype=int))
    plate = from_rings([(0, 0), (1, 0), (1, 1), (0, 1)])
    with pytest.raises(MeshError, match="two of its edges meet"):
        refined(pieces, size_field(plate, 1.0, {}))
