"""Contours at sub-pixel: a disc has its area, dust is none of it."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.errors import SectionError
from rimfea.scanned.contour import Grid, contour, largest, polygons

MM = 0.1
GRID = Grid((MM, MM), (40, 20), 300)


def discs(*given, size=200):
    """Discs (column, row, radius in pixels, sign) on a ground, their edges a pixel wide."""
    row, column = np.mgrid[:size, :size].astype(float)
    share = np.zeros((size, size))
    for x, y, r, sign in given:
        share += sign * np.clip(r - np.hypot(column - x, row - y) + 0.5, 0, 1)
    return share


def test_a_disc_lies_where_its_pixels_do():
    face, specks = contour(discs((90.3, 70.2, 50, 1)), 0.5, GRID)
    assert face.area == pytest.approx(np.pi * 25, rel=1e-3)
    wanted = (90.3 + 40 + 0.5) * MM, (300 - 70.2 - 20 - 0.5) * MM
    assert face.centroid.coords[0] == pytest.approx(wanted, abs=1e-3)
    assert specks == 0


def test_a_grid_counts_in_pixels_what_it_counts_in_mm():
    places = np.array([(3.0, 4.0), (70.5, 0.25)])
    assert GRID.in_pixels(GRID.in_mm(places)) == pytest.approx(places)


def test_chambers_stay_and_dust_in_and_beside_the_face_is_dropped():
    share = discs((100, 100, 60, 1), (100, 110, 20, -1), (70, 80, 2, -1), (20, 20, 3, 1),
                  (100, 112, 3, 1))  # fmt: skip
    face, specks = contour(share, 0.5, GRID)
    assert len(face.interiors) == 1
    assert specks == 3


def test_a_second_body_is_refused_where_it_is():
    with pytest.raises(SectionError, match=r"a second dark body of 3 mm²") as caught:
        contour(discs((110, 110, 60, 1), (25, 25, 10, 1)), 0.5, GRID)
    assert caught.value.spots[0] == pytest.approx((6.55, 25.45), abs=0.6)


def test_nothing_is_no_face():
    with pytest.raises(SectionError, match="no face in the picture"):
        contour(np.zeros((20, 20)), 0.5, GRID)


def test_the_largest_of_several_shapes():
    small, large = (contour(discs((90, 90, r, 1)), 0.5, GRID)[0] for r in (10, 30))
    moved = small.union(large.buffer(0).difference(small))
    assert largest(moved.union(moved)).area == pytest.approx(large.area)
    assert polygons(large.boundary) == []
