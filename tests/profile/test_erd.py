"""A measured ERD beside the drawn one."""

from __future__ import annotations

import math

import pytest

from rimfea.profile.erd import diameter_difference
from rimfea.profile.families import DRAWN
from rimfea.profile.values import Readings

RODS = math.sqrt(0.5**2 / 3 + 0.1**2 / 12 + 0.1**2)


@pytest.fixture
def checked(sheet_of):
    """The check of a rim whose hook height was measured, so that it draws 598.8 mm."""

    def check(erd_mm, **changes):
        return diameter_difference(sheet_of(erd_mm=erd_mm, hook_height_mm=6.6, **changes))

    return check


def test_without_a_measured_one_there_is_nothing_to_check(sheet_of):
    assert diameter_difference(sheet_of()) is None


def test_the_drawn_one_is_twice_the_radius_of_the_face_that_nipples_bear_on(checked):
    """622/2 − (21 − 6.6) + 2.8: from the bead seat down to the innermost face, and up the seat."""
    assert checked(600).drawn_mm == pytest.approx(2 * (311 - 14.4 + 2.8))


@pytest.mark.parametrize(("off", "agree"), [(6.0, False), (-6.0, False), (1.5, True), (0.0, True)])
def test_one_that_is_6_mm_off_does_not_agree(checked, off, agree):
    assert checked(598.8 + off).agree is agree


def test_nipples_and_the_caliper_leave_the_drawn_one_open_and_rods_the_measured_one(checked):
    """JCGM 100, 5.1.2: depth, hook height and seat count twice; nipples ±2 mm (rectangle)."""
    once = math.sqrt(0.02**2 + 0.03**2 / 3 + 0.01**2 / 12)
    found = checked(600)
    drawn = 2 * math.sqrt(2**2 / 3 + 3 * (2 * once) ** 2)
    assert found.drawn_expanded_mm == pytest.approx(drawn, rel=1e-9)
    assert found.sheet_expanded_mm == pytest.approx(2 * RODS, rel=1e-9)


def test_a_hook_height_that_was_guessed_leaves_more_open(sheet_of, checked):
    guessed = diameter_difference(sheet_of(erd_mm=600))
    assert guessed.drawn_expanded_mm > 1.2 * checked(600).drawn_expanded_mm


def test_readings_around_the_rim_count(checked):
    assert checked(Readings((600.0, 600.2), 0.1)).sheet_expanded_mm < 2 * RODS


@pytest.mark.parametrize("family", DRAWN)
def test_every_family_can_be_checked(sheet_of, family):
    sheet = sheet_of(family)
    assert diameter_difference(sheet.varied(erd_mm=sheet.erd_mm)).agree
