"""No digits that nobody measured: rounding in one place."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.errors import UnitError
from rimfea.words.numbers import USUAL, Units, figures, in_stress, length, no_finer, told_apart


@pytest.mark.parametrize(
    ("value", "doubt", "shown"),
    [
        (24.0075, 0.05, "24.01"),  # the mean of four readings
        (21.0033, 0.046, "21"),
        (2.7, 0.47, "2.7"),
        (13.799999999, 0.0, "13.8"),  # what a sum left over
        (1.225, 0.0, "1.225"),  # as written
        (622.0, 0.0, "622"),
        (622.0, 12.0, "622"),
    ],
)
def test_a_length_is_told_as_it_was_written_or_no_finer_than_it_is_known(value, doubt, shown):
    assert length(value, doubt) == shown


@pytest.mark.parametrize(
    ("value", "doubt", "shown"),
    [
        (131.06, 25.0, "131"),
        (5.3412, 1.2, "5.3"),
        (1234.5, 140.0, "1230"),
        (48.36, 12.0, "48"),
        (48.36, math.nan, "48.4"),
        (0.0312, 0.5, "0.03"),
    ],
)
def test_a_value_is_no_finer_than_the_second_figure_of_its_doubt(value, doubt, shown):
    assert no_finer(value, doubt) == shown


@pytest.mark.parametrize("units", [{"force": "stone"}, {"pressure": "MPa"}, {"pressure": "N"}])
def test_units_that_no_gauge_shows_are_refused(units):
    with pytest.raises(UnitError, match="known here are"):
        Units(**units)


def test_a_force_has_no_parts_of_a_newton_and_a_stress_no_hundredths():
    assert USUAL.in_force(6.66) == "7 N"
    assert in_stress(1.234) == "1.2 MPa"


@given(st.floats(1e-6, 1e6), st.integers(-1, 4))
def test_the_finest_decimal_is_kept_to_and_nothing_is_rounded_twice(value, finest):
    told = figures(value, finest=finest)
    assert len(told.partition(".")[2]) <= max(0, finest)
    assert abs(float(told) - value) <= 0.5000001 * max(10.0**-finest, value / 100)


def test_numbers_that_read_alike_are_told_apart_by_more_figures():
    assert told_apart(1090.0, 1200.0) == ("1090", "1200")
    assert told_apart(1094.0, 1086.0) == ("1094", "1086")
    assert told_apart(1.0, 1.0) == ("1.0000", "1.0000")
