from __future__ import annotations

import math

import pytest

from rimfea.ask.dimensions import side_by_side
from rimfea.profile.families import Family


def by_key(*sheets, base=0):
    return {each.key: each for each in side_by_side(sheets, base)}


def read(value, tolerance):
    return {"readings": [value, value], "tolerance_mm": tolerance}


def test_a_difference_is_in_mm_and_per_cent_of_the_base(sheet_of):
    found = by_key(sheet_of(), sheet_of(sidewall_mm=1.8), base=0)["sidewall_mm"]
    assert (found.gap(1), found.percent(1)) == pytest.approx((0.3, 20.0))
    turned = by_key(sheet_of(), sheet_of(sidewall_mm=1.8), base=1)["sidewall_mm"]
    assert turned.expanded == found.expanded[::-1]
    assert (turned.gap(0), turned.gap(1)) == pytest.approx((-0.3, 0.0))
    assert turned.percent(0) == pytest.approx(-100 * 0.3 / 1.8)


def test_the_zero_of_a_caliper_that_read_both_cancels(sheet_of):
    """Two single readings, each repeatable to 0.02 mm with a display of 0.01 mm: k = 2 of both
    together is 2 √(2 (0.02² + (0.005/√3)²)) = 0.0572 mm; its ±0.03 mm does not count.
    """
    found = by_key(sheet_of(), sheet_of())["sidewall_mm"]
    assert found.expanded == pytest.approx((0.0, 0.05715), rel=1e-3)


def test_instruments_of_their_own_do_not_cancel(sheet_of):
    """±0.03 mm each and both displays: 2 √(2 (0.03²/3 + 0.005²/3)) = 0.0497 mm."""
    one, other = (sheet_of(name=name, sidewall_mm=read(1.5, 0.03)) for name in "ab")
    assert by_key(one, other)["sidewall_mm"].expanded[1] == pytest.approx(0.0497, rel=1e-2)


def test_a_difference_is_told_once_it_exceeds_the_error(sheet_of):
    for more, told in ((0.05, False), (0.06, True)):
        found = by_key(sheet_of(), sheet_of(sidewall_mm=1.5 + more))["sidewall_mm"]
        assert found.is_told(1) is told
        assert found.differs is told
        assert not found.is_told(0)


def test_what_nobody_measured_is_told_from_what_somebody_did_with_the_error_of_a_guess(sheet_of):
    found = by_key(sheet_of(), sheet_of(flank_mm=1.4))["flank_mm"]
    assert found.measured == (False, True)
    assert found.expanded[1] > 2 * 0.15 * 1.3 / math.sqrt(3)
    assert not found.is_told(1)


def test_all_that_any_section_is_drawn_from_is_there_and_a_wall_that_one_lacks_differs(sheet_of):
    found = by_key(sheet_of(), sheet_of(Family.SINGLE))
    assert math.isnan(found["flank_mm"].values[1])
    assert found["flank_mm"].differs
    assert math.isnan(found["flank_mm"].gap(1))
    assert not found["spoke_bed_width_mm"].differs
    assert "flank_mm" not in by_key(sheet_of(Family.SINGLE), sheet_of(Family.SINGLE))


def test_a_pad_that_no_rim_has_is_no_dimension(sheet_of):
    assert "nipple_seat_width_mm" not in by_key(sheet_of(), sheet_of())
    thickened = sheet_of(Family.THICKENED, spoke_bed_mm=1.6)
    found = by_key(sheet_of(), thickened)["nipple_seat_width_mm"]
    assert math.isnan(found.values[0])
    assert found.values[1] == thickened.nipple_seat_width_mm


def test_a_slope_is_shown_and_not_judged(sheet_of):
    found = by_key(sheet_of(), sheet_of(well_slope_deg=10))["well_slope_deg"]
    assert found.gap(1) == -10
    assert not found.is_told(1)
