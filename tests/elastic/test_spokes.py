"""Spokes: lacing, stiffness, tension, and what they do to the rim."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.elastic.spokes import Lacing, spokes
from rimfea.errors import LoadError

SEAT = 300.0
CARGO = Lacing(count=36, crossings=3, flange_mm=60.0, right_mm=30.0, left_mm=30.0)


def test_a_spoke_is_as_long_as_the_line_from_seat_to_hole():
    """L² = R² + r² − 2 R r cos(2πX/(N/2)) + b², the law of cosines with the flange's distance."""
    made = spokes(CARGO, SEAT)
    turn = 2 * np.pi * 3 / 18
    expected = np.sqrt(SEAT**2 + 30.0**2 - 2 * SEAT * 30.0 * np.cos(turn) + 30.0**2)
    np.testing.assert_allclose(made.length, expected)


def test_radial_spokes_point_at_the_axle():
    made = spokes(replace(CARGO, crossings=0), SEAT)
    np.testing.assert_allclose(made.direction[:, 2], 0, atol=1e-15)
    np.testing.assert_allclose(made.length, np.hypot(SEAT - 30.0, 30.0))


def test_spokes_end_in_the_flange_circle_of_their_own_side():
    """Every second spoke goes to the right; in space all holes lie on the two circles."""
    made = spokes(CARGO, SEAT)
    reach = made.direction * made.length[:, None]
    np.testing.assert_allclose(reach[0::2, 0], 30.0)
    np.testing.assert_allclose(reach[1::2, 0], -30.0)
    np.testing.assert_allclose(np.hypot(SEAT + reach[:, 1], reach[:, 2]), 30.0)


def test_leading_and_trailing_spokes_of_each_flange_turn_the_rim_by_nothing():
    made = spokes(CARGO, SEAT)
    for side in (made.direction[:, 0] > 0, made.direction[:, 0] < 0):
        around = made.tension[side] * made.direction[side, 2]
        assert around.sum() == pytest.approx(0, abs=1e-9)
        assert (around > 0).sum() == (around < 0).sum()


def test_a_butted_spoke_has_its_published_stiffness():
    """1.99 mm ends and 205 mm of 1.72 mm in 276 mm: E A = 521 kN (PhD thesis,
    Northwestern University 2018, appendix of wheel properties).
    """
    wheel = Lacing(
        count=36, crossings=0, end_mm=1.99, middle_mm=1.72, ends_mm=276.0 - 205.0,
        flange_mm=2 * (304.0 - np.sqrt(276.0**2 - 20.0**2)), right_mm=20.0, left_mm=20.0,
        youngs_MPa=210_000.0,
    )  # fmt: skip
    made = spokes(wheel, 304.0)
    np.testing.assert_allclose(made.length, 276.0)
    np.testing.assert_allclose(made.stiffness * made.length, 521e3, rtol=2e-3)


def test_a_plain_spoke_has_the_stiffness_of_its_wire():
    made = spokes(replace(CARGO, end_mm=2.0, middle_mm=2.0), SEAT)
    np.testing.assert_allclose(made.stiffness * made.length, 200e3 * np.pi)


def test_a_spoke_shorter_than_its_thick_ends_is_all_thick():
    made = spokes(replace(CARGO, ends_mm=5000.0), SEAT)
    np.testing.assert_allclose(made.stiffness * made.length, 200e3 * np.pi)


def test_the_flatter_side_of_a_dished_wheel_is_the_tighter_one():
    """Both sides pull alike along the axle, so T_left / T_right is the ratio of their slopes."""
    made = spokes(replace(CARGO, right_mm=18.0, left_mm=36.0, tension_N=1200.0), SEAT)
    right, left = made.direction[0::2, 0], made.direction[1::2, 0]
    np.testing.assert_allclose(made.tension[0::2], 1200.0)
    np.testing.assert_allclose(made.tension[1::2], 1200.0 * right / -left)
    assert (made.tension * made.direction[:, 0]).sum() == pytest.approx(0, abs=1e-9)


def test_the_smeared_foundation_is_the_published_one():
    """k_rr = n EA cos²α/(2πRl) and k_uu = n EA sin²α/(2πRl) per length, radial slack spokes
    (Buckling and collapse of the bicycle wheel, ICTAM 2016, eq. 1).
    """
    made = spokes(replace(CARGO, crossings=0, tension_N=1e-6), SEAT)
    length, cone = made.length[0], np.arctan2(30.0, SEAT - 30.0)
    each = 36 * made.stiffness[0] * length / (2 * np.pi * length)
    expected = np.diag([each * np.sin(cone) ** 2, each * np.cos(cone) ** 2, 0.0])
    np.testing.assert_allclose(made.smeared, expected, atol=1e-6 * each)


