"""A drawing made a section, or refused with the place that is wrong and what to do."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

from rimfea.errors import SectionError
from rimfea.geometry.outline import moments
from rimfea.traced.drawing import trail
from rimfea.traced.repair import repaired


def refused(drawing):
    with pytest.raises(SectionError) as caught:
        repaired(drawing)
    return caught.value


def test_a_good_section_is_left_as_it_is(drawn, outer, hollow):
    found = repaired(drawn(outer, hollow))
    assert found.done == ()
    assert np.array_equal(found.outline.outer.corners, outer)
    assert len(found.outline.holes) == 1


def test_rings_that_run_the_wrong_way_are_turned_and_it_is_told(drawn, outer, hollow):
    right, wrong = repaired(drawn(outer, hollow)), repaired(drawn(outer[::-1], hollow[::-1]))
    assert wrong.done == (
        "turned the outer line to run counter-clockwise",
        "turned 1 chamber to run clockwise",
    )
    assert moments(wrong.outline) == pytest.approx(moments(right.outline), abs=1e-9)


def test_a_line_that_crosses_itself_is_refused_where_it_does(drawn, outer):
    outer[[1, 2]] = outer[[2, 1]]
    error = refused(drawn(outer))
    assert "crosses or touches itself" in error.problem
    assert error.spots[0] == pytest.approx((80 / 7, 0.0))
    assert str(error).startswith("rim.dxf, ring 1: ")
    assert error.lines[0][0] == tuple(outer[0])


def test_a_second_body_is_refused_where_it_is(drawn, outer, hollow):
    other = np.array([(30, 0), (33, 0), (33, 3), (30, 3.0)])
    error = refused(drawn(outer, hollow, other))
    assert "second body outside" in error.problem
    assert error.spots == ((30, 0),)
    assert error.entity == "ring 3"
    inside = np.array([(-1, -10), (1, -10), (1, -8), (-1, -8.0)])
    assert "inside a chamber" in refused(drawn(outer, hollow, inside)).problem


def test_a_chamber_that_cuts_the_outer_line_is_refused_where_it_does(drawn, outer, hollow):
    hollow[:, 1] -= 2.9 * (hollow[:, 1] < -10)
    hollow[:, 0] *= np.where(hollow[:, 1] < -10, 4.6 / 5.2, 1.0)
    error = refused(drawn(outer, hollow))
    assert "cross" in error.problem
    assert error.spots[0][1] == pytest.approx(-15, abs=0.01)


def test_an_open_line_is_refused(drawn, outer):
    line = trail(outer, is_closed=False, where="LWPOLYLINE 2F")
    error = refused(drawn(lines=[line]))
    assert str(error).startswith("rim.dxf, LWPOLYLINE 2F: the outline is open: a gap of 10.00 mm")


def test_a_wall_thinner_than_three_tenths_is_refused_where_it_is(drawn, outer, hollow):
    low = hollow.copy()
    low[:, 1] -= 2.2 * (low[:, 1] < -10)
    low[:, 0] *= np.where(low[:, 1] < -10, 4.6 / 5.2, 1.0)
    error = refused(drawn(outer, low))
    assert "a wall is 0.20 mm thin" in error.problem
    assert error.spots[0][1] == pytest.approx(-14.9, abs=0.05)
    thicker = low - np.array([0, -0.12]) * (low[:, 1:] < -10)
    assert repaired(drawn(outer, thicker)).outline.holes


@pytest.mark.parametrize(
    ("unit", "factor", "told"),
    [
        ("mm", 1 / 25.4, "if it was drawn in inch"),
        ("inch", 25.4, "if it was drawn in mm"),
        ("mm", 0.1, "if it was drawn in inch or cm"),
    ],
)
def test_a_width_that_is_no_rims_says_which_unit_may_be_meant(drawn, outer, unit, factor, told):
    error = refused(drawn(factor * outer, unit=unit))
    assert f"{factor * 28:.4g} mm wide" in error.problem
    assert told in error.remedy


def test_nothing_at_all_to_and_fro_and_a_speck_are_refused(drawn, outer):
    assert "no outline in it" in refused(drawn()).problem
    fro = trail([(0, 1), (20, 1), (0, 1.0)], is_closed=True)
    assert "to and fro" in refused(drawn(lines=[fro])).problem
    speck = np.array([(0, -10), (0.05, -10), (0, -9.95)])
    assert "encloses only 0.0013 mm²" in refused(drawn(outer, speck)).problem


def test_far_too_many_rings_are_refused(drawn, outer):
    specks = [np.array([(x, -10), (x + 0.2, -10), (x, -9.8)]) for x in np.linspace(-3, 3, 41)]
    assert "42 closed lines" in refused(drawn(outer, *specks)).problem


def test_an_error_travels_between_processes_with_its_places(drawn, outer):
    outer[[1, 2]] = outer[[2, 1]]
    error = refused(drawn(outer))
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 -- its own
    assert (str(again), again.spots, again.lines) == (str(error), error.spots, error.lines)
