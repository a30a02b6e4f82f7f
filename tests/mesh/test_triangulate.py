"""Arcs in pieces, corner triangles on the pieces."""

from __future__ import annotations

import numpy as np

from rimfea.geometry.ring import edge_lengths
from rimfea.mesh.size import size_field
from rimfea.mesh.triangulate import pieces_of, refined


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
