from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from rimfea.errors import LoadError
from rimfea.strike.tyre import Tyre, contact_mm, cushion, flat_ground, kerb, rock

TYRE = Tyre(width_mm=45.0, height_mm=44.0, casing_mm=1.5, pressure_MPa=0.25)
SEAT, HOOK = 311.0, 6.0
some = st.floats(0.5, 2.0)


def on_rim(tyre=TYRE, obstacle=None):
    return cushion(tyre, obstacle or rock(60.0), SEAT, HOOK)


def test_the_travel_ends_where_two_layers_of_casing_lie_on_the_hook():
    assert on_rim().travel_mm == pytest.approx(44 - 6 - 3)


@pytest.mark.parametrize("obstacle", [flat_ground(), kerb(15.0), rock(60.0)])
def test_the_stiffness_is_pressure_times_the_growth_of_the_overlap(obstacle):
    """The volume of two round bodies that overlap, cut into slices along the wheel."""
    R = 1 / (1 / (SEAT + TYRE.height_mm) + 1 / obstacle.along_mm)
    rho = 1 / (2 / TYRE.width_mm + 1 / obstacle.across_mm)

    def footprint(push):
        half = np.sqrt(2 * R * push)
        return quad(lambda z: 2 * np.sqrt(2 * rho * max(push - z * z / 2 / R, 0)), -half, half)[0]

    for push in (2.0, 11.0):
        force = TYRE.pressure_MPa * footprint(push)
        assert on_rim(obstacle=obstacle).stiffness_N_mm * push == pytest.approx(force, rel=1e-6)


def test_twice_the_pressure_is_twice_the_force_and_twice_the_energy():
    hard = on_rim(replace(TYRE, pressure_MPa=0.5))
    assert hard.force_N == pytest.approx(2 * on_rim().force_N)
    assert hard.energy_J == pytest.approx(2 * on_rim().energy_J)


@given(some)
def test_all_lengths_scaled_scale_force_as_area_and_energy_as_volume(scale):
    big = replace(TYRE, width_mm=45 * scale, height_mm=44 * scale, casing_mm=1.5 * scale)
    soft = cushion(big, rock(60.0 * scale), SEAT * scale, HOOK * scale)
    assert soft.force_N == pytest.approx(on_rim().force_N * scale**2)
    assert soft.energy_J == pytest.approx(on_rim().energy_J * scale**3)


@given(st.floats(5, 500), st.floats(1.01, 3.0))
def test_a_rounder_obstacle_is_stopped_sooner(radius, more):
    assert on_rim(obstacle=rock(radius * more)).force_N > on_rim(obstacle=rock(radius)).force_N


def test_flat_ground_is_the_limit_of_a_very_round_kerb():
    flat = on_rim(obstacle=flat_ground()).stiffness_N_mm
    assert on_rim(obstacle=kerb(1e9)).stiffness_N_mm == pytest.approx(flat, rel=1e-6)


def test_the_pressure_left_out_rises_by_a_few_per_cent():
    assert 0.01 < on_rim().pressure_rise < 0.15


def test_a_tyre_that_does_not_stand_above_the_hooks_is_refused():
    with pytest.raises(LoadError, match="does not stand above hooks 6 mm high"):
        on_rim(replace(TYRE, height_mm=8.0))


@pytest.mark.parametrize("key", ["width_mm", "height_mm", "casing_mm", "pressure_MPa"])
@pytest.mark.parametrize("value", [0.0, -1.0, np.nan, np.inf])
def test_a_tyre_has_positive_finite_numbers(key, value):
    with pytest.raises(LoadError, match="must be more than 0"):
        replace(TYRE, **{key: value})


def test_an_obstacle_without_a_radius_is_refused():
    with pytest.raises(LoadError, match="radius of the kerb"):
        kerb(0.0)


def test_a_tyre_pressed_flat_on_the_ground_has_the_footprint_of_that_force():
    flat = on_rim(obstacle=flat_ground())
    assert contact_mm(flat.force_N, TYRE, SEAT) == pytest.approx(flat.contact_mm)
    assert contact_mm(1e6, TYRE, SEAT) == pytest.approx(2 * np.sqrt(2 * (SEAT + 44) * 44))
