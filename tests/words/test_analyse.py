from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from rimfea.ask.thicker import Gain
from rimfea.elastic.loads import WheelLoad
from rimfea.stress.verdict import Verdict
from rimfea.stress.walls import WallStress
from rimfea.study.analysis import analyse, inspect
from rimfea.study.cases import INFLATION, ONE_HOOK
from rimfea.vary.scales import weighed
from rimfea.vary.tap import tap
from rimfea.words.analyse import (
    diameter_words,
    gain_words,
    governs,
    headline,
    margin_words,
    mass_words,
    spread_words,
    tones_words,
    wall_load,
    wheel_words,
)
from rimfea.words.numbers import CAUTION, Units, figures, in_stress

NEWTON, KILOGRAM_FORCE = Units(), Units(force="kgf", pressure="psi")


@pytest.fixture(scope="module")
def rim(sheet_of):
    return analyse(sheet_of(name="Golden Plover"), coarseness=1.6)


def wall(name, first_yield, hinge):
    return WallStress(
        wall=name,
        first_yield=first_yield,
        hinge=hinge,
        start=(0.0, 0.0),
        end=(0.0, 1.5),
        thickness_mm=1.5,
        membrane_MPa=-20.0,
        bending_MPa=80.0,
        hoop_MPa=30.0,
        peak_MPa=100.0,
        reach_mm=31.4,
    )


def judged(rim, case, *walls):
    """The rim with one answer only, to that case, with these walls in its verdict."""
    answer = next(each for each in rim.answers if each.name == case)
    return replace(rim, answers=(replace(answer, verdict=Verdict(walls)),))


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (1234.5, "1230"),
        (123.45, "123"),
        (12.345, "12.3"),
        (1.2345, "1.23"),
        (0.012345, "0.0123"),
        (9.996, "10.0"),
        (99.96, "100"),
        (999.6, "1000"),
        (-9.996, "-10.0"),
        (1234567.0, "1230000"),
        (0.0, "0"),
        (-0.0, "0"),
        (math.inf, "inf"),
    ],
)
def test_a_number_is_shown_to_three_figures_and_never_in_powers_of_ten(value, shown):
    assert figures(value) == shown


def test_a_number_is_shown_to_as_many_figures_as_asked_for():
    assert [figures(12.3456, count) for count in (1, 2, 5)] == ["10", "12", "12.346"]


def test_forces_and_stresses_are_shown_in_the_readers_units():
    assert NEWTON.in_force(980.665) == "981 N"
    assert KILOGRAM_FORCE.in_force(980.665) == "100 kgf"
    assert NEWTON.in_force(6.66) == "7 N"
    assert KILOGRAM_FORCE.in_force(1250.0) == "127 kgf"  # not 127.5, and then 128
    assert in_stress(-24.04) == "-24.0 MPa"


def test_air_is_shown_as_a_gauge_can_tell_it_and_as_it_was_given():
    assert NEWTON.in_air(0.24821) == "2.5 bar"
    assert NEWTON.in_air(12.0) == "120 bar"
    assert KILOGRAM_FORCE.in_air(0.24821) == "36 psi"
    assert [NEWTON.given_air(each) for each in (0.6, 0.225)] == ["6 bar", "2.25 bar"]
    assert KILOGRAM_FORCE.given_air(0.24821) == "36 psi"


def test_a_stress_that_rounding_left_over_is_nothing():
    assert in_stress(-1e-13) == "0 MPa"
    assert in_stress(-0.0012) == "0 MPa"
    assert in_stress(1.2345) == "1.2 MPa"


def test_the_verdict_on_a_case_says_the_wall_the_load_and_the_runner_up(rim):
    made = judged(rim, "strike on one hook", wall("flank", 1.6, 1.25), wall("sidewall", 1.0, 0.8))
    assert governs(made.answers[0], NEWTON) == (
        "strike on one hook: the flank yields first, at 1250 N; then the sidewall, 60 % later."
    )
    assert "first, at 127 kgf; then" in governs(made.answers[0], KILOGRAM_FORCE)


