"""The arithmetic of uncertainty against the guide's own example and tables."""

from __future__ import annotations

import math

import pytest

from rimfea.profile.uncertainty import (
    CONFIDENCE,
    Part,
    Shape,
    Uncertainty,
    coverage_factor,
    type_b,
)

GUM = "JCGM 100:2008"
MEMORY = "(citation from memory)"
END_GAUGE = f"{GUM}, H.1, end-gauge calibration {MEMORY}"
TABLE = f"{GUM}, Table G.2 {MEMORY}"
RESOLUTION = f"{GUM}, F.2.2.1 {MEMORY}"

# H.1, lengths in nm: l = l_s + d − l_s (δα θ + α_s δθ).
STANDARD, DIFFERENCE, EXPANSION, OFF_TEMPERATURE = 50_000_623.0, 215.0, 11.5e-6, -0.1


def as_part(number, source, sensitivity=1.0):
    """What a doubt about a number is of a result that changes by so much per unit of it."""
    return Part(source, abs(sensitivity) * number.standard, number.freedom)


CERTIFICATE = Uncertainty((Part("l_s", 25.0, 18),))
COMPARATOR = Uncertainty(
    (Part("repeated", 5.8, 24), Part("random", 3.9, 5), Part("systematic", 6.7, 8))
)
ALPHA = Uncertainty((type_b("α_s", 2e-6),))
ALPHA_GAP = Uncertainty((type_b("δα", 1e-6, freedom=50),))
ROOM = Uncertainty((Part("mean", 0.2), type_b("cycle", 0.5, Shape.ARCSINE)))
ROOM_GAP = Uncertainty((type_b("δθ", 0.05, freedom=2),))

EXPANSION_GAP = as_part(ALPHA_GAP, "δα", -STANDARD * OFF_TEMPERATURE)
TEMPERATURE_GAP = as_part(ROOM_GAP, "δθ", -STANDARD * EXPANSION)
LENGTH = Uncertainty(
    (as_part(CERTIFICATE, "l_s"), as_part(COMPARATOR, "d"), EXPANSION_GAP, TEMPERATURE_GAP)
)


@pytest.mark.parametrize(
    ("what", "published", "ours", "within"),
    [
        ("comparator u(d), nm", 9.682, COMPARATOR.standard, 1e-4),
        ("gap of expansion, nm", 2.887, EXPANSION_GAP.standard, 1e-4),
        ("gap of temperature, nm", 16.599, TEMPERATURE_GAP.standard, 1e-4),
        ("combined u(l), nm, prints 32", 31.66, LENGTH.standard, 2e-4),
        ("effective freedom", 16.75, LENGTH.freedom, 1e-3),
    ],
)
def test_the_end_gauge_comes_out(verified, what, published, ours, within):
    verified(f"end gauge: {what}", published, ours, END_GAUGE, within=within)


def test_the_end_gauge_is_good_to_93_nm_at_99_per_cent(verified):
    """The guide multiplies its already rounded 32 nm by 2.92."""
    freedom = math.floor(LENGTH.freedom)
    expanded = LENGTH.expanded(coverage_factor(freedom, 0.99))
    verified("end gauge: U at 99 %, nm", 93, expanded, END_GAUGE, within=0.006)


def test_second_order_terms_are_products_of_two_doubts(verified):
    """Both first derivatives vanish at δα = δθ = 0: l_s u(δα) u(θ) and l_s u(α_s) u(δθ) are left
    (JCGM 100 5.1.2, note).
    """
    room = Part("δα θ", STANDARD * ALPHA_GAP.standard * ROOM.standard)
    gap = Part("α_s δθ", STANDARD * ALPHA.standard * ROOM_GAP.standard)
    whole = Uncertainty((*LENGTH.parts, room, gap)).standard
    verified("end gauge: second order δα θ, nm", 11.73, room.standard, END_GAUGE, within=1e-3)
    verified("end gauge: second order α_s δθ, nm", 1.67, gap.standard, END_GAUGE, within=3e-3)
    verified("end gauge: u with second order, nm", 33.8, whole, END_GAUGE, within=2e-3)


@pytest.mark.parametrize(
    ("freedom", "confidence", "published"),
    [
        (1, CONFIDENCE, 13.97),
        (2, CONFIDENCE, 4.53),
        (5, CONFIDENCE, 2.65),
        (10, CONFIDENCE, 2.28),
        (16, 0.99, 2.92),
        (math.inf, CONFIDENCE, 2.000),
    ],
)
def test_coverage_factors_are_students(verified, freedom, confidence, published):
    ours = coverage_factor(freedom, confidence)
    what = f"coverage factor, {freedom} degrees of freedom, {confidence:.2%}"
    verified(what, published, ours, TABLE, within=0.005 / published)


def test_a_display_of_a_hundredth_is_in_doubt_by_its_step_over_root_twelve(verified):
    ours = type_b("resolution", 0.01 / 2).standard
    verified("resolution 0.01 mm, standard uncertainty", 0.002887, ours, RESOLUTION, within=2e-4)
