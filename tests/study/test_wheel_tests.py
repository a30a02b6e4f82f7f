"""Published wheel tests, by the set that a wheel keeps."""

from __future__ import annotations

from dataclasses import replace
from math import isnan
from pathlib import Path

import pytest

from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import read_sheet
from rimfea.study.dented import View, body_of, looked_at, pressed
from rimfea.study.ride import wheel_of
from rimfea.study.setup import End
from rimfea.study.wheel_tests import NEAR, SURELY, WIDE, _whole, let_go, wheel_tests

pytestmark = pytest.mark.long

PROFILES = Path(__file__).parents[2] / "profiles"


def wheel(name, **changes):
    setup = read_setup(PROFILES / "set-ups" / "gravel.toml")
    return wheel_of(read_sheet(PROFILES / f"{name}.toml").varied(**changes), setup, End.REAR)


@pytest.fixture(scope="module")
def curlew():
    """The invented curlew as a rear wheel."""
    return wheel("curlew")


@pytest.fixture(scope="module")
def soft():
    """A single wall of a metal softer than any that rims are made of."""
    return wheel("wheatear", proof_MPa=100.0, ultimate_MPa=115.0)


def test_a_sound_wheel_keeps_nothing_and_passes(curlew):
    told = wheel_tests(curlew)
    print(*((each.answer.name, each.set_mm) for each in told))
    assert [each.allowed_mm for each in told] == [1.5, 1.5, 1.0]  # JIS D 9301 and D 9302
    assert all(each.set_mm == 0.0 and each.passes for each in told)


def test_where_walls_are_far_from_yielding_no_point_flows(curlew):
    for answer in (each for each in curlew.answers if each.case.source):
        blow = pressed(curlew, answer)
        body = body_of(blow, looked_at(blow, NEAR), NEAR)
        first = body.window.first_yield(_whole(body)) / answer.load
        use = answer.verdict.governing.first_yield
        print(f"{answer.name}: walls at {use:.2f} of yielding, the first point at {first:.2f} x")
        assert use > SURELY or first > 1


def test_the_body_of_a_test_gives_way_as_the_wheel_does(curlew):
    answer = next(each for each in curlew.answers if each.name == "lateral wheel test")
    blow = pressed(curlew, answer)
    for view in (NEAR, WIDE):
        body = body_of(blow, looked_at(blow, view), view)
        own = float((body.own + body.softer)[0, 0])
        assert own == pytest.approx(1 / curlew.wheel.lateral_N_mm, rel=0.1)


def test_a_wheel_of_soft_metal_keeps_a_set_and_metal_flows_beyond_what_is_looked_at(
    soft, monkeypatch
):
    """On a shorter piece of rim than is looked at else, as it takes a third of the time."""
    monkeypatch.setattr("rimfea.study.wheel_tests.WIDE", View(8, 80.0, both_sides=True))
    answer = next(each for each in soft.answers if each.name == "mountain lateral test")
    set_mm, at_least = let_go(pressed(soft, answer), answer.load)
    print(f"set after 370 N from the side: at least {set_mm:.2f} mm")
    assert 0.05 < set_mm < 1.0
    assert at_least


def test_what_is_not_followed_is_not_known(soft):
    told = wheel_tests(soft, follow=False)
    assert [isnan(each.set_mm) for each in told] == [False, True, True]
    assert [each.passes for each in told] == [True, False, False]


def test_a_set_of_at_least_so_much_tells_only_that_it_is_too_much(soft):
    some = wheel_tests(soft, follow=False)[0]
    assert not replace(some, set_mm=0.3, at_least=True).is_known
    much = replace(some, set_mm=1.6, at_least=True)
    assert much.is_known
    assert not much.passes
