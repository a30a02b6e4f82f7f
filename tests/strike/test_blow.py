from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from rimfea.errors import LoadError
from rimfea.strike.blow import (
    Blow,
    drop_for,
    hook_force,
    peak_force,
    pressures_for,
    speeds_for,
)
from rimfea.strike.rolling import Step
from rimfea.strike.tyre import Cushion
from rimfea.units import STANDARD_GRAVITY

SOFT = Cushion(stiffness_per_MPa=180.0, pressure_MPa=0.25, travel_mm=35.0, most_MPa=0.45)
STIFF, LOAD = 2200.0, 500.0
HIGH = Step(60.0, 60.0, 356.0, 560.0)
ROLL = Blow(20.0, LOAD, speed_m_s=6.0, step=HIGH)
A_HUNDREDTH_BAR = 1e-3
drops, masses, forces = st.floats(0, 900), st.floats(2, 60), st.floats(0, 9000)


def at(pressure):
    return replace(SOFT, pressure_MPa=pressure)


def dropped(mass, drop, load=LOAD):
    return Blow(mass, load, drop)


def test_nothing_reaches_the_hook_before_the_tyre_is_flat():
    assert hook_force(dropped(20.0, 1.0), STIFF, SOFT) == 0
    assert hook_force(dropped(20.0, 300.0), STIFF, SOFT) > 0


@given(drops, masses, st.floats(1.01, 3.0))
def test_a_higher_drop_a_heavier_mass_or_a_greater_load_never_strikes_more_softly(drop, mass, more):
    force = hook_force(dropped(mass, drop), STIFF, SOFT)
    assert hook_force(dropped(mass, drop * more), STIFF, SOFT) >= force
    assert hook_force(dropped(mass * more, drop), STIFF, SOFT) >= force
    assert hook_force(dropped(mass, drop, LOAD * more), STIFF, SOFT) >= force


@given(masses, st.floats(0, 20000))
def test_the_drop_for_a_force_brings_it_unless_the_load_alone_does(mass, force):
    drop = drop_for(force, dropped(mass, 0.0), STIFF, SOFT)
    found = peak_force(dropped(mass, drop), STIFF, SOFT)
    if drop > 0:
        assert found == pytest.approx(force, rel=1e-6)
    else:
        assert found >= force * (1 - 1e-9)


@given(st.floats(0, 200), masses, forces)
def test_at_the_pressure_found_a_drop_brings_the_force_asked_for(drop, mass, hook):
    (pressure,) = pressures_for([hook], dropped(mass, drop), STIFF, SOFT)
    if pressure == inf:
        assert hook_force(dropped(mass, drop), STIFF, at(SOFT.most_MPa)) > hook
    elif pressure == 0:
        assert hook_force(dropped(mass, drop), STIFF, at(1e-4)) <= hook + 1e-6
    else:
        softer, harder = (
            peak_force(dropped(mass, drop), STIFF, at(near)) - at(near).force_N
            for near in (pressure - A_HUNDREDTH_BAR, pressure + A_HUNDREDTH_BAR)
        )
        assert harder <= hook <= softer


def test_the_harder_of_drop_and_roll_counts():
    rolled = peak_force(ROLL, STIFF, SOFT)
    as_hard = drop_for(rolled, ROLL, STIFF, SOFT)
    assert as_hard > 0
    assert peak_force(replace(ROLL, drop_mm=as_hard / 2), STIFF, SOFT) == rolled
    both = replace(ROLL, drop_mm=2 * as_hard)
    assert peak_force(both, STIFF, SOFT) == peak_force(replace(both, step=None), STIFF, SOFT)
    assert peak_force(both, STIFF, SOFT) > rolled


def test_at_the_speeds_found_the_roll_brings_the_forces_asked_for():
    hooks = [0.0, 900.0, 1300.0]
    speeds = speeds_for(hooks, ROLL, STIFF, SOFT)
    assert list(speeds) == sorted(speeds)
    for speed, hook in zip(speeds, hooks, strict=True):
        force = peak_force(replace(ROLL, speed_m_s=speed), STIFF, SOFT)
        assert force - SOFT.force_N == pytest.approx(hook, rel=0.02, abs=10.0)


