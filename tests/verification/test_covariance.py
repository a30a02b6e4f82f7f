"""Correlated doubts and readings that bind several numbers together, against worked examples."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.vary.doubt import Doubt, Origin, Source

GUM = "JCGM 100:2008"
MEMORY = "(citation from memory)"
RESISTORS = f"{GUM}, 5.2.2, ten resistors {MEMORY}"
IMPEDANCE = f"{GUM}, H.2, resistance and reactance {MEMORY}"
TRIANGLE = "least squares adjustment of the angles of a triangle, closed form"
MEAN = "weighted mean of two readings, closed form"

# H.2: five sets of simultaneous readings of V (V), I (mA) and φ (rad).
V = [5.007, 4.994, 5.005, 4.990, 4.999]
CURRENT = [19.663, 19.639, 19.640, 19.685, 19.678]
PHASE = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]


def readings(count):
    return tuple(Source(Origin.READING, str(k), "own") for k in range(count))


def test_ten_resistors_read_against_one_standard_are_off_together(verified):
    """Each 1000 Ω to 100 mΩ, all by the same standard: in series 1 Ω, not 0.32 Ω."""
    standard = Source(Origin.INSTRUMENT, "the standard resistor")
    shared = Doubt((standard,), np.full((1, 10), 0.1)).through(np.ones((10, 1)))
    apart = Doubt(readings(10), 0.1 * np.eye(10)).through(np.ones((10, 1)))
    verified("ten resistors: one standard, Ω", 1.0, shared.standard[0], RESISTORS, within=1e-12)
    verified(
        "ten resistors: wrongly as squares, Ω", 0.32, apart.standard[0], RESISTORS, within=0.02
    )


def test_two_resistors_of_one_standard_do_not_differ_by_its_error():
    standard = Source(Origin.INSTRUMENT, "the standard resistor")
    one, other = (
        Doubt((standard, Source(Origin.READING, "own", name)), np.array([[0.1], [0.02]]))
        for name in ("first", "second")
    )
    assert one.minus(other).standard[0] == pytest.approx(0.02 * np.sqrt(2))


@pytest.fixture(scope="module")
def impedance():
    """R = V/I cos φ, X = V/I sin φ, Z = V/I, and their doubt: each set of readings is a source."""
    sets = np.array([V, np.array(CURRENT) * 1e-3, PHASE]).T
    v, i, phi = sets.mean(axis=0)
    errors = (sets - sets.mean(axis=0)) / np.sqrt(len(V) * (len(V) - 1))
    z, c, s = v / i, np.cos(phi), np.sin(phi)
    slope = np.array([[c / i, s / i, 1 / i], [-z * c / i, -z * s / i, -z / i], [-z * s, z * c, 0]])
    known = Doubt(readings(len(V)), errors)
    return (z * c, z * s, z), known, known.through(slope)


@pytest.mark.parametrize(
    ("what", "place", "value", "standard"),
    [("R", 0, 127.732, 0.071), ("X", 1, 219.847, 0.295), ("Z", 2, 254.260, 0.236)],
)
def test_an_impedance_comes_out(verified, impedance, what, place, value, standard):
    numbers, _, doubt = impedance
    verified(f"impedance: {what}, Ω", value, numbers[place], IMPEDANCE, within=1e-5)
    verified(f"impedance: u({what}), Ω", standard, doubt.standard[place], IMPEDANCE, within=8e-3)


@pytest.mark.parametrize(
    ("what", "which", "pair", "published"),
    [
        ("V, I", 1, (0, 1), -0.36),
        ("V, φ", 1, (0, 2), 0.86),
        ("I, φ", 1, (1, 2), -0.65),
        ("R, X", 2, (0, 1), -0.588),
        ("R, Z", 2, (0, 2), -0.485),
        ("X, Z", 2, (1, 2), 0.993),
    ],
)
def test_what_was_read_together_goes_together(verified, impedance, what, which, pair, published):
    doubt = impedance[which]
    ours = doubt.covariance[pair] / doubt.standard[[*pair]].prod()
    verified(f"impedance: correlation {what}", published, ours, IMPEDANCE, within=0.02)


def test_a_second_reading_makes_a_weighted_mean(verified):
    """3 and 4 make √(1 / (1/9 + 1/16)) = 2.4, and it lies 9/25 of the way to the second."""
    once = Doubt(readings(1), np.array([[3.0]]))
    again, gain = once.read(np.array([3.0]), Source(Origin.SCALES, "again"), 4.0)
    verified("weighted mean: u", 2.4, again.standard[0], MEAN, within=1e-12)
    verified("weighted mean: share of the second", 0.36, gain[0], MEAN, within=1e-12)


def test_angles_of_a_triangle_share_what_they_miss_of_180_degrees(verified):
    """Each moves by a third of it and is then known to √(2/3) of what it was."""
    angles = Doubt(readings(3), np.eye(3))
    exact = Source(Origin.SCALES, "sum of the angles")
    adjusted, gain = angles.read(np.ones(3), exact, 0.0)
    verified("triangle: share of what is missed", 1 / 3, gain[1], TRIANGLE, within=1e-12)
    ours = adjusted.standard[1]
    verified("triangle: u of an adjusted angle", np.sqrt(2 / 3), ours, TRIANGLE, within=1e-12)
    assert adjusted.through(np.ones((3, 1))).standard[0] == pytest.approx(0, abs=1e-12)
