"""The lessons of the page: whole, short enough for a beamer, and true."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from rimfea.ask.compare import UNTOLD, Measured, differences
from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import read_sheet
from rimfea.study.outcome import OUTCOMES
from rimfea.study.ride import Ride, ride, wheel_of
from rimfea.study.setup import End
from rimfea.vary.datum import datum
from rimfea.vary.doubt import Origin
from rimfea.vary.sensitivity import sensitivity
from rimfea.web.lessons import SHOWN, lessons

PROFILES = Path(__file__).parents[2] / "profiles"
STEPS = [
    pytest.param(each, k, id=f"{each.title} {k + 1}")
    for each in lessons()
    for k in range(len(each.steps))
]
LONGEST = 240  # letters that a class reads at once
STRUCK = ("bead_hook_mm", "hook_lip_mm", "sidewall_mm", "bead_seat_mm", "tyre_well_mm")


def test_there_are_six_and_each_asks_something():
    assert len(lessons()) == 6
    assert all(each.title.endswith("?") for each in lessons())


@pytest.mark.parametrize(("lesson", "k"), STEPS)
def test_every_step_is_whole(lesson, k):
    """Its choices hold the right one; its rims and keys are there, its numbers can be."""
    step = lesson.steps[k]
    assert step.right in step.choices
    assert len(set(step.choices)) == len(step.choices) > 1
    assert step.show in SHOWN
    assert step.ask.endswith("?")
    assert max(len(step.say), len(step.told)) <= LONGEST
    for rim in (step.rim, *step.others):
        assert read_sheet(PROFILES / f"{rim}.toml").varied(**step.changes)
    assert read_setup("gravel").varied(**step.ridden)


@cache
def ridden(title: str, k: int) -> Ride:
    """What a step shows, as the page shows it."""
    step = next(each for each in lessons() if each.title.startswith(title)).steps[k]
    sheet = read_sheet(PROFILES / f"{step.rim}.toml").varied(**step.changes)
    setup = read_setup("gravel").varied(**step.ridden)
    return ride(wheel_of(sheet, setup, End.REAR), setup, End.REAR)


def first(found: Ride) -> tuple[str, float]:
    """The wall that yields first, and at what force."""
    wall = found.answer.verdict.governing
    return str(wall.wall), found.answer.load_at(wall.first_yield)


def right(title: str, k: int) -> str:
    return next(each for each in lessons() if each.title.startswith(title)).steps[k].right


@pytest.mark.long
def test_the_hook_bends_first_and_what_helps_it():
    own, side, flank = (ridden("Why does the hook", k) for k in range(3))
    assert first(own)[0] == right("Why does the hook", 0) == "hook lip"
    assert 1.03 < first(side)[1] / first(own)[1] < 1.1
    lip = [
        next(each for each in found.answer.verdict.walls if each.wall == "hook lip")
        for found in (own, side)
    ]
    assert own.answer.load_at(lip[0].first_yield) * 1.08 < side.answer.load_at(lip[1].first_yield)
    assert first(side)[0] != "hook lip"
    grams = [found.analysis.hoop.mass_g - own.analysis.hoop.mass_g for found in (side, flank)]
    gained = [first(found)[1] - first(own)[1] for found in (side, flank)]
    assert 2.5 < grams[1] / grams[0] < 4
    assert gained[0] / grams[0] > 1.5 * gained[1] / grams[1]


@pytest.mark.long
def test_a_blow_spreads_as_far_as_is_said():
    hooked, single = (ridden("How far", k) for k in range(2))
    reach = [found.answer.verdict.governing.reach_mm for found in (hooked, single)]
    assert 20 < reach[0] < 45
    assert reach[1] > 1.15 * reach[0]
    assert 0.28 < first(single)[1] / first(hooked)[1] < 0.4


@pytest.mark.long
def test_spokes_lose_tension_and_go_slack_as_is_said():
    own, loose, heavy = (ridden("What do spokes", k) for k in range(3))
    change = own.analysis.wheel.tension_change_N
    assert change.min() < -5 * change.max()
    assert own.window.fits
    assert loose.window.target_N < loose.window.lowest.tension_N
    load = heavy.setup.wheel_N(End.REAR) / own.setup.wheel_N(End.REAR)
    assert 1.15 < heavy.window.lowest.tension_N / own.window.lowest.tension_N < load
    assert heavy.window.highest.tension_N == pytest.approx(own.window.highest.tension_N, rel=0.01)


@pytest.mark.long
def test_dish_does_what_is_said():
    own, level = (ridden("What does dish", k) for k in range(2))
    assert 0.5 < own.window.left_N / own.window.right_N < 0.65
    assert level.window.left_N == pytest.approx(level.window.right_N)
    assert level.window.lowest.tension_N < 0.8 * own.window.lowest.tension_N


@pytest.mark.long
def test_wear_does_what_is_said():
    worn = ridden("What does brake wear", 0)
    new = read_sheet(PROFILES / "wheatear.toml")
    assert new.sidewall_mm - worn.analysis.sheet.sidewall_mm == pytest.approx(0.6)
    whole = ride(wheel_of(new, worn.setup, End.REAR), worn.setup, End.REAR)
    assert 1 - first(worn)[1] / first(whole)[1] == pytest.approx(1 / 6, abs=0.03)


def measured(name: str) -> Measured:
    """A rim with its slopes by the walls that bear the blow, on a coarse mesh."""
    sheet = read_sheet(PROFILES / f"{name}.toml")
    around = datum(sheet, read_setup("gravel"), End.REAR, coarseness=2.2)
    return Measured(around.ride, sensitivity(replace(around, every=False), STRUCK))


@pytest.mark.long
def test_the_two_rims_cannot_be_told_apart_because_of_their_metal():
    base, other = (measured(name) for name in ("curlew", "plover"))
    found = {each.outcome.key: each for each in differences(other, base)}
    assert found["yield_N"].verdict == UNTOLD
    place = next(k for k, each in enumerate(OUTCOMES) if each.key == "yield_N")
    doubt = other.sensitivity.doubt.minus(base.sensitivity.doubt)
    metal = doubt.of({Origin.METAL}).standard[place]
    assert metal > 0.7 * doubt.standard[place]
    assert found["mass_g"].gap == pytest.approx(140, abs=10)
