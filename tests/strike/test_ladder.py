from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimfea.strike.blow import Blow, drop_for
from rimfea.strike.ladder import Event, ladder
from rimfea.strike.rolling import Step
from rimfea.strike.tyre import Cushion
from rimfea.units import STANDARD_GRAVITY

SOFT = Cushion(stiffness_per_MPa=180.0, pressure_MPa=0.25, travel_mm=35.0)


STEP = Step(60.0, 60.0, 356.0, 560.0)


def built(events, stiffness=2200.0, cushion=SOFT, weight=400.0):
    blow = Blow(15.0, weight, speed_m_s=4.0, step=STEP)
    return ladder(events, cushion, stiffness, blow)


def test_rungs_stand_in_the_order_in_which_they_are_reached():
    rungs = built(
        [(Event.SET, "flank", 2300.0), (Event.FLAT, "", 0.0), (Event.YIELD, "bead hook", 1300.0)]
    ).rungs
    assert [rung.event for rung in rungs] == [Event.FLAT, Event.YIELD, Event.SET]
    assert sorted(rung.drop_mm for rung in rungs) == [rung.drop_mm for rung in rungs]


def test_what_no_force_brings_is_no_rung():
    assert len(built([(Event.FLAT, "", 0.0), (Event.CASING, "", float("inf"))]).rungs) == 1


def test_a_weight_that_does_it_alone_has_a_drop_of_nothing():
    heavy = built([(Event.FLAT, "", 0.0)], weight=5000.0)
    rung = heavy.rungs[0]
    assert (rung.drop_mm, rung.energy_J, heavy.speed_m_s) == (0.0, 0.0, (0.0,))


def test_speeds_rise_and_pressures_fall_along_the_ladder():
    many = built([(Event.YIELD, "bead hook", 1300.0), (Event.FLAT, "", 0.0)])
    assert many.speed_m_s[0] < many.speed_m_s[1] < inf
    assert inf > many.pressure_MPa[0] > many.pressure_MPa[1] > 0


@given(st.floats(100, 5000), st.floats(1.01, 2.0))
def test_a_hook_that_bears_more_stands_on_a_higher_rung(force, more):
    low, high = built([(Event.YIELD, "bead hook", force), (Event.SET, "flank", force * more)]).rungs
    assert high.energy_J > low.energy_J


@given(st.floats(1.01, 3.0))
def test_more_air_raises_every_rung(more):
    events = [(Event.FLAT, "", 0.0), (Event.YIELD, "bead hook", 1300.0)]
    hard = Cushion(SOFT.stiffness_per_MPa, SOFT.pressure_MPa * more, SOFT.travel_mm)
    pairs = zip(built(events).rungs, built(events, cushion=hard).rungs, strict=True)
    assert all(harder.energy_J > soft.energy_J for soft, harder in pairs)


def test_drop_energy_and_weight_belong_together():
    rung = built([(Event.YIELD, "bead hook", 1300.0)]).rungs[0]
    assert rung.energy_J * 1000 == pytest.approx(15 * STANDARD_GRAVITY * rung.drop_mm)


@settings(max_examples=25)
@given(st.floats(100, 5000))
def test_a_rung_at_a_known_drop_has_the_force_that_is_as_hard_on_a_spring(force):
    """Speed and air are then those of a rim that springs back under as hard a blow."""
    springy = built([(Event.YIELD, "bead hook", force)])
    drop = drop_for(SOFT.force_N + force, springy.blow, 2200.0, SOFT)
    folded = springy.at_drop(Event.DENT, force / 2, drop, set_mm=0.5)
    assert folded.spring_N == pytest.approx(force)
    assert (folded.hook_N, folded.drop_mm, folded.set_mm) == (force / 2, drop, 0.5)
    assert folded.energy_J == pytest.approx(springy.rungs[0].energy_J)
    other = springy.with_rungs([folded])
    assert other.speed_m_s == pytest.approx(springy.speed_m_s, rel=1e-6)
    assert other.pressure_MPa == pytest.approx(springy.pressure_MPa, rel=1e-6)


def test_other_rungs_stand_in_the_order_of_their_drops_and_none_where_no_drop_brings_it():
    one = built([(Event.FLAT, "", 0.0), (Event.YIELD, "bead hook", 1300.0)])
    low, high = (one.at_drop(Event.DENT, 900.0, drop) for drop in (200.0, 300.0))
    never = replace(high, drop_mm=inf)
    assert one.with_rungs([high, never, low]).rungs == (low, high)
