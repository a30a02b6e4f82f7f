"""Lines of a file: closed where they end where they began, wide arcs in halves."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.errors import SectionError
from rimfea.geometry.ring import signed_area
from rimfea.traced.drawing import trail, visible


def test_a_first_point_repeated_at_the_end_closes_a_line():
    found = trail([(0, 0), (1, 0), (1, 1), (0, 0)], is_closed=False)
    assert found.is_closed
    assert len(found.bulge) == 3


def test_an_arc_of_more_than_half_a_circle_is_halved_and_keeps_its_area():
    """Three quarters of a circle of radius 2 and its chord; area r²/2 (θ − sin θ)."""
    sweep = 1.5 * np.pi
    start, end = (2.0, 0.0), (0.0, -2.0)
    found = trail([start, end], [np.tan(sweep / 4), 0.0], is_closed=True)
    assert len(found.bulge) == 3
    assert np.abs(found.bulge).max() < 1
    assert signed_area(found.ring()) == pytest.approx(2 * (sweep - np.sin(sweep)), rel=1e-12)
    assert np.linalg.norm(found.corners, axis=1) == pytest.approx([2, 2, 2])


@pytest.mark.parametrize("is_closed", [True, False])
def test_a_line_turned_over_twice_is_as_it_was_and_once_runs_back(is_closed):
    found = trail([(0, 0), (2, 0), (2, 1)], [0.3, -0.2, 0.1], is_closed=is_closed, where="abc")
    back = found.turned_over()
    assert np.array_equal(back.turned_over().corners, found.corners)
    assert np.array_equal(back.turned_over().bulge, found.bulge)
    if is_closed:
        assert signed_area(back.ring()) == pytest.approx(-signed_area(found.ring()))
    else:
        assert back.bulge.tolist() == [0.2, -0.3, 0]


@pytest.mark.parametrize("points", [[(0, 0)], [(0, 0, 0), (1, 0, 0)], []])
def test_what_is_no_list_of_points_is_refused(points):
    with pytest.raises(SectionError, match="at least two points"):
        trail(points, is_closed=False)


def test_a_number_that_is_not_finite_is_refused_with_its_line():
    with pytest.raises(SectionError, match="line 8: is not a finite number"):
        trail([(0, 0), (np.inf, 0)], is_closed=False, where=["line 7", "line 8"])


def test_what_is_shown_of_a_closed_line_ends_where_it_begins():
    (shown,) = visible([trail([(0, 0), (1, 0), (1, 1)], is_closed=True)])
    assert shown == ((0, 0), (1, 0), (1, 1), (0, 0))
