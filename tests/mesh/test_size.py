"""How large a triangle may be."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.geometry.outline import Outline, from_rings
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.size import (
    EQUILATERAL,
    SHARE_OF_CORNER,
    SHARE_OF_WALL,
    SMALLEST_SHARE,
    size_field,
)


def test_the_wished_side_is_a_share_of_the_wall_behind_the_nearest_face():
    plate = from_rings([(0, 0), (30, 0), (30, 2), (0, 2)])
    sizes = size_field(plate, 1.0, {})
    points = np.array([[15.0, 0.3], [12.0, 1.9]])
    np.testing.assert_allclose(sizes.side_at(points), 2 * SHARE_OF_WALL)
    np.testing.assert_allclose(sizes.area_at(points), EQUILATERAL * (2 * SHARE_OF_WALL) ** 2)


def test_coarseness_scales_every_side(box):
    once, twice = size_field(box, 1.0, {}), size_field(box, 2.0, {})
    np.testing.assert_allclose(twice.side, 2 * once.side)


def test_finer_scales_the_sides_at_its_label_only(box):
    usual, fine = size_field(box, 1.0, {}), size_field(box, 1.0, {"roof": 0.25})
    roof, floor = np.array([[10.0, 11.9]]), np.array([[10.0, 0.1]])
    np.testing.assert_allclose(fine.side_at(roof), 0.25 * usual.side_at(roof))
    np.testing.assert_allclose(fine.side_at(floor), usual.side_at(floor))


def test_triangles_are_smaller_at_an_inside_fillet_than_at_a_rounded_outside_corner(tube):
    bent = tube(3.0, 2.5)
    sizes = size_field(bent, 1.0, {})
    inside, outside = np.array([[0.0, 0.5]]), np.array([[0.0, 3.0]])
    assert sizes.side_at(inside) < 0.5
    assert sizes.side_at(outside) > 2 * sizes.side_at(inside)


def test_a_rounding_that_is_small_beside_its_walls_asks_for_no_triangles_as_small():
    """It is drawn, not resolved; one that is as large as usual is resolved as ever."""

    def smallest(radius: float) -> float:
        corners = [Corner(x, y, "bar", radius) for x, y in [(0, 0), (8, 0), (8, 8), (0, 8)]]
        return float(size_field(Outline(rounded(corners)), 1.0, {}).side.min())

    assert smallest(0.05) == pytest.approx(SMALLEST_SHARE * SHARE_OF_WALL * 8)
    assert smallest(0.5) == pytest.approx(SHARE_OF_CORNER * 0.5)
