"""Chords: what a caliper reads."""

import numpy as np

from rimfea.geometry.chords import chords, thickness
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring
from rimfea.geometry.rounded import Corner, rounded


def test_chords_of_a_plate_are_its_thickness_and_stand_upright():
    plate = Outline(
        rounded(
            [
                Corner(0, 0, "plate"),
                Corner(10, 0, "end"),
                Corner(10, 1.5, "plate"),
                Corner(0, 1.5, "end"),
            ]
        )
    )
    found = chords(plate, 0.5)
    across = found.of("plate")
    assert across.sum() == 20
    np.testing.assert_allclose(found.lengths[across], 1.5, rtol=1e-12)
    np.testing.assert_allclose(found.start[across, 0], found.end[across, 0], atol=1e-9)
    np.testing.assert_allclose(found.lengths[found.of("end")], 10.0, rtol=1e-12)


def test_chords_of_a_wedge_stand_at_right_angles_to_its_mid_line():
    # Faces at +-a about the x axis: a chord at distance x along it measures 2 x tan a.
    a = np.radians(8.0)
    wedge = Outline(
        rounded(
            [
                Corner(2, -2 * np.tan(a), "w"),
                Corner(10, -10 * np.tan(a), "end"),
                Corner(10, 10 * np.tan(a), "w"),
                Corner(2, 2 * np.tan(a), "end"),
            ]
        )
    )
    found = chords(wedge, 0.5)
    across = found.of("w")
    middle = (found.start + found.end)[across] / 2
    np.testing.assert_allclose(middle[:, 1], 0.0, atol=1e-9)
    np.testing.assert_allclose(found.lengths[across], 2 * middle[:, 0] * np.tan(a), rtol=1e-9)


def test_chords_of_a_tube_are_radial_to_the_facets_of_its_arcs():
    def circle(r):
        return Ring(np.array([[-r, 0.0], [r, 0.0]]), np.ones(2), ("wall", "wall"))

    found = chords(Outline(circle(5.0), (circle(4.0),)), 0.5)
    np.testing.assert_allclose(found.lengths, 1.0, atol=5e-3)
    assert 0.9 < len(found.lengths) / (2 * np.pi * 4.5 / 0.5) < 1.5


def test_thickness_is_the_metal_straight_behind_a_point():
    plate = Outline(
        rounded([Corner(0, 0, "a"), Corner(10, 0, "b"), Corner(10, 1.5, "a"), Corner(0, 1.5, "b")])
    )
    depth = thickness(plate, np.array([[3.0, 0.0], [0.0, 0.7]]), np.array([[0.0, -1], [-1, 0]]))
    np.testing.assert_allclose(depth, [1.5, 10.0])
