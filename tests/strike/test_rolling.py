"""A wheel that rolls over a step, against limits, closed forms and a motion of its own."""

from __future__ import annotations

from math import hypot, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimfea.errors import LoadError
from rimfea.strike.energy import Springs
from rimfea.strike.rolling import Roller, Step, rolled_push

RADIUS, MASS, WEIGHT = 356.0, 20.0, 520.0
EDGE, GROUND = Springs(45.0, 36.0, 2200.0), Springs(140.0, 36.0, 2200.0)
OVER = Roller(MASS, WEIGHT, EDGE, GROUND)
SAG = WEIGHT / GROUND.soft_N_mm
speeds = st.floats(0.3, 30)


def step(height_mm, edge_mm=60.0):
    return Step(height_mm, edge_mm, RADIUS, 560.0)


def push(height_mm, speed_m_s, over=OVER, edge_mm=60.0):
    return float(rolled_push(step(height_mm, edge_mm), over, speed_m_s)[0])


@pytest.mark.parametrize(("height", "speed"), [(30.0, 2.0), (50.0, 4.0), (60.0, 9.0), (60.0, 1.0)])
def test_the_push_is_that_of_a_motion_in_the_smallest_steps(height, speed):
    """In time instead of way, by Verlet's leapfrog, and with the laws of force written anew."""

    def pressed(push, tyre_N_mm):
        flat = 36.0 + tyre_N_mm * 36.0 / 2200.0
        soft = max(push, 0.0) / (1 / tyre_N_mm + 1 / 2200.0)
        return soft if push < flat else tyre_N_mm * 36.0 + 2200.0 * (push - flat)

    def overlap(x, y):
        return RADIUS + 60.0 - hypot(x, y - (height - 60.0))

    def faster(x, y):
        up = y - (height - 60.0)
        force = pressed(overlap(x, y), 45.0) * up / hypot(x, up) + pressed(RADIUS - y, 140.0)
        return 1000 * (force - WEIGHT) / MASS

    y = RADIUS - SAG
    x = -sqrt((RADIUS + 60.0) ** 2 - (y - (height - 60.0)) ** 2)
    steps, rise, most = 20000, 0.0, 0.0
    along, tick = -x / steps, -x / steps / (1000 * speed)
    for _ in range(steps):
        rise += faster(x, y) * tick / 2
        x, y = x + along, y + rise * tick
        rise += faster(x, y) * tick / 2
        most = max(most, overlap(x, y))
    assert push(height, speed) == pytest.approx(most, abs=0.02)


@settings(max_examples=30)
@given(st.floats(2, 90), speeds)
def test_no_speed_presses_deeper_than_the_step_and_the_sag(height, speed):
    assert push(height, speed) <= height + SAG + 1e-3


def test_at_a_speed_without_end_the_axle_stays_and_the_overlap_is_all_of_it():
    assert push(50.0, 1e4) == pytest.approx(50.0 + SAG, abs=1e-2)


def test_a_step_lower_than_what_the_tyre_gives_way_never_flattens_it():
    low = float(EDGE.flat_mm) - SAG - 0.1
    found = rolled_push(step(low), OVER, np.geomspace(0.3, 1e3, 40))
    assert found.max() < EDGE.flat_mm
    assert push(low + 0.5, 1e4) > EDGE.flat_mm


def test_a_wheel_that_creeps_bears_its_load_on_the_edge_alone():
    """Statics, once the ground is left: F h/d = W, with h = R − (s − r) and d = R + r − δ."""
    height, borne = 40.0, WEIGHT
    for _ in range(30):
        deep = borne / EDGE.soft_N_mm
        borne = WEIGHT * (RADIUS + 60.0 - deep) / (RADIUS + 60.0 - height)
    assert push(height, 0.02) == pytest.approx(borne / EDGE.soft_N_mm, rel=0.01)


@settings(max_examples=20)
@given(st.floats(20, 80), st.floats(2.5, 30), st.floats(1.05, 2.0))
def test_a_faster_roll_or_a_higher_step_presses_harder(height, speed, more):
    """From ten kilometres an hour; slower, the wheel has time to swing."""
    slow = push(height, speed)
    assert push(height, speed * more) > slow - 0.02
    assert push(min(height * more, 90.0), speed) > slow - 0.02


def test_a_mass_that_weighs_nothing_gives_way_and_one_without_end_does_not():
    light, heavy = (push(40.0, 4.0, Roller(mass, WEIGHT, EDGE, GROUND)) for mass in (0.5, 1e6))
    assert light < push(40.0, 4.0) < heavy == pytest.approx(40.0 + SAG, abs=1e-2)


def test_several_speeds_or_pressures_at_once_are_each_of_them_alone():
    found = rolled_push(step(50.0), OVER, np.array([2.0, 4.0, 8.0]))
    assert found == pytest.approx([push(50.0, speed) for speed in (2.0, 4.0, 8.0)], abs=0.02)
    airs = np.array([0.5, 1.0, 2.0])
    many = Roller(MASS, WEIGHT, Springs(45 * airs, 36.0, 2200.0), Springs(140 * airs, 36.0, 2200.0))
    alone = [
        Roller(MASS, WEIGHT, Springs(45 * air, 36.0, 2200.0), Springs(140 * air, 36.0, 2200.0))
        for air in airs
    ]
    assert rolled_push(step(50.0), many, 4.0) == pytest.approx(
        [push(50.0, 4.0, each) for each in alone], abs=0.02
    )


@pytest.mark.parametrize(
    ("height", "edge", "told"),
    [(0.0, 60.0, "height of the step"), (-3.0, 60.0, "height of the step"),
     (400.0, 60.0, "height of the step"), (30.0, 0.0, "edge"), (30.0, np.inf, "edge")],
)  # fmt: skip
def test_a_step_that_cannot_be_is_refused(height, edge, told):
    with pytest.raises(LoadError, match=told):
        step(height, edge)
