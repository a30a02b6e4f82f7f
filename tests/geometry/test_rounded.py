"""Corners rounded by true arcs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.geometry.corner import Corner
from rimfea.geometry.ring import arc_radii, edge_lengths
from rimfea.geometry.rounded import rounded

SQUARE = [Corner(x, y, "edge", 9.0) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))]


def flats(corners):
    ring = rounded(corners)
    return edge_lengths(ring)[ring.bulge == 0]


def test_two_roundings_leave_a_straight_piece_between_them():
    assert flats(SQUARE) == pytest.approx(1 - 2 * 0.42)


def test_a_corner_may_take_more_of_its_edges():
    assert flats([replace(each, share=0.49) for each in SQUARE]) == pytest.approx(0.02)


def test_what_one_corner_leaves_of_both_shares_the_other_may_take():
    small = [*SQUARE[:2], *(replace(each, radius=0.1) for each in SQUARE[2:])]
    one = [replace(small[0], radius=0.6, share=0.49), replace(small[1], radius=0.1), *small[2:]]
    radii = arc_radii(rounded(one))
    assert np.sort(radii[np.isfinite(radii)]) == pytest.approx([0.1, 0.1, 0.1, 0.6])
