"""Rims for a set-up: what holds comes first, the lightest on top, in front and behind."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.ask.choose import (
    Candidate,
    LeftOut,
    candidate,
    choose,
    margin,
    of_one_diameter,
    pressure_margin,
    tension_margin,
)
from rimfea.errors import LoadError
from rimfea.study.ride import ride
from rimfea.study.setup import End, Setup
from rimfea.study.window import Bound, Limit, Window

BOG = Setup.from_values({"name": "bog", "tyre_width_mm": 45, "speed_km_h": 12})
ASKED = 0.25  # MPa in both tyres


@pytest.fixture(scope="module")
def real(whimbrel):
    """A rim at both ends of a bicycle, built alike."""
    return Candidate(*(ride(whimbrel, BOG, end) for end in End))


@pytest.fixture(scope="module")
def rim(real):
    """A rim of that name, mass and those margins: ``rim("dunlin", 500, 1.2, 0.9)``."""

    def make(name, mass, front=1.2, rear=1.2, **changes):
        wheels = (real.front, front), (real.rear, rear)
        return Candidate(*(_wheel(wheel, name, mass, m, **changes) for wheel, m in wheels))

    return make


def _wheel(wheel, name, mass, asked, *, low=100.0, high=9000.0, target=1000.0):
    known = wheel.analysis
    other = replace(
        known, sheet=known.sheet.varied(name=name), hoop=replace(known.hoop, mass_g=mass)
    )
    bounds = (Bound(low, Limit.SLACK, 2.0),), (Bound(high, Limit.SEAT_FOLDS, 1.25),)
    ladder = replace(wheel.ladder)
    ladder.__dict__["pressure_MPa"] = (ASKED / asked if asked else math.inf,) * len(ladder.rungs)
    return replace(wheel, analysis=other, ladder=ladder, window=Window(*bounds, target_N=target))


def names(choice):
    return [each.name for each in choice.ranked]


def test_a_rim_that_was_weighed_is_as_heavy_as_the_scales_say(rim):
    drawn = rim("dunlin", 500)
    front = drawn.front.analysis
    sheet = front.sheet.varied(weighed_mass_g=512)
    on_scales = replace(drawn, front=replace(drawn.front, analysis=replace(front, sheet=sheet)))
    assert (drawn.mass_g, on_scales.mass_g) == (500, 512)


def test_what_holds_comes_first_by_mass_and_what_fails_after_by_margin(rim):
    rims = [
        rim("heavy", 700),
        rim("light", 500, 1.01, 1.3),
        rim("weak", 450, 1.5, 0.9),
        rim("weakest", 400, 0.3, 1.5),
        rim("middle", 600),
    ]
    assert names(choose(rims)) == ["light", "middle", "heavy", "weak", "weakest"]


def test_rims_alike_stand_by_name(rim):
    assert names(choose([rim(name, 500) for name in "bca"])) == ["a", "b", "c"]


margins = st.floats(0.2, 3.0)
some = st.lists(st.tuples(st.floats(300, 900), margins, margins), min_size=1, max_size=6)


@given(some, st.randoms(use_true_random=False))
def test_the_order_of_the_folder_does_not_change_the_choice(rim, numbers, random):
    rims = [rim(f"rim {k}", *each) for k, each in enumerate(numbers)]
    mixed = random.sample(rims, len(rims))
    one, other = choose(mixed), choose(rims)
    assert names(one) == names(other)
    assert (one.front.name, one.rear.name) == (other.front.name, other.rear.name)


@given(some)
def test_a_heavier_and_weaker_rim_is_never_placed_before_a_lighter_and_stronger(rim, numbers):
    ranked = choose(rim(f"rim {k}", *each) for k, each in enumerate(numbers)).ranked
    for k, better in enumerate(ranked):
        for worse in ranked[k + 1 :]:
            assert better.mass_g <= worse.mass_g or better.margin >= worse.margin


@given(some)
def test_a_pair_is_never_heavier_than_two_of_the_best_rim_that_holds(rim, numbers):
    choice = choose(rim(f"rim {k}", *each) for k, each in enumerate(numbers))
    if choice.ranked[0].holds:
        assert choice.holds
        assert choice.saved_g >= 0
    else:
        assert choice.saved_g is None


def test_a_light_front_goes_with_a_strong_rear(rim):
    choice = choose([rim("pipit", 450, 1.1, 0.9), rim("lapwing", 600, 1.6, 1.2)])
    assert (choice.front.name, choice.rear.name) == ("pipit", "lapwing")
    assert (choice.mass_g, choice.saved_g, choice.holds) == (1050, 150, True)
    assert names(choice) == ["lapwing", "pipit"]


def test_where_none_holds_the_nearest_is_named(rim):
    choice = choose([rim("a", 450, 0.8, 0.5), rim("b", 600, 0.7, 0.6)])
    assert (choice.front.name, choice.rear.name) == ("a", "b")
    assert not choice.holds
    assert choice.saved_g is None


def test_the_margin_is_the_smaller_of_pressure_and_both_ends_of_the_window(rim):
    wheel = rim("a", 500, 1.5).front
    assert margin(wheel) == pressure_margin(wheel) == pytest.approx(1.5)
    for bounds, told in (
        ({"low": 800.0}, 1.25),
        ({"low": 1250.0}, 0.8),
        ({"high": 1100.0}, 1.1),
        ({"high": 700.0}, 0.7),
        ({"low": 0.0, "high": 1400.0}, 1.4),
    ):
        tight = rim("a", 500, 1.5, **bounds).front
        assert margin(tight) == tension_margin(tight) == pytest.approx(told)


def test_a_blow_that_takes_no_air_leaves_all_margin(rim):
    assert pressure_margin(rim("a", 500, math.inf).front) == math.inf


def test_a_rim_that_no_air_saves_has_no_margin(rim):
    assert pressure_margin(rim("a", 500, 0.0).front) == 0


def test_a_rim_that_yields_before_any_blow_has_no_margin(rim):
    wheel = rim("a", 500).front
    judged = wheel.answer.verdict
    yielded = replace(judged.walls[0], first_yield=math.inf)
    verdict = replace(judged, walls=(yielded, *judged.walls[1:]))
    assert margin(replace(wheel, answer=replace(wheel.answer, verdict=verdict))) == 0


@pytest.mark.long
def test_a_real_rim_is_looked_at_at_both_ends(sheet_of):
    found = candidate(sheet_of(), BOG, coarseness=2.5)
    assert [wheel.end for wheel in found.wheels] == ["front", "rear"]
    assert 0 < found.margin < 10
    assert found.mass_g == pytest.approx(786, abs=1)


def test_a_tyre_that_does_not_fit_leaves_the_rim_out_and_says_why(sheet_of):
    low = BOG.varied(tyre_height_mm=10.0, casing_mm=3.0)
    found = candidate(sheet_of(), low, coarseness=2.5)
    assert isinstance(found, LeftOut)
    assert found.name == "Whimbrel"
    assert "does not stand above hooks" in found.reason


def test_rims_of_the_diameter_that_most_have_are_compared_and_the_others_told(sheet_of):
    small = sheet_of(name="small", bead_seat_diameter_mm=406)
    large = [sheet_of(name=name) for name in ("a", "b")]
    kept, others = of_one_diameter([large[0], small, large[1]])
    assert [sheet.name for sheet in kept] == ["a", "b"]
    assert others == (LeftOut("small", "another wheel size, bead seat 406 mm, not 622"),)
    assert of_one_diameter([small, large[0], small])[0] == (small, small)
    assert of_one_diameter([small, large[0]])[0] == (large[0],)
    assert of_one_diameter([small, *large], 406)[0] == (small,)


def test_a_diameter_that_no_rim_has_is_told_with_those_there_are(sheet_of):
    with pytest.raises(LoadError, match="584 mm; there are: 622"):
        of_one_diameter([sheet_of()], 584)


def test_there_is_no_choice_without_rims_or_between_diameters(rim, sheet_of):
    with pytest.raises(LoadError, match="no rim"):
        choose([])
    large, small = rim("a", 500), rim("b", 400)
    sheet = sheet_of(name="b", bead_seat_diameter_mm=406)
    front = replace(small.front, analysis=replace(small.front.analysis, sheet=sheet))
    with pytest.raises(LoadError, match="different bead seat diameters"):
        choose([large, replace(small, front=front)])


@pytest.fixture
def bent(rim, dented):
    def make(name, mass, margins, left):
        pairs = zip(rim(name, mass, *margins).wheels, left, strict=True)
        return Candidate(*(dented(wheel, own_mm=own) for wheel, own in pairs))

    return make


def test_a_rim_that_the_blow_dents_does_not_hold_and_comes_last(bent):
    shallow, edge = (
        bent("shallow", 500, (0.6, 1.2), (0.4, 0.0)),
        bent("edge", 480, (1.2, 1.2), (0, 0.5)),
    )
    deep, whole = bent("deep", 400, (0.9, 1.2), (0.51, 0.0)), bent("whole", 700, (1.2, 1.2), (0, 0))
    choice = choose([deep, shallow, edge, whole])
    assert names(choice) == ["edge", "whole", "shallow", "deep"]
    assert [each.holds for each in choice.ranked] == [True, True, False, False]
    assert [each.is_dented for each in choice.ranked] == [False, False, False, True]
    assert choice.rear.name == "deep"  # whose rear wheel is not dented
    assert not bent("marginal", 400, (1.2, 1.2), (0.0, 0.6)).holds


def test_dents_are_asked_only_where_they_are_wanted(sheet_of, whimbrel, monkeypatch):
    monkeypatch.setattr("rimfea.study.ride.wheel_of", lambda *_, **__: whimbrel)
    asked = []
    monkeypatch.setattr("rimfea.ask.choose.ask_dents", asked.extend)
    assert not candidate(sheet_of(), BOG).front.knows_dent
    assert not asked
    found = candidate(sheet_of(), BOG, dents=True)
    assert asked == list(found.wheels)