def test_a_spoke_tension_is_that_of_every_spoke(rim):
    walls = wall("nipple seat", 0.2, 0.1), wall("spoke bed", 0.1, 0.2)
    made = judged(rim, "spoke tension", *walls)
    assert "first, at 5000 N in every spoke;" in governs(made.answers[0], NEWTON)
    assert headline(made, NEWTON) == (
        "First to yield under spoke tension: the nipple seat, at 5000 N in every spoke; "
        "permanent set begins at the spoke bed from 5000 N."
    )


def test_the_headline_says_the_governing_wall_its_load_and_the_load_of_a_set(rim):
    walls = wall("flank", 1.6, 1.25), wall("sidewall", 1.0, 0.8)
    made = judged(rim, "strike on one hook", *walls)
    assert headline(made, NEWTON) == (
        "First to yield under a strike on one hook, straight in: the flank, at 1250 N; "
        "permanent set begins from 1600 N."
    )
    assert "flank, at 127 kgf; permanent set begins from 163 kgf." in headline(made, KILOGRAM_FORCE)


def test_the_headline_of_a_solved_rim_rests_on_its_governing_case(rim):
    answer = rim.governing
    governing = answer.verdict.governing
    said = headline(rim, NEWTON)
    assert said.startswith(
        f"First to yield under a {answer.name}, straight in: the {governing.wall}, at"
    )
    assert f"at {figures(answer.load_at(governing.first_yield))} N;" in said


def test_a_rim_that_yields_before_any_strike_is_told_so(rim):
    walls = wall("spoke bed", math.inf, 0.5), wall("flank", 1.0, 0.8)
    made = judged(rim, "strike on one hook", *walls)
    assert headline(made, NEWTON) == (
        "The spoke bed yields first, under spoke tension and tyre pressure alone."
    )
    assert governs(made.answers[0], NEWTON) == (
        "strike on one hook: the spoke bed yields before it."
    )


@pytest.mark.parametrize(
    ("air", "told"),
    [
        (1.1, "under spoke tension and tyre pressure alone."),
        (0.9, "as soon as a blow has flattened the tyre."),
    ],
)
def test_what_yields_as_it_is_built_is_told_apart_from_what_a_flat_tyre_adds(rim, air, told):
    flat = WheelLoad(900.0, 60.0)
    struck = judged(rim, ONE_HOOK, wall("flank", math.inf, 0.5), wall("sidewall", 1.0, 0.8))
    blown = judged(rim, INFLATION, wall("flank", air, 0.5), wall("sidewall", 0.5, 0.8))
    first = struck.answers[0]
    case = replace(first.case, standing=(*first.case.standing, flat))
    both = replace(rim, answers=(replace(first, case=case), blown.answers[0]))
    assert headline(both, NEWTON) == f"The flank yields first, {told}"


def test_a_rim_that_buckles_under_its_spokes_has_no_other_verdict(rim):
    soft = replace(rim, wheel=replace(rim.wheel, buckling_tension_N=900.0))
    assert headline(soft, NEWTON) == (
        "The rim buckles sideways from 900 N a spoke: at 1000 N the wheel cannot be built."
    )
    assert "102 kgf the wheel cannot be built" in headline(soft, KILOGRAM_FORCE)


def test_an_inflation_that_yields_a_wall_is_told_as_a_pressure(rim):
    walls = wall("tyre well", 0.5, 0.4), wall("flank", 0.25, 0.2)
    answer = judged(rim, "inflation", *walls).answers[0]
    assert "first, at 5.0 bar; then the flank, 100 % later." in governs(answer, NEWTON)
    assert "first, at 73 psi;" in governs(answer, KILOGRAM_FORCE)


def test_how_far_a_strike_reaches_is_told_with_the_rim_that_carries_it(rim):
    walls = wall("flank", 1.6, 1.25), wall("sidewall", 1.0, 0.8)
    made = judged(rim, "strike on one hook", *walls).answers[0]
    reach = "the flank stays above half of its worst over 31 mm of rim"
    shared = replace(made, share_of_rim_mm=13.6)
    assert spread_words(shared) == (
        "The blow lands on 10 mm of rim in effect and is carried by "
        f"14 mm at the foot of the sidewall; {reach}."
    )
    assert spread_words(replace(made, share_of_rim_mm=None)) == f"Under the load {reach}."


