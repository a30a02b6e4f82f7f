"""What a little more metal buys and costs."""

from __future__ import annotations

import math

import pytest

from rimfea.profile.walls import Family, Wall
from rimfea.study.analysis import analyse, inspect
from rimfea.study.cases import Loading
from rimfea.vary.thicker import thicker


@pytest.fixture(scope="module", params=Family)
def rim(request, sheet_of):
    return analyse(sheet_of(request.param), coarseness=1.2)


@pytest.mark.parametrize("wall", [Wall.SIDEWALL, Wall.NIPPLE_SEAT])
def test_thickening_a_wall_costs_mass_and_leaves_the_rest_of_the_sheet(rim, wall):
    found = thicker(rim, wall)
    assert found is not None
    assert (found.wall, found.step_mm) == (wall, 0.1)
    assert 0 < found.mass_g < 60
    assert 0.85 < found.strength < 1.4
    assert found.governing in rim.sheet.walls


def test_a_thicker_sidewall_bears_a_harder_strike(rim):
    found = thicker(rim, Wall.SIDEWALL, step_mm=0.3)
    assert found is not None
    assert found.strength > 1.01


def test_the_mass_is_that_of_the_thicker_sheet(whimbrel):
    found = thicker(whimbrel, Wall.SIDEWALL, step_mm=0.2)
    varied = whimbrel.sheet.varied(sidewall_mm=1.7)
    expected = inspect(varied, coarseness=1.6).hoop.mass_g - whimbrel.hoop.mass_g
    assert found.mass_g == pytest.approx(expected, rel=0.01)


def test_a_wall_that_cannot_grow_gives_no_answer(sheet_of):
    tight = analyse(sheet_of(tyre_well_depth_mm=9.6), coarseness=2)
    assert thicker(tight, Wall.TYRE_WELL, step_mm=0.5) is None


def test_where_tension_alone_is_too_much_a_gain_has_no_number(sheet_of):
    hard = analyse(sheet_of(), loading=Loading(tension_N=2400), coarseness=2)
    found = thicker(hard, Wall.SIDEWALL)
    assert found is not None
    assert math.isnan(found.strength)
