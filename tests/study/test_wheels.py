"""What the built wheels of the invented rims do: finite, sensible, and warned of in words."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rimfea.elastic.loads import WheelLoad
from rimfea.study.analysis import analyse
from rimfea.study.cases import Loading
from rimfea.study.seat import highest_tension, seat
from rimfea.study.window import Limit
from rimfea.words.analyse import wheel_words
from rimfea.words.numbers import Units
from tests.often import few

NAMES = ("curlew", "grouse", "lapwing", "ouzel", "plover", "wheatear")
RIDER = WheelLoad(600.0, 80.0)
EACH = few(NAMES)


@pytest.mark.parametrize("name", EACH)
def test_the_answers_of_a_built_wheel_are_finite_and_of_a_size_that_wheels_have(demo, name):
    wheel = demo[name].wheel
    assert 1500 < wheel.radial_N_mm < 30_000
    assert 30 < wheel.lateral_N_mm < 1500
    assert wheel.lateral_N_mm < wheel.radial_N_mm / 5
    assert 1e3 < wheel.torsional_N_m_rad < 1e6
    assert 0 < wheel.inflation_loss < 0.3
    assert math.isfinite(wheel.buckling_tension_N)
    assert wheel.buckling_tension_N > demo[name].sheet.spoke_tension_N
    assert 2 <= wheel.buckling_waves <= 8


@pytest.mark.parametrize("name", EACH)
def test_under_the_rider_the_spokes_below_the_hub_lose_what_carries_the_load(demo, name):
    rim = demo[name]
    change = rim.wheel.tension_change_N
    assert len(change) == rim.sheet.spoke_count
    assert np.argmin(change) == 0
    assert -0.7 < change.min() / rim.loading.wheel_N < -0.15
    upper = change[np.abs(np.arange(len(change)) - len(change) // 2) < len(change) // 6]
    assert np.abs(upper).max() < 0.1 * rim.loading.wheel_N
    bearing = rim.sheet.spoke_tension_N / -change.min() * rim.loading.wheel_N
    assert 0.8 * bearing < rim.wheel.slack_load_N <= 1.001 * bearing


@pytest.mark.parametrize("name", EACH)
def test_the_nipple_presses_the_face_it_bears_on_together(demo, name):
    """Around the rim and across it, whichever way the cuts run."""
    found = seat(demo[name], RIDER)
    assert max(found.bending_MPa) < 0
    assert found.membrane_MPa[0] < 0  # spokes and air shorten the hoop
    assert found.mean_MPa > 0


@pytest.mark.parametrize("name", EACH)
def test_the_seat_bears_about_what_is_usual(demo, name):
    """Limits of the trade lie around 1000 to 1300 N; a cargo rim with washers bears more."""
    bound = highest_tension(demo[name], 1.25)
    assert 950 < bound.tension_N < (2700 if name == "grouse" else 1550)
    assert bound.limit is Limit.SEAT_FOLDS


@pytest.mark.long
def test_a_stiffer_rim_spreads_the_rider_over_more_spokes(demo):
    """Grouse has the stiffest ring of all, wheatear the softest."""
    lowest = {name: demo[name].wheel.tension_change_N.min() for name in NAMES}
    assert lowest["wheatear"] < lowest["lapwing"]


@pytest.mark.long
def test_a_rim_near_its_buckling_tension_is_warned_of(demo):
    rim = demo["wheatear"]
    for tension, warned in ((400.0, False), (1000.0, True)):
        again = analyse(rim.sheet, loading=Loading(tension_N=tension), coarseness=1.6)
        told = " ".join(wheel_words(again, Units()))
        assert ("WARNING: the rim buckles sideways at" in told) == warned


@pytest.mark.long
def test_spokes_too_loose_for_the_rider_are_warned_of(demo):
    rim = demo["wheatear"]
    for wheel, warned in ((200.0, False), (900.0, True)):
        loading = Loading(tension_N=200, wheel_N=wheel)
        told = " ".join(wheel_words(analyse(rim.sheet, loading=loading, coarseness=2), Units()))
        assert ("WARNING: a spoke goes slack under the wheel load" in told) == warned
