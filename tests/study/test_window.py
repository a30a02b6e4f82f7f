from __future__ import annotations

from dataclasses import replace

import pytest

from rimfea.elastic.wheel import least_tension
from rimfea.study.analysis import analyse
from rimfea.study.cases import Loading
from rimfea.study.window import Bound, Limit, window

SEAT = Bound(1400.0, Limit.SEAT_FOLDS, 1.25)
COARSE = 1.6


def made(built, **changes):
    usual = {
        "target_N": 1000.0,
        "jolt_factor": 2.0,
        "seat_diameter_mm": 622.0,
        "makers_limit_N": None,
    }
    return window(built, SEAT, **{**usual, **changes})


@pytest.mark.long
def test_at_the_least_tension_a_spoke_is_just_slack(sheet_of):
    """The wheel is built anew at the tension found, and goes slack at the load asked for."""
    load = Loading(wheel_N=900.0)
    built = analyse(sheet_of(), loading=load, coarseness=COARSE).wheel
    least = least_tension(built, 2.0)
    loose = analyse(sheet_of(), loading=replace(load, tension_N=least), coarseness=COARSE).wheel
    print(f"least tension {least:.0f} N: slack at {loose.slack_load_N:.0f} of 1800 N")
    assert loose.slack_load_N == pytest.approx(1800.0, rel=0.02)


@pytest.mark.long
def test_the_least_tension_of_a_dished_wheel_is_that_of_its_looser_side(demo):
    wheel = demo["curlew"].wheel
    half = wheel.tension_N.copy()
    half[1::2] /= 2
    dished = replace(wheel, tension_N=half)
    assert least_tension(dished) == pytest.approx(2 * least_tension(wheel), rel=0.01)


def test_a_larger_jolt_needs_more_tension(demo):
    wheel = demo["curlew"].wheel
    lowest = [made(wheel, jolt_factor=jolt).lower[0].tension_N for jolt in (1.0, 2.0, 4.0)]
    assert lowest == sorted(lowest)
    assert lowest[0] < lowest[2]


def test_the_makers_limit_has_the_last_word(demo):
    wheel = demo["curlew"].wheel
    assert made(wheel).highest == SEAT
    assert made(wheel, makers_limit_N=900.0).highest == Bound(900.0, Limit.MAKER, 900.0)
    assert made(wheel, makers_limit_N=5000.0).highest == SEAT


def test_a_target_outside_does_not_fit(demo):
    wheel = demo["curlew"].wheel
    assert made(wheel).fits
    assert not made(wheel, target_N=1500.0).fits
    shut = made(wheel, makers_limit_N=100.0)
    assert not shut.is_open
    assert not shut.fits


@pytest.mark.long
def test_the_published_mean_is_lower_for_small_wheels(demo):
    wheel = demo["grouse"].wheel
    means = [made(wheel, seat_diameter_mm=size).lower[1].tension_N for size in (622.0, 406.0)]
    assert means == pytest.approx([400.0, 300.0])


def test_half_of_the_buckling_tension_is_a_bound(demo):
    wheel = replace(demo["curlew"].wheel, buckling_tension_N=1600.0)
    assert made(wheel).highest.tension_N == 800.0


def test_the_shares_of_both_sides_are_those_of_the_built_wheel(demo):
    wheel = demo["curlew"].wheel
    half = wheel.tension_N.copy()
    half[1::2] /= 2
    dished = made(replace(wheel, tension_N=half), target_N=900.0)
    assert (dished.right_N, dished.left_N) == (900.0, pytest.approx(450.0, rel=1e-6))
    assert made(wheel).sides == pytest.approx((1.0, 1.0))
