"""Where a load lands, and what acts already when it does."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians

import numpy as np
import pytest

from rimfea.elastic.loads import SpokeTension, Strike, WheelLoad
from rimfea.elastic.spokes import Lacing
from rimfea.files.sheet_toml import read_sheet
from rimfea.strike.tyre import Tyre, cushion, rock
from rimfea.study import ring_answers as module
from rimfea.study.analysis import FAN, inspect, solved
from rimfea.study.cases import (
    BOTH_HOOKS,
    INFLATION,
    ONE_HOOK,
    TENSION,
    Loading,
    flattened,
    leaning,
    respread,
    standard_cases,
)
from rimfea.study.landing import TURNS, Landing, landed, landings
from rimfea.study.ring_answers import ring_answers

DISHED = Lacing(36, 1000.0, right_mm=18.0, left_mm=36.0)
ROCK = Loading(obstacle=rock(60.0), casing_mm=1.5, tyre_width_mm=45.0)
ONLY = (ONE_HOOK, BOTH_HOOKS, "lateral wheel test")


def asked(lacing, loading=Loading(), names=ONLY, fan=()):  # noqa: B008 -- frozen
    """A wheatear on those spokes under some of the cases, by name."""
    sheet = read_sheet("wheatear")
    looked = inspect(sheet, coarseness=2.0)
    cases = [case for case in standard_cases(sheet, loading) if case.name in names]
    rim = solved(looked, loading, lacing, cases, fan=fan)
    return rim, {answer.name: answer for answer in rim.answers}


@pytest.fixture(scope="module")
def dished():
    return asked(DISHED)


def least(answer):
    return answer.load_at(answer.verdict.governing.first_yield)


def case_of(rim, name):
    return next(each for each in standard_cases(rim.sheet, rim.loading) if each.name == name)


def test_loads_that_are_alike_all_around_have_one_landing(sheet_of):
    by_name = {case.name: list(landings(case)) for case in standard_cases(sheet_of(), Loading())}
    assert by_name[TENSION] == by_name[INFLATION] == [Landing()]
    assert len(by_name[ONE_HOOK]) == len(by_name["lateral wheel test"]) == 2 * len(TURNS)
    assert len(by_name[BOTH_HOOKS]) == len(by_name["radial wheel test"]) == len(TURNS)


def test_a_mirrored_load_comes_to_the_other_side():
    strike, side = Strike(900.0, 20.0, 0.75, 0.2), WheelLoad(600.0, 80.0, 50.0)
    assert strike.mirrored() == Strike(900.0, 20.0, 0.25, -0.2)
    assert side.mirrored() == WheelLoad(600.0, 80.0, -50.0)
    assert strike.mirrored().mirrored() == strike
    pull = SpokeTension(900.0, 32, 4.5, 7.0)
    assert pull.mirrored() is pull


def test_a_wheel_and_its_mirror_image_bear_the_same(dished):
    """A second road to both hooks: dish the wheel the other way."""
    _, ours = dished
    turned = replace(DISHED, right_mm=DISHED.left_mm, left_mm=DISHED.right_mm)
    _, other = asked(turned)
    for name in ONLY:
        assert least(ours[name]) == pytest.approx(least(other[name]), rel=0.02), name
        landing, image = ours[name].landing, other[name].landing
        if name != BOTH_HOOKS:
            assert landing.mirrored != image.mirrored or landing.turn != image.turn


@pytest.mark.parametrize("name", ONLY)
def test_no_other_place_of_the_pattern_is_worse(dished, name, monkeypatch):
    """All four kinds of spokes, and four places in every gap."""
    rim, answers = dished
    fine = tuple(np.arange(0, 4, 0.25))
    monkeypatch.setattr(module, "TURNS", fine)
    monkeypatch.setattr("rimfea.study.landing.TURNS", fine)
    (other,) = ring_answers(rim.sheet, rim.cuts, rim.built.ring, [case_of(rim, name)])
    lost = 1 - least(other) / least(answers[name])
    print(f"{name}: {100 * lost:.2f} % less somewhere else")
    assert 0 <= lost + 1e-9 < 0.015


def test_the_milder_hook_at_the_milder_spoke_is_no_verdict(dished, monkeypatch):
    rim, answers = dished
    monkeypatch.setattr(module, "landings", lambda _case: [Landing()])
    for name, share in ((ONE_HOOK, 0.04), ("lateral wheel test", 0.05)):
        (usual,) = ring_answers(rim.sheet, rim.cuts, rim.built.ring, [case_of(rim, name)])
        print(f"{name}: {least(usual):.0f} N there, {least(answers[name]):.0f} N at the worst")
        assert least(answers[name]) < (1 - share) * least(usual)


def test_the_answer_is_of_the_place_that_it_names(dished):
    rim, answers = dished
    answer = answers[ONE_HOOK]
    case = landed(case_of(rim, ONE_HOOK), answer.landing)
    assert answer.case == case
    step = 2 * pi / DISHED.count * answer.landing.turn
    assert answer.field.ring.spokes.angle[0] == pytest.approx(-step)


def test_a_flat_tyre_goes_on_bearing_its_own_force_as_its_footprint_has_it(sheet_of):
    sheet = sheet_of()
    (load,) = flattened(sheet, ROCK)
    flat = cushion(
        Tyre(45.0, 45.0, 1.5, 0.25), rock(60.0), sheet.seat_radius_mm, sheet.hook_height_mm
    )
    assert load.force_N == flat.force_N
    most_a_mm = 2 / load.patch_mm  # of a raised cosine
    assert most_a_mm == pytest.approx(4 / pi / flat.contact_mm)  # of an ellipse
    assert flattened(sheet, Loading()) == ()
    by_name = {case.name: case.standing for case in standard_cases(sheet, ROCK)}
    assert load in by_name[ONE_HOOK]
    assert load in by_name[BOTH_HOOKS]
    assert load not in by_name["lateral wheel test"]


def test_the_flat_tyre_makes_the_rim_yield_sooner_the_more_so_the_less_it_spreads(dished):
    _, alone = dished
    _, under = asked(DISHED, ROCK)
    for name in (ONE_HOOK, BOTH_HOOKS):
        half, twice = under[name].respread
        found = (least(alone[name]), half, least(under[name]), twice)
        print(f"{name}, N: without, half the length, as told, twice: {np.round(found)}")
        assert half < least(under[name]) < twice < least(alone[name])
        assert alone[name].respread is None


def test_what_is_told_of_another_spread_is_the_answer_to_it():
    rim, answers = asked(DISHED, ROCK, (ONE_HOOK,))
    ring = rim.built.ring
    for times, told in zip((0.5, 2.0), answers[ONE_HOOK].respread, strict=True):
        other = respread(case_of(rim, ONE_HOOK), times)
        (answer,) = ring_answers(rim.sheet, rim.cuts, ring, [other])
        assert told == pytest.approx(least(answer), rel=0.05)


@pytest.mark.long
def test_the_fan_is_what_leaning_strikes_do():
    rim, answers = asked(DISHED, ROCK, (ONE_HOOK,), FAN)
    fan = answers[ONE_HOOK].fan
    assert [each.angle for each in fan] == [-radians(20), radians(20)]
    for lean in fan:
        case = leaning(case_of(rim, ONE_HOOK), lean.angle)
        (answer,) = ring_answers(rim.sheet, rim.cuts, rim.built.ring, [case])
        assert lean.first_yield_N == pytest.approx(least(answer), rel=0.05)
        assert lean.wall == answer.verdict.governing.wall