def built(rim, tension=1000.0, **changed):
    """The rim in a wheel of that tension with some answers as given."""
    lacing = replace(rim.lacing, tension_N=tension)
    return replace(rim, lacing=lacing, wheel=replace(rim.wheel, **changed))


def test_the_wheel_is_told_with_its_lacing_slack_load_and_loss(rim):
    sound = built(rim, slack_load_N=2500.0, inflation_loss=0.123, buckling_tension_N=4000.0)
    (told,) = wheel_words(sound, NEWTON)
    assert told == (
        "Wheel (32 spokes, 3 crossings, 1000 N): a spoke goes slack at a wheel load of 2500 N; "
        "inflation takes 12 % of the tension."
    )
    assert "a wheel load of 255 kgf" in wheel_words(sound, KILOGRAM_FORCE)[0]


def test_spokes_that_go_slack_under_the_wheel_load_are_warned_of(rim):
    calm = {"buckling_tension_N": 4000.0}
    assert len(wheel_words(built(rim, slack_load_N=601.0, **calm), NEWTON)) == 1
    told = wheel_words(built(rim, slack_load_N=600.0, **calm), NEWTON)[1]
    assert told.startswith("WARNING: a spoke goes slack under the wheel load")


def test_a_tension_from_half_of_the_buckling_tension_on_is_warned_of(rim):
    calm = {"slack_load_N": 2500.0}
    assert len(wheel_words(built(rim, buckling_tension_N=2001.0, **calm), NEWTON)) == 1
    told = wheel_words(built(rim, buckling_tension_N=2000.0, **calm), NEWTON)[1]
    assert told.startswith("WARNING: the rim buckles sideways at 2000 N a spoke;")


def test_a_slice_has_no_wheel_to_tell_of(rim):
    assert wheel_words(replace(rim, wheel=None), NEWTON) == []


@pytest.mark.parametrize(
    ("margin", "said"),
    [
        (0.0, "0 % later (too close to call)"),
        (0.04, "4 % later (too close to call)"),
        (0.06, "6 % later"),
        (1.5, "150 % later"),
        (math.inf, "which carries nearly nothing"),
    ],
)
def test_a_runner_up_close_behind_is_too_close_to_call(margin, said):
    assert margin_words(margin) == said


def test_a_close_call_is_told_in_the_verdict(rim):
    walls = wall("flank", 1.0, 0.8), wall("bead seat", 0.97, 0.8)
    said = governs(judged(rim, "strike on one hook", *walls).answers[0], NEWTON)
    assert said.endswith("then the bead seat, 3 % later (too close to call).")


@pytest.mark.parametrize(
    ("first", "full", "told"),
    [
        (0.128, 0.04, "permanent set at 4 % more load and first yield at 13 % more load, +9 g"),
        (0.001, 0.04, "permanent set at 4 % more load and first yield as before, +9 g"),
        (-0.02, 0.04, "permanent set at 4 % more load and first yield at 2 % less load, +9 g"),
    ],
)
def test_where_more_metal_is_best_spent_is_told_by_both_limits(first, full, told):
    said = gain_words(Gain("sidewall", 0.1, first, full, 8.6))
    assert said == f"0.1 mm more is best spent at the sidewall: {told} a rim."


def test_no_gain_is_told_as_none():
    said = gain_words(Gain("sidewall", 0.1, 0.004, 0.004, 8.6))
    assert said == "0.1 mm more at any one wall buys nothing."


def test_a_load_ten_times_beyond_the_verdict_is_no_number(rim):
    walls = wall("flank", 1.0, 0.8), wall("sidewall", 0.11, 0.05)
    (answer,) = judged(rim, "strike on one hook", *walls).answers
    assert wall_load(answer, 0.11, NEWTON) == "18200 N"
    assert wall_load(answer, 0.05, NEWTON) == "-"


