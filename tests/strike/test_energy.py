from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from rimfea.strike.energy import Springs, dropped_force, energy_for, energy_to_push
from rimfea.units import STANDARD_GRAVITY

SOFT = Springs(tyre_N_mm=45.0, travel_mm=35.0, rim_N_mm=2200.0)
forces, pushes = st.floats(1, 9000), st.floats(0, 45)


@given(pushes)
def test_push_and_force_lead_back_to_each_other(push):
    assert SOFT.push_mm(SOFT.force_N(push)) == pytest.approx(push, abs=1e-9)


@given(pushes)
def test_the_energy_is_the_work_of_the_force(push):
    work = quad(SOFT.force_N, 0, push, points=[min(push, float(SOFT.flat_mm))])[0]
    assert 1000 * SOFT.energy_J(SOFT.force_N(push)) == pytest.approx(work, abs=1e-6)


def test_from_flat_on_the_rim_alone_gives_way():
    flat = SOFT.flat_mm
    assert SOFT.force_N(flat) == pytest.approx(SOFT.flat_N)
    assert SOFT.force_N(flat + 0.5) - SOFT.force_N(flat) == pytest.approx(1100.0)
    assert SOFT.force_N(-3.0) == 0


@pytest.mark.parametrize("weight", [196.133, 550.0])
@pytest.mark.parametrize("drop", [5.0, 60.0, 300.0])
def test_the_peak_is_that_of_a_mass_let_fall_on_the_two_springs_under_its_load(drop, weight):
    """The motion itself, step by step, until the mass turns: no balance of energy in it."""
    mass = 20.0

    def motion(_, state):
        push, speed = state
        return [speed, 1000 * (weight - float(SOFT.force_N(push))) / mass]

    def turned(_, state):
        return state[1]

    turned.terminal, turned.direction = True, -1
    start = [0.0, np.sqrt(2 * 1000 * STANDARD_GRAVITY * drop)]
    path = solve_ivp(motion, (0, 1), start, events=turned, rtol=1e-8, atol=1e-8, max_step=3e-4)
    energy = mass * STANDARD_GRAVITY * drop / 1000
    assert dropped_force(energy, weight, SOFT) == pytest.approx(
        float(SOFT.force_N(path.y[0, -1])), rel=1e-3
    )


@given(st.floats(20, 900), forces)
def test_the_energy_for_a_force_brings_that_force(weight, force):
    energy = float(energy_for(force, weight, SOFT))
    if energy < 0:
        assert dropped_force(0.0, weight, SOFT) > force
    else:
        assert dropped_force(energy, weight, SOFT) == pytest.approx(force, rel=1e-6)


def test_a_load_put_on_suddenly_presses_twice():
    assert dropped_force(0.0, 300.0, SOFT) == pytest.approx(600.0)


def test_the_force_grows_smoothly_where_the_tyre_becomes_flat():
    there = float(energy_for(SOFT.flat_N, 200.0, SOFT))
    before, after = (dropped_force(there + by, 200.0, SOFT) for by in (-1e-7, 1e-7))
    assert before == pytest.approx(after, rel=1e-3)


def test_several_pressures_at_once_are_each_of_them_alone():
    stiff = np.array([20.0, 45.0, 90.0])
    alone = [float(dropped_force(30.0, 400.0, Springs(each, 35.0, 2200.0))) for each in stiff]
    assert dropped_force(30.0, 400.0, Springs(stiff, 35.0, 2200.0)) == pytest.approx(alone)


@given(forces)
def test_a_rim_that_springs_back_takes_the_same_energy_either_way(hook):
    beyond, work = hook / SOFT.rim_N_mm, hook**2 / (2 * SOFT.rim_N_mm) / 1000
    ours = energy_to_push(beyond, work, 400.0, SOFT)
    assert ours == pytest.approx(float(energy_for(SOFT.flat_N + hook, 400.0, SOFT)), abs=1e-9)


def test_a_rim_that_gives_way_as_it_buckles_meets_the_load_alone():
    gives_way = Springs(SOFT.tyre_N_mm, SOFT.travel_mm, -0.5 * SOFT.tyre_N_mm)
    assert dropped_force(100.0, 300.0, gives_way) == pytest.approx(300.0)