def test_at_the_pressures_found_the_roll_brings_the_forces_asked_for():
    slow, hooks = replace(ROLL, speed_m_s=4.0), [0.0, 900.0, 1300.0]
    pressures = pressures_for(hooks, slow, STIFF, SOFT)
    assert list(pressures) == sorted(pressures, reverse=True)
    for pressure, hook in zip(pressures, hooks, strict=True):
        assert 0 < pressure < SOFT.most_MPa
        beyond = peak_force(slow, STIFF, at(pressure)) - at(pressure).force_N
        assert beyond == pytest.approx(hook, rel=0.02, abs=10.0)


def test_a_speed_that_does_not_exist_is_without_end_and_one_that_all_have_is_nought():
    low = replace(ROLL, step=replace(HIGH, height_mm=25.0))
    assert (speeds_for([0.0, 1300.0], low, STIFF, SOFT) == inf).all()
    assert (speeds_for([0.0], replace(ROLL, step=None), STIFF, SOFT) == inf).all()
    assert (speeds_for([0.0], replace(ROLL, weight_N=1500.0), STIFF, SOFT) == 0).all()


def test_what_no_tyre_takes_is_no_air_and_a_rim_that_needs_none_is_told_none():
    deep = dropped(20.0, 800.0)
    assert (pressures_for([0.0, 1300.0], deep, STIFF, SOFT) == inf).all()
    assert (pressures_for([1e6], deep, STIFF, SOFT) == 0).all()


def test_many_speeds_and_pressures_are_found_in_hundredths_of_a_second(monkeypatch):
    """How often the motion is solved, whatever the machine."""
    calls, solver = [], integrate.solve_ivp
    monkeypatch.setattr(integrate, "solve_ivp", lambda *a, **k: calls.append(1) or solver(*a, **k))
    speeds_for([0.0, 900.0, 1100.0, 1300.0], ROLL, STIFF, SOFT)
    pressures_for([0.0, 900.0, 1100.0, 1300.0], ROLL, STIFF, SOFT)
    assert len(calls) == 4


def test_a_blow_of_no_drop_and_no_speed_is_the_load_put_on_suddenly():
    assert peak_force(Blow(20.0, LOAD), STIFF, SOFT) == pytest.approx(2 * LOAD)
    assert peak_force(replace(ROLL, speed_m_s=0.0), STIFF, SOFT) == pytest.approx(2 * LOAD)


def test_the_energy_of_a_drop_is_that_of_the_rigid_mass():
    assert ROLL.energy_J(100.0) == pytest.approx(20.0 * STANDARD_GRAVITY * 0.1)


@pytest.mark.parametrize(
    ("mass", "load", "drop", "speed"),
    [(0.0, 1.0, 1.0, 0.0), (np.nan, 1.0, 1.0, 0.0), (5.0, 0.0, 1.0, 0.0), (5.0, 1.0, -1.0, 0.0),
     (5.0, 1.0, np.inf, 0.0), (5.0, 1.0, 1.0, -1.0), (5.0, 1.0, 1.0, np.nan)],
)  # fmt: skip
def test_a_blow_that_cannot_be_is_refused(mass, load, drop, speed):
    with pytest.raises(LoadError):
        Blow(mass, load, drop, speed)


@pytest.mark.parametrize("softness", [-0.1, -0.5, -5.0])
def test_a_rim_that_gives_way_meets_the_load_alone_as_it_rolls_too(softness):
    """As one that buckles before any strike does."""
    gives_way = softness * SOFT.stiffness_N_mm
    assert peak_force(ROLL, gives_way, SOFT) == LOAD
    assert speeds_for([100.0], ROLL, gives_way, SOFT) == [inf]
    flat = (LOAD - 100) / (SOFT.stiffness_per_MPa * SOFT.travel_mm)  # the tyre bears the rest
    assert pressures_for([100.0], ROLL, gives_way, SOFT) == pytest.approx([flat])


@pytest.mark.parametrize("share", [1e-6, 0.1, 0.99, 1.01, 2.0, 10.0, 1e4, 1e9])
def test_a_roll_has_an_answer_however_soft_or_stiff_the_rim_is(share):
    """Below 1 the axle sinks under its load to the middle of the edge, and rolls over nothing."""
    room_mm = HIGH.wheel_radius_mm - HIGH.height_mm + HIGH.edge_mm
    found = peak_force(ROLL, share * LOAD / room_mm, SOFT)
    assert np.isfinite(found)
    assert (found == LOAD) == (share < 1)
