"""A choice of rims in sentences and as a table."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from rimfea.ask.choose import Candidate, LeftOut, choose
from rimfea.profile.sheet import Sheet
from rimfea.study.analysis import analyse
from rimfea.study.ride import ride
from rimfea.study.setup import End, Setup
from rimfea.study.window import Bound, Limit, Window
from rimfea.words.choose import (
    choice_headline,
    choice_lines,
    choice_table,
    reason,
)

SNIPE = {
    "name": "snipe",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.8,
}
BOG = Setup.from_values({"name": "bog", "tyre_width_mm": 45})


@pytest.fixture(scope="module")
def real():
    built = analyse(Sheet(SNIPE), coarseness=1.6)
    return tuple(ride(built, BOG, end) for end in End)


@pytest.fixture(scope="module")
def rim(real):
    """A rim of that name and mass whose tyres need those pressures, bar."""

    def make(name, mass, needed=(2.0, 2.0), *, low=430.0, high=1080.0, target=1000.0):
        bounds = (Bound(low, Limit.SLACK, 2.0),), (Bound(high, Limit.SEAT_FOLDS, 1.25),)
        wheels = []
        for wheel, bar in zip(real, needed, strict=True):
            known = wheel.analysis
            other = replace(
                known, sheet=known.sheet.varied(name=name), hoop=replace(known.hoop, mass_g=mass)
            )
            ladder = replace(wheel.ladder)
            ladder.__dict__["pressure_MPa"] = (bar / 10,) * len(ladder.rungs)
            allowed = Window(*bounds, target_N=target)
            wheels.append(replace(wheel, analysis=other, ladder=ladder, window=allowed))
        return Candidate(*wheels)

    return make


def test_the_headline_names_the_pair_its_mass_and_what_it_saves(rim):
    pair = choose([rim("curlew", 556, (2.3, 2.6)), rim("plover", 694)])
    assert choice_headline(pair) == (
        "For bog: curlew in front, plover behind: 1250 g the pair, 138 g less than plover at both "
        "ends."
    )


def test_the_headline_names_one_rim_that_is_the_best_at_both_ends(rim):
    alone = choose([rim("curlew", 556), rim("plover", 694)])
    assert choice_headline(alone) == "For bog: curlew at both ends: 1112 g the pair."


def test_the_headline_says_when_only_a_pair_holds(rim):
    pair = choose([rim("curlew", 556, (2.3, 2.6)), rim("plover", 694, (2.6, 2.0))])
    assert choice_headline(pair).endswith("1250 g the pair; no rim holds at both ends.")


def test_the_headline_says_plainly_that_none_holds_and_where(rim):
    rear = choose([rim("curlew", 556, (2.3, 2.6)), rim("plover", 694, (2.0, 2.55))])
    assert choice_headline(rear) == (
        "For bog: no rim holds at the rear; curlew in front, plover behind comes nearest."
    )
    both = choose([rim("curlew", 556, (2.6, 2.6))])
    assert choice_headline(both) == "For bog: no rim holds; curlew at both ends comes nearest."


def test_a_rim_that_holds_is_told_with_what_it_bears_at_its_worse_end(rim):
    assert reason(rim("curlew", 556, (1.8, 2.1))) == (
        "curlew: 556 g; holds: the rear rim stays elastic down to 2.1 bar, 2.5 bar asked; "
        "front spokes 430 to 1080 N, 1000 N asked."
    )


@pytest.mark.parametrize(
    ("needed", "window", "told"),
    [
        ((2.6, 2.0), {}, "too weak: the front rim yields below 2.6 bar, 2.5 bar asked"),
        (
            (2.0, 0.0),
            {"high": 900.0},
            "430 to 900 N, 1000 N asked, which does not fit (the nipple seat yields",
        ),
        (
            (2.0, 2.0),
            {"target": 400.0},
            "1080 N, 400 N asked, which does not fit (no spoke slack at 2× the load)",
        ),
        (
            (2.0, 2.0),
            {"low": 1100.0},
            "no tension works at the front: at least 1100 N (no spoke slack at 2× the load), at",
        ),
    ],
)
def test_a_rim_that_fails_is_told_with_why(rim, needed, window, told):
    said = reason(rim("curlew", 556, needed, **window))
    assert told in said
    assert "holds" not in said


def test_a_blow_that_takes_no_air_and_a_rim_that_buckles_are_told(rim):
    none = rim("curlew", 556, (0.0, 0.0))
    assert "holds: the rim bears the blow without air" in reason(none)
    analysis = none.front.analysis
    soft = replace(analysis, wheel=replace(analysis.wheel, buckling_tension_N=900.0))
    buckled = replace(none.front, analysis=soft, window=replace(none.front.window, target_N=1e3))
    assert "the front rim buckles sideways" in reason(replace(none, front=buckled))


def test_a_rim_that_no_air_saves_is_told_with_what_its_tyre_takes(rim):
    said = reason(rim("curlew", 556, (2.0, math.inf)))
    assert "too weak: no air helps, as the rear rim yields even at 4.4 bar" in said


def test_a_rim_that_yields_before_any_blow_is_told(rim):
    weak = rim("curlew", 556)
    judged = weak.rear.answer.verdict
    walls = (replace(judged.walls[0], first_yield=math.inf), *judged.walls[1:])
    answer = replace(weak.rear.answer, verdict=replace(judged, walls=walls))
    said = reason(replace(weak, rear=replace(weak.rear, answer=answer)))
    assert "too weak: the rear rim yields under spoke tension and tyre pressure alone" in said


def test_the_table_has_a_row_a_rim_and_marks_the_chosen(rim):
    pair = choose(
        [rim("curlew", 556, (2.0, 5.0)), rim("plover", 694), rim("ouzel", 700, (0.0, 0.0))]
    )
    table = choice_table(pair)
    assert table.rows == (
        ("1", "plover", "694 g", "1.08", "1.08", "yes"),
        ("2", "ouzel", "700 g", "1.08", "1.08", "yes"),
        ("3", "curlew", "556 g", "1.08", "0.50", "no"),
    )
    assert table.marked == {0, 2}


def test_the_lines_are_the_set_up_a_sentence_a_rim_in_order_and_what_was_left_out(rim):
    left = LeftOut("grouse", "bead seat 406 mm, not 622")
    choice = choose([left, rim("plover", 694), rim("curlew", 556)])
    setup, *told, last = choice_lines(choice)
    assert setup.startswith("Set-up bog: ")
    assert told == [reason(each) for each in choice.ranked]
    assert last == "Left out: grouse: bead seat 406 mm, not 622"


@pytest.fixture
def bent(rim, dented):
    """A rim of that name, and the dents (mm) that the blow leaves in front and behind."""

    def make(name, mass, left, needed=(2.0, 2.0)):
        whole = rim(name, mass, needed)
        pairs = zip(whole.wheels, left, strict=True)
        return Candidate(*(dented(wheel, drop_mm=82.0, own_mm=own) for wheel, own in pairs))

    return make


@pytest.mark.parametrize(
    ("left", "told"),
    [
        ((0.0, 0.0), "; no dent at either end, 0.5 mm at a drop of 82 mm at the front; "),
        ((0.0, 0.333), "; the blow leaves a dent of about 0.3 mm at the rear, 0.5 mm at a drop of"),
        ((0.7, 0.6), "; dented: the blow leaves about 0.7 mm at the front, 0.5 mm at a drop of"),
        ((0.0, math.inf), "; dented: the blow leaves more than 1 mm at the rear, 0.5 mm at a drop"),
    ],
)
def test_what_the_blow_leaves_of_the_worse_wheel_is_told_beside_first_yield(bent, left, told):
    said = reason(bent("curlew", 556, left, (2.0, 2.6)))
    assert "too weak: the rear rim yields below 2.6 bar" in said
    assert told in said


def test_a_dented_rim_does_not_hold_and_the_headline_says_how_deep(bent):
    choice = choose([bent("curlew", 556, (0.0, 0.7))])
    assert choice_headline(choice) == (
        "For bog: no rim holds at the rear; curlew at both ends comes nearest; the blow's dent: "
        "none at the front and about 0.7 mm at the rear."
    )


def test_the_table_has_columns_of_dents_where_some_are_known(bent, rim):
    table = choice_table(choose([bent("curlew", 556, (0.0, 0.3)), rim("plover", 694)]))
    assert table.head[5:7] == ("the blow's dent", "0.5 mm dent at a drop of")
    assert [row[5:7] for row in table.rows] == [("about 0.3 mm", "82 mm"), ("-", "-")]
