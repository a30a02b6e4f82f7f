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


def test_a_line_from_another_world_is_refused(drawn, outer):
    outer[3, 0] = 1e300
    error = refused(drawn(outer))
    assert "more than 10 km away" in str(error)
    assert error.entity == "ring 1"


def test_far_too_many_rings_are_refused(drawn, outer):
    specks = [np.array([(x, -10), (x + 0.2, -10), (x, -9.8)]) for x in np.linspace(-3, 3, 41)]
    assert "42 closed lines" in refused(drawn(outer, *specks)).problem


def test_an_error_travels_between_processes_with_its_places(drawn, outer):
    outer[[1, 2]] = outer[[2, 1]]
    error = refused(drawn(outer))
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 -- its own
    assert (str(again), again.spots, again.lines) == (str(error), error.spots, error.lines)


def test_corners_that_nobody_would_see_are_left_out_and_a_rough_line_is_refused(drawn):
    angle = np.linspace(0, 2 * np.pi, 5000, endpoint=False)
    smooth = np.column_stack([14 * np.cos(angle), 9 * np.sin(angle)])
    found = repaired(drawn(smooth))
    assert 100 < len(found.outline.labels) <= 1000
    assert moments(found.outline)[0] == pytest.approx(np.pi * 14 * 9, rel=3e-4)
    (told,) = found.done
    assert told.startswith("left out 4")
    assert "which lay within 0.002 mm" in told
    rough = smooth * (1 + 0.004 * (np.arange(5000) % 2))[:, None]
    assert "the outline is rough: 5000 corners" in refused(drawn(rough)).problem


def test_a_finer_line_than_any_instrument_reads_is_a_line(drawn):
    angle = np.linspace(0, 2 * np.pi, 90_000, endpoint=False)
    fine = np.column_stack([10 * np.cos(angle), 10 * np.sin(angle)])
    assert moments(repaired(drawn(fine)).outline)[0] == pytest.approx(np.pi * 100, rel=3e-4)


def test_a_point_that_slipped_away_is_refused_with_the_length_of_its_line(drawn):
    square = np.array([[-10.0, 0.0], [10.0, 0.0], [10.0, 15.0], [-10.0, 15.0]])
    square[2, 1] = 1e5
    assert "a line is 100000 mm long" in refused(drawn(square)).problem
