"""Rings: true arcs, exact moments, both ways round."""

import numpy as np
import pytest

from rimfea.errors import OutlineError
from rimfea.geometry.outline import Outline, from_rings, moments, polygon
from rimfea.geometry.ring import (
    Ring,
    arc_radii,
    cut_every,
    edge_lengths,
    normals_at,
    points_at,
    signed_area,
    signed_moments,
    subdivided,
    turned_over,
)
from rimfea.geometry.rounded import Corner, rounded


def circle(radius, centre=(0.0, 0.0)):
    ends = np.array([[-radius, 0.0], [radius, 0.0]]) + centre
    return Ring(ends, np.ones(2), ("lower", "upper"))


def test_two_half_circles_have_the_moments_of_a_disc():
    r, x, y = 3.0, 1.5, -2.0
    area = np.pi * r**2
    expected = [
        area,
        area * x,
        area * y,
        np.pi * r**4 / 4 + area * x**2,
        np.pi * r**4 / 4 + area * y**2,
        area * x * y,
    ]
    np.testing.assert_allclose(signed_moments(circle(r, (x, y))), expected, rtol=1e-12)


@pytest.mark.parametrize("bulge", [0.0, 1e-8, 1e-3, 0.4, -0.4, 1.0])
def test_the_area_alone_is_that_of_the_moments(bulge):
    corners = np.array([[1.0, 2.0], [5.0, 1.0], [6.0, 6.0], [0.0, 4.0]])
    ring = Ring(corners, np.array([bulge, 0.0, bulge / 2, 0.2]), tuple("abcd"))
    assert signed_area(ring) == pytest.approx(signed_moments(ring)[0], rel=1e-9)
    assert signed_area(circle(3.0)) == pytest.approx(9 * np.pi, rel=1e-12)


def test_walking_round_the_other_way_turns_the_sign_and_keeps_each_name_on_its_edge():
    ring = rounded(
        [Corner(0, 0, "a", 0.5), Corner(4, 0, "b"), Corner(4, 3, "c", 1.0), Corner(0, 3, "d")]
    )
    other = turned_over(ring)
    np.testing.assert_allclose(signed_moments(other), -signed_moments(ring), rtol=1e-12)
    assert signed_area(other) == pytest.approx(-signed_area(ring), rel=1e-12)
    for k, label in enumerate(ring.labels):
        middle = points_at(ring, np.array([k]), np.array([0.5]))
        distance = np.linalg.norm(
            points_at(other, np.arange(len(other.labels)), np.full(len(other.labels), 0.5))
            - middle,
            axis=1,
        )
        assert other.labels[int(distance.argmin())] == label
        assert distance.min() < 1e-12


def test_points_of_an_arc_lie_on_its_circle_and_normals_point_outward():
    ring = circle(2.0, (1.0, 1.0))
    edge, t = np.repeat([0, 1], 7), np.tile(np.linspace(0, 1, 7), 2)
    points = points_at(ring, edge, t) - [1.0, 1.0]
    np.testing.assert_allclose(np.linalg.norm(points, axis=1), 2.0, rtol=1e-14)
    np.testing.assert_allclose(normals_at(ring, edge, t), points / 2.0, atol=1e-14)


def test_cutting_a_ring_changes_neither_its_area_nor_its_length():
    ring = rounded([Corner(0, 0, "a", 0.5), Corner(4, 0, "b", 0.7), Corner(2, 3, "c", 1.0)])
    fine, edge, t = subdivided(ring, cut_every(ring, length=0.3, sweep=np.radians(10)))
    np.testing.assert_allclose(signed_moments(fine), signed_moments(ring), rtol=1e-12)
    assert edge_lengths(fine).sum() == pytest.approx(edge_lengths(ring).sum(), rel=1e-13)
    assert edge_lengths(fine).max() <= 0.3 + 1e-12
    np.testing.assert_allclose(points_at(ring, edge, t), fine.corners, atol=1e-13)


def test_a_rounded_square_loses_the_published_corner_area():
    # Four corners of radius r remove (4 - pi) r^2 from a square: elementary geometry.
    ring = rounded([Corner(*p, "side", 0.5) for p in [(0, 0), (4, 0), (4, 4), (0, 4)]])
    assert signed_moments(ring)[0] == pytest.approx(16 - (4 - np.pi) * 0.25, rel=1e-13)
    assert np.isfinite(arc_radii(ring)).sum() == 4
    np.testing.assert_allclose(arc_radii(ring)[np.isfinite(arc_radii(ring))], 0.5, rtol=1e-12)


def test_a_radius_that_does_not_fit_is_reduced_and_leaves_a_straight_piece():
    ring = rounded([Corner(*p, "side", 50.0) for p in [(0, 0), (4, 0), (4, 4), (0, 4)]])
    straight = edge_lengths(ring)[~np.isfinite(arc_radii(ring))]
    np.testing.assert_allclose(straight, 4 * (1 - 2 * 0.42), rtol=1e-12)


def test_an_outline_turns_its_rings_so_that_the_metal_is_on_the_left():
    outer, hole = turned_over(circle(3.0)), circle(1.0)
    outline = Outline(outer, (hole,))
    assert signed_moments(outline.outer)[0] > 0 > signed_moments(outline.holes[0])[0]
    assert moments(outline)[0] == pytest.approx(8 * np.pi, rel=1e-12)
    assert polygon(outline).area == pytest.approx(8 * np.pi, rel=1e-3)


def test_an_outline_that_crosses_itself_is_refused_with_the_place():
    with pytest.raises(OutlineError, match=r"crosses itself.*1 1"):
        from_rings([(0, 0), (2, 2), (2, 0), (0, 2)])


def test_a_hole_outside_the_outer_ring_is_refused():
    with pytest.raises(OutlineError, match=r"crosses itself|outside"):
        from_rings([(0, 0), (1, 0), (0, 1)], [[(3, 3), (4, 3), (3, 4)]])


@pytest.mark.parametrize(
    ("points", "message"),
    [
        ([(0, 0), (1, 1)], "at least three"),
        ([(0, 0), (1, float("nan")), (0, 1)], "finite"),
        ([(0, 0), (1, 0), (1, 0), (0, 1)], "same place"),
        ([(0, 0), (1, "x"), (0, 1)], "not a list"),
        ([(0, 0, 0), (1, 0, 0), (0, 1, 0)], "at least three"),
    ],
)
def test_rings_that_are_no_rings_are_refused_in_words(points, message):
    with pytest.raises(OutlineError, match=message):
        from_rings(points)


def test_a_closing_point_may_be_repeated():
    closed = from_rings([(0, 0), (2, 0), (0, 2), (0, 0)])
    assert moments(closed)[0] == pytest.approx(2.0)
