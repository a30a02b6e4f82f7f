"""Blows against the falling weight of the textbooks."""

from __future__ import annotations

import pytest

from rimfea.strike.energy import Blow, peak_force
from rimfea.units import STANDARD_GRAVITY

IMPACT = "Gere and Timoshenko, Mechanics of Materials, problem 9.10-1"
# The book prints 4.33 for 5, a misprint of 1 + √11 = 4.317.
FACTORS = {0.0: 2.00, 2.5: 3.45, 5.0: 4.32, 7.5: 5.00, 10.0: 5.58}


@pytest.mark.parametrize("ratio", FACTORS)
def test_without_a_tyre_the_peak_is_that_of_a_falling_weight(verified, ratio):
    stiffness, mass = 1500.0, 12.0
    weight = mass * STANDARD_GRAVITY
    blow = Blow(mass, ratio * weight / stiffness)
    factor = peak_force(blow, stiffness) / weight
    verified(f"impact factor, h/δ = {ratio:g}", FACTORS[ratio], factor, IMPACT, within=2e-3)


def test_a_high_drop_tends_to_the_root_of_twice_its_height(verified):
    stiffness, mass = 1500.0, 12.0
    weight = mass * STANDARD_GRAVITY
    factor = peak_force(Blow(mass, 100 * weight / stiffness), stiffness) / weight
    source = "1 + √(1 + 2h/δ), Gere and Timoshenko, eq. 9-94"
    verified("impact factor, h/δ = 100", 15.177, factor, source, within=1e-4)


def test_the_energy_of_a_drop_is_mgh(verified):
    source = "m g h with standard gravity, 9.80665 m/s²"
    verified("10.4 kg from 392 mm, J", 39.99, Blow(10.4, 392.0).energy_J, source, within=5e-4)