def test_dish_leaves_the_foundation_a_term_between_sideways_and_outward():
    even, dished = spokes(CARGO, SEAT), spokes(replace(CARGO, right_mm=18.0), SEAT)
    assert abs(even.smeared[0, 1]) < 1e-12 * even.smeared[1, 1]
    assert abs(dished.smeared[0, 1]) > 1e-3 * dished.smeared[1, 1]
    assert not dished.smeared[2, :2].any()


def test_a_tensors_pull_is_along_the_spoke_and_tension_resists_across_it():
    made = spokes(CARGO, SEAT)
    e, S = made.direction[5], made.tensors[5]
    np.testing.assert_allclose(S @ e, made.stiffness[5] * e)
    across = np.cross(e, [0.0, 0.0, 1.0])
    np.testing.assert_allclose(S @ across, made.tension[5] / made.length[5] * across, atol=1e-9)


def test_the_part_that_tension_makes_grows_with_tension_alone():
    once, twice = (spokes(replace(CARGO, tension_N=T), SEAT) for T in (500.0, 1000.0))
    of_one, of_two = (made.tensors - made.tensors_at(0.0) for made in (once, twice))
    np.testing.assert_allclose(of_two, 2 * of_one, atol=1e-9)
    gained = twice.tensors - once.tensors
    np.testing.assert_allclose(gained, of_one, atol=1e-9)
    np.testing.assert_allclose(once.tensors_at(2.0), twice.tensors, atol=1e-9)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"count": 35}, "even number"),
        ({"count": 1, "crossings": 0}, "even number, at least 4"),
        ({"count": 0, "crossings": 0}, "even number, at least 4"),
        ({"count": -36, "crossings": 0}, "even number, at least 4"),
        ({"count": 34}, "radially"),
        ({"crossings": 12}, "past the hub"),
        ({"crossings": 5}, "past the hub"),
        ({"crossings": -1}, "must be 0"),
        ({"tension_N": -900.0}, "tension = -900"),
        ({"tension_N": float("nan")}, "tension = nan"),
        ({"tension_N": float("inf")}, "tension = inf"),
        ({"end_mm": 0.0}, "spoke end = 0"),
        ({"middle_mm": float("nan")}, "spoke middle = nan"),
        ({"flange_mm": -60.0}, "flange circle = -60"),
        ({"youngs_MPa": 0.0}, "Young's modulus of the spokes = 0"),
        ({"right_mm": 0.0}, "either side"),
        ({"left_mm": -3.0}, "either side"),
        ({"left_mm": float("nan")}, "either side"),
        ({"right_mm": float("nan")}, "either side"),
        ({"ends_mm": -1.0}, "ends of the spoke = -1"),
        ({"ends_mm": float("nan")}, "ends of the spoke = nan"),
    ],
)
def test_a_lacing_that_cannot_be_built_says_why(wrong, words):
    with pytest.raises(LoadError, match=words):
        replace(CARGO, **wrong)


def test_every_fault_of_a_lacing_is_told_at_once():
    with pytest.raises(LoadError, match=r"even number.*tension.*either side"):
        Lacing(count=7, tension_N=0.0, left_mm=0.0)


@pytest.mark.parametrize("flange_mm", [600.0, 800.0])
def test_a_hub_as_large_as_the_rim_is_no_hub(flange_mm):
    with pytest.raises(LoadError, match="flange"):
        spokes(replace(CARGO, crossings=0, flange_mm=flange_mm), SEAT)


def test_seats_to_the_left_make_a_dished_wheel_more_even():
    """Tensions go as the flanges' distances from the seats: 18 + 3 and 36 - 3 mm."""
    dished = replace(CARGO, crossings=0, right_mm=18.0, left_mm=36.0)
    right, left = (
        spokes(dished, SEAT, -3.0).direction[:2, 0] * spokes(dished, SEAT, -3.0).length[:2]
    )
    assert (right, left) == pytest.approx((21.0, -33.0))
    ratio = [np.divide(*spokes(dished, SEAT, x).tension[1::-1]) for x in (0.0, -3.0)]
    assert ratio == pytest.approx([18 / 36, 21 / 33], rel=0.01)


def test_a_mirrored_offset_laces_the_mirrored_wheel():
    wheel = replace(CARGO, crossings=0, right_mm=18.0, left_mm=36.0)
    other = replace(wheel, right_mm=36.0, left_mm=18.0)
    one, mirror = spokes(wheel, SEAT, -3.0), spokes(other, SEAT, 3.0)
    turned = np.roll(mirror.direction, -1, axis=0) * np.array([-1.0, 1.0, 1.0])
    np.testing.assert_array_equal(turned, one.direction)
    np.testing.assert_array_equal(np.roll(mirror.tension, -1), one.tension)


def test_seats_beyond_a_flange_are_refused():
    with pytest.raises(LoadError, match="do not lie between the flanges"):
        spokes(CARGO, SEAT, 31.0)
