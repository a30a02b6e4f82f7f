"""Blows against the falling weight of the textbooks, and rolls against theirs."""

from __future__ import annotations

from math import sqrt

import pytest

from rimfea.strike.blow import Blow
from rimfea.strike.energy import Springs, dropped_force
from rimfea.strike.rolling import Roller, Step, rolled_push
from rimfea.units import STANDARD_GRAVITY

IMPACT = "Gere and Timoshenko, Mechanics of Materials, problem 9.10-1"
# The book prints 4.33 for 5, a misprint of 1 + √11 = 4.317.
FACTORS = {0.0: 2.00, 2.5: 3.45, 5.0: 4.32, 7.5: 5.00, 10.0: 5.58}
KERB = "W R/(R − h), roller at a kerb, Meriam and Kraige, Statics; citation from memory"
HUMP = "mass on a spring over a parabola, Thomson, Theory of Vibration; citation from memory"


def factor(ratio):
    """Peak force by weight of a mass that falls so many static pushes deep on a spring."""
    stiffness, weight = 1500.0, 12.0 * STANDARD_GRAVITY
    drop = ratio * weight / stiffness
    spring = Springs(1.0, 0.0, stiffness)
    return float(dropped_force(Blow(12.0, weight).energy_J(drop), weight, spring)) / weight


@pytest.mark.parametrize("ratio", FACTORS)
def test_without_a_tyre_the_peak_is_that_of_a_falling_weight(verified, ratio):
    verified(f"impact factor, h/δ = {ratio:g}", FACTORS[ratio], factor(ratio), IMPACT, within=2e-3)


def test_a_high_drop_tends_to_the_root_of_twice_its_height(verified):
    source = "1 + √(1 + 2h/δ), Gere and Timoshenko, eq. 9-94"
    verified("impact factor, h/δ = 100", 15.177, factor(100.0), source, within=1e-4)


def test_the_energy_of_a_drop_is_mgh(verified):
    source = "m g h with standard gravity, 9.80665 m/s²"
    energy = Blow(10.4, 500.0).energy_J(392.0)
    verified("10.4 kg from 392 mm, J", 39.99, energy, source, within=5e-4)


@pytest.mark.long
@pytest.mark.parametrize("height", [20.0, 60.0])
def test_a_hard_wheel_that_creeps_over_a_kerb_presses_on_its_edge_as_in_statics(verified, height):
    """Edge and tyre count for half a per cent, what is left of the swing for another."""
    radius, weight, hard = 350.0, 500.0, Springs(300.0, 50.0, 1e6)
    over = Roller(2.0, weight, hard, hard)
    push = rolled_push(Step(height, 0.5, radius, 1.0), over, 0.02)
    force = float(hard.force_N(push)[0])
    published = weight * radius / (radius - height)
    verified(f"hard wheel on a kerb of {height:g} mm, N", published, force, KERB, within=2e-2)


def test_a_low_hump_swings_a_mass_on_a_spring_as_its_parabola_does(verified):
    """With A the radii's sum, the spring is pressed by s − x²/2A − (y − R): a force that grows by
    a parabola in time. From where it bears the weight the mass swings about (W − m v²/A)/k.
    """
    radius, edge, height, speed, mass, weight, k = 350.0, 60.0, 2.0, 4.0, 20.0, 500.0, 400.0
    both, lifted = radius + edge, weight / k
    swings_about = (weight - 1000 * mass * speed**2 / both) / k
    closing = 1000 * speed * sqrt(2 * both * (height - lifted)) / both  # mm/s
    published = swings_about + sqrt((lifted - swings_about) ** 2 + closing**2 * mass / (1000 * k))
    over = Roller(mass, weight, Springs(k, 50.0, 1e7), Springs(1e5, 50.0, 1e7))
    push = float(rolled_push(Step(height, edge, radius, 1.0), over, speed)[0])
    verified("push over a hump of 2 mm at 4 m/s, mm", published, push, HUMP, within=1e-2)
