from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from rimfea.errors import LoadError
from rimfea.strike.energy import (
    Blow,
    energy_for,
    hook_force,
    peak_force,
    pressure_for,
    step_drop,
    step_speed,
)
from rimfea.strike.tyre import Cushion
from rimfea.units import STANDARD_GRAVITY

SOFT = Cushion(stiffness_per_MPa=180.0, pressure_MPa=0.25, travel_mm=35.0)
STIFF = 2200.0
drops, masses, forces = st.floats(0, 900), st.floats(2, 60), st.floats(0, 9000)


@pytest.mark.parametrize("drop", [5.0, 60.0, 300.0])
def test_the_peak_is_that_of_a_mass_let_fall_on_the_two_springs(drop):
    """The motion itself, step by step, until the mass turns: no balance of energy in it."""
    blow = Blow(20.0, drop)

    def force(push):
        elastic = push / (1 / SOFT.stiffness_N_mm + 1 / STIFF)
        flat = SOFT.force_N
        return elastic if elastic <= flat else STIFF * (push - SOFT.travel_mm)

    def motion(_, state):
        push, speed = state
        return [speed, 1000 * (blow.weight_N - force(push)) / blow.mass_kg]

    def turned(_, state):
        return state[1]

    turned.terminal, turned.direction = True, -1
    start = [0.0, np.sqrt(2 * 1000 * STANDARD_GRAVITY * drop)]
    path = solve_ivp(motion, (0, 1), start, events=turned, rtol=1e-10, atol=1e-9, max_step=1e-4)
    assert peak_force(blow, STIFF, SOFT) == pytest.approx(force(path.y[0, -1]), rel=1e-4)


@given(masses, forces)
def test_the_energy_for_a_force_brings_that_force(mass, hook):
    weight = mass * STANDARD_GRAVITY
    energy = energy_for(hook, weight, STIFF, SOFT)
    if energy < 0:
        assert hook_force(Blow(mass, 0.0), STIFF, SOFT) > hook
    else:
        blow = Blow(mass, 1000 * energy / weight)
        assert hook_force(blow, STIFF, SOFT) == pytest.approx(hook, rel=1e-6, abs=1e-2)


@given(drops, masses, forces)
def test_at_the_pressure_found_the_blow_brings_the_force_asked_for(drop, mass, hook):
    blow = Blow(mass, drop)
    pressure = pressure_for(hook, blow, STIFF, SOFT)
    held = Cushion(SOFT.stiffness_per_MPa, max(pressure, 1e-9), SOFT.travel_mm)
    if pressure > 1e-6:
        assert hook_force(blow, STIFF, held) == pytest.approx(hook, rel=1e-6, abs=1e-2)
    else:
        assert hook_force(blow, STIFF, held) <= hook + 1e-2


@given(drops, masses, st.floats(1.01, 3.0))
def test_a_higher_drop_or_a_heavier_mass_never_strikes_more_softly(drop, mass, more):
    force = hook_force(Blow(mass, drop), STIFF, SOFT)
    assert hook_force(Blow(mass, drop * more), STIFF, SOFT) >= force
    assert hook_force(Blow(mass * more, drop), STIFF, SOFT) >= force


def test_nothing_reaches_the_hook_before_the_tyre_is_flat():
    assert hook_force(Blow(20.0, 20.0), STIFF, SOFT) == 0
    assert hook_force(Blow(20.0, 300.0), STIFF, SOFT) > 0


def test_the_force_grows_smoothly_where_the_tyre_becomes_flat():
    weight = 20 * STANDARD_GRAVITY
    there = 1000 * energy_for(0.0, weight, STIFF, SOFT) / weight
    before, after = (peak_force(Blow(20.0, there + by), STIFF, SOFT) for by in (-1e-6, 1e-6))
    assert before == pytest.approx(after, rel=1e-2)


@given(st.floats(0.5, 15), st.floats(2, 150), st.floats(200, 380))
def test_speed_against_a_step_and_drop_lead_back_to_each_other(speed, step, radius):
    assert step_speed(step_drop(speed, step, radius), step, radius) == pytest.approx(speed)


def test_a_step_as_high_as_the_axle_stops_all_of_the_speed():
    assert step_drop(3.0, 350.0, 350.0) == pytest.approx(1000 * 9.0 / (2 * STANDARD_GRAVITY))


def test_the_edge_stops_the_speed_along_the_line_to_the_axle():
    speed, step, radius = 4.0, 30.0, 350.0
    along = np.array([np.sqrt(radius**2 - (radius - step) ** 2), step - radius]) / radius
    stopped = speed * along[0]
    assert step_drop(speed, step, radius) == pytest.approx(1000 * stopped**2 / 2 / 9.80665)


@pytest.mark.parametrize("step", [0.0, -3.0, 400.0])
def test_a_step_that_cannot_be_is_refused(step):
    with pytest.raises(LoadError, match="height of the step"):
        step_drop(3.0, step, 350.0)


@pytest.mark.parametrize(("mass", "drop"), [(0.0, 1.0), (np.nan, 1.0), (5.0, -1.0), (5.0, np.inf)])
def test_a_blow_that_cannot_be_is_refused(mass, drop):
    with pytest.raises(LoadError):
        Blow(mass, drop)
