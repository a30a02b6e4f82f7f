"""How large a triangle may be."""

from __future__ import annotations

import numpy as np

from rimfea.geometry.outline import from_rings
from rimfea.mesh.size import EQUILATERAL, SHARE_OF_WALL, size_field


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
