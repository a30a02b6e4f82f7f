"""Outcomes as a reader wants them."""

from __future__ import annotations

import math

from rimfea.study.outcome import BY_KEY, OUTCOMES
from rimfea.words.numbers import Units
from rimfea.words.outcomes import headed, in_words, outcomes_data, titled

KGF = Units("kgf", "psi")


def test_values_come_with_their_unit_in_the_readers_units():
    assert in_words("yield_N", 981.0, KGF) == "100 kgf"
    assert in_words("lateral_N_mm", 131.06, KGF) == "13.4 kgf/mm"
    assert in_words("squeeze_MPa", 2.0, KGF) == "2.0 MPa"  # stress is no air
    assert in_words("hole_amplitude_MPa", 1.234, Units()) == "1.2 MPa"
    assert in_words("yield_N", math.nan, Units()) == "-"


def test_no_force_is_split_finer_than_a_newton_however_many_figures_are_asked_for():
    assert in_words("yield_N", 500.04, Units(), 4) == "500 N"
    assert in_words("mass_g", 503.24, Units(), 4) == "503.2 g"


def test_a_row_is_headed_by_title_and_unit_and_a_sentence_has_no_comma_in_it():
    assert headed(BY_KEY["yield_N"], KGF) == "first yield, one hook, kgf"
    assert headed(BY_KEY["radial_N_mm"], KGF) == "radial stiffness, kgf/mm"
    assert titled("yield_N") == "first yield on one hook"


def test_outcomes_go_by_key_and_say_the_name_they_are_asked_for_by():
    told = outcomes_data()
    assert told["yield_N"] == {
        "name": "first-yield",
        "title": "first yield, one hook",
        "unit": "N",
    }
    assert list(told) == [each.key for each in OUTCOMES]
