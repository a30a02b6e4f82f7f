"""Published wheel tests in words, on sets laid out by hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import nan
from types import SimpleNamespace

import pytest

from rimfea.study.wheel_tests import WheelTest
from rimfea.words.numbers import Units
from rimfea.words.wheel_tests import kept_words, wheel_test_words, wheel_tests_table

UNITS = Units()


@dataclass
class Wheel:
    """As much of a ride as its tests are told from."""

    known_tests: tuple[WheelTest, ...]
    end: str = "rear"


def after(set_mm, allowed_mm=1.5, *, at_least=False, name="radial wheel test"):
    case = SimpleNamespace(source="a standard")
    answer = SimpleNamespace(name=name, load=2500.0, case=case)
    return WheelTest(answer, allowed_mm, set_mm, at_least)


@pytest.mark.parametrize(
    ("tested", "told"),
    [
        (after(0.0), "keeps no set, passes"),
        (after(0.02), "keeps less than 0.1 mm, passes"),
        (after(1.44), "keeps 1.4 mm, passes"),
        (after(1.6), "keeps 1.6 mm, fails"),
        (after(1.6, at_least=True), "keeps at least 1.6 mm, fails"),
        (after(0.3, at_least=True), "keeps at least 0.3 mm, so whether it passes is open"),
        (after(nan), "metal flows; how much set stays was not followed"),
    ],
)
def test_a_test_is_judged_by_the_set_that_the_standard_allows(tested, told):
    assert kept_words(tested) == told


def test_a_wheel_that_fails_is_warned_of_first():
    told = wheel_test_words(
        Wheel((after(0.0), after(1.2, 1.0, name="mountain lateral test"))), UNITS
    )
    assert told == (
        "WARNING: Rear, published static wheel tests (JIS D 9301 and D 9302), computed: mountain "
        "lateral test, 2500 N: keeps 1.2 mm, fails."
    )


def test_a_wheel_that_passes_is_told_with_what_may_stay():
    told = wheel_test_words(Wheel((after(0.0), after(0.2, 1.0))), UNITS)
    assert told.endswith("the wheel passes all 2; it keeps 0.2 mm of set; the tests allow 1 mm.")


def test_what_was_not_followed_is_not_passed():
    told = wheel_test_words(Wheel((after(0.0), after(nan, 1.0))), UNITS)
    assert "not all can be judged" in told
    assert "passes" not in told


def test_rims_stand_side_by_side_and_one_that_buckles_says_so():
    table = wheel_tests_table({"curlew": (after(0.0),), "dunlin": ()}, UNITS)
    assert table.rows == (("curlew", "keeps no set, passes"), ("dunlin", "the rim buckles"))
    assert table.head[1] == "radial wheel test, 2500 N; 1.5 mm allowed"
    assert "a standard" in table.title
    assert replace(after(0.0), set_mm=2.0).passes is False