def test_a_mass_without_scales_says_that_nothing_checks_it(rim):
    said = mass_words(rim)
    assert said.startswith(f"Computed mass {rim.hoop.mass_g:.0f} g;")
    assert "weigh the bare hoop" in said


def test_what_of_the_mass_is_in_the_joint_is_said_and_whether_anyone_weighed_it(rim):
    def said(**joint):
        return mass_words(inspect(rim.sheet.varied(**joint), coarseness=2.5))

    more = f"Computed mass {rim.hoop.mass_g + 10:.0f} g (10 g of it in the joint"
    assert said(joint="sleeved").startswith(f"{more}, assumed)")
    assert said(joint="sleeved", joint_mass_g=10).startswith(f"{more})")
    assert "joint" not in said(joint="welded")


def test_a_measured_erd_is_held_against_the_drawn_one(rim):
    assert diameter_words(rim.sheet) == []
    drawn = rim.sheet.erd_mm
    known = {"hook_height_mm": rim.sheet.hook_height_mm}
    (wrong,) = diameter_words(rim.sheet.varied(erd_mm=drawn + 6, **known))
    assert wrong.startswith(
        f"ERD in the sheet {drawn + 6:.0f} mm, drawn {drawn:.0f} ± 2.3: they do not agree. Measure"
    )
    (right,) = diameter_words(rim.sheet.varied(erd_mm=drawn + 1, **known))
    assert right.endswith(": they agree.")


@pytest.mark.parametrize(
    ("share", "verdict"),
    [
        (0.9, "which agree within the ±"),
        (-0.9, "which agree within the ±"),
        (1.1, "which do not agree: that is more than the ±"),
        (-1.1, "which do not agree: that is more than the ±"),
    ],
)
def test_a_weighed_mass_agrees_within_what_measurements_leave_open(rim, share, verdict):
    open_g = weighed(rim.sheet).open_g
    on_scales = rim.hoop.mass_g - share * open_g
    said = mass_words(replace(rim, sheet=rim.sheet.varied(weighed_mass_g=on_scales)))
    percent = 100 * share * open_g / on_scales
    assert f"weighed {on_scales:.0f} g: {share * open_g:+.0f} g ({percent:+.1f} %), " in said
    assert f"{verdict}{open_g:.0f} g that caliper, guesses and joint leave open" in said
    assert ("reconcile" in said) == (abs(share) > 1)
    sign = "-" if share > 0 else r"\+"
    told = re.search(rf"in comparisons the scales move the flank {sign}0\.\d\d mm", said)
    assert bool(told) == (abs(share) < 1)


def test_a_section_that_its_sheet_does_not_draw_is_not_judged_by_its_doubts(rim):
    other = replace(rim.hoop, mass_g=0.9 * rim.hoop.mass_g)
    said = mass_words(replace(rim, hoop=other, sheet=rim.sheet.varied(weighed_mass_g=500)))
    assert said.endswith(" %).")


def test_the_caution_says_what_the_model_leaves_out_and_who_has_the_last_word():
    for said in ("Indicative only", "damage", "hidden faults", "can injure", "maker's limits"):
        assert said in CAUTION


def test_tones_that_were_heard_are_told_with_whether_they_are_used(rim, monkeypatch):
    monkeypatch.setattr("rimfea.vary.tap.COARSE", 2.5)
    assert tones_words(rim.sheet) == []
    low = [round(float(each)) for each in tap(rim.sheet).hertz[:2]]
    heard = f"Tones heard, {low[0]} and {low[1]} Hz: the sheet agrees, "

    def said(*tones, **changes):
        (line,) = tones_words(rim.sheet.varied(tones_Hz=tones, **changes))
        return line

    assert said(*low) == f"{heard}and every question uses what they tell of the walls."
    assert said(*low, weighed_mass_g=400).endswith("it is not used before the scales agree too.")
    assert "does not agree with them (rimfea tap" in said(*(0.9 * each for each in low))
    mass = replace(rim, sheet=rim.sheet.varied(weighed_mass_g=rim.hoop.mass_g - 9, tones_Hz=low))
    assert "in comparisons the scales and the tones move the " in mass_words(mass)
