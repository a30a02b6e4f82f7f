"""What a reader is told first: warnings, then what is clear, then the answers."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest

from rimfea.ask.thicker import Gain
from rimfea.vary.tap import tap
from rimfea.words.numbers import Units
from rimfea.words.verdict import (
    MOST_WALLS,
    answer_lines,
    blow_warning,
    build_words,
    clear_words,
    ladder_table,
    remedy,
    scales_lines,
    short_gain,
    verdict_lines,
    walls_table,
)

NEWTON, KILOGRAM_FORCE = Units(), Units(force="kgf", pressure="psi")


def with_blow(known, *, hook_N, own_mm, drop_mm=80.0):
    """The same wheel under a blow laid out by hand."""
    again = replace(known)
    vars(again).update(dent=known.dent, hook_N=hook_N, own_dent_mm=own_mm, drop_mm=drop_mm)
    return again


def first_yield(known):
    return known.answer.load_at(known.answer.verdict.governing.first_yield)


def test_a_blow_that_dents_is_warned_of_first_with_what_to_do(both):
    front, rear = both
    wheels = [
        with_blow(front, hook_N=0.0, own_mm=0.0),
        with_blow(rear, hook_N=2 * first_yield(rear), own_mm=0.31),
    ]
    told = verdict_lines(rear.analysis, wheels, NEWTON)
    assert told[0].startswith("WARNING snipe, rear, fell: this blow dents the rim by about 0.3 mm")
    assert "as hard as a drop of 80 mm; 0.1 mm takes" in told[0]
    assert told[0].endswith(("or more.", "stronger rim."))
    assert told[-1].startswith("Front: clear. This blow stays in the tyre at ")


def test_a_dent_that_does_not_show_is_told_as_yielding(both):
    known = with_blow(both[1], hook_N=1.01 * first_yield(both[1]), own_mm=0.01)
    assert "makes the rim yield a little" in blow_warning(known, NEWTON)
    assert "no dent that shows" in blow_warning(known, NEWTON)


def test_a_dent_deeper_than_was_followed_is_told_as_more(both):
    known = with_blow(both[1], hook_N=2 * first_yield(both[1]), own_mm=inf)
    assert "dents the rim by more than 1 mm" in blow_warning(known, NEWTON)


def test_without_a_dent_the_yield_is_warned_of(bare):
    known = replace(bare[1])
    vars(known)["hook_N"] = 2 * first_yield(known)
    assert "makes the rim yield (" in blow_warning(known, NEWTON)


def test_a_blow_that_the_rim_bears_is_no_warning_but_the_tube_is_not_clear(both):
    known = with_blow(both[1], hook_N=0.9 * first_yield(both[1]), own_mm=0.0)
    assert blow_warning(known, NEWTON) == ""
    assert clear_words(known, NEWTON).startswith("the rim is clear, the tube is not.")


def test_where_no_air_helps_that_is_said(both):
    known = replace(both[1])
    vars(known)["ladder"] = known.ladder
    none = (inf,) * len(known.ladder.rungs)
    ladder = replace(known.ladder)
    vars(ladder)["pressure_MPa"] = none
    assert remedy(replace(known, ladder=ladder), NEWTON).startswith("No air helps: ")


def test_two_clear_wheels_are_told_in_one_line(both):
    wheels = [with_blow(each, hook_N=0.0, own_mm=0.0) for each in both]
    told = verdict_lines(both[1].analysis, wheels, NEWTON)
    assert told[0].startswith("snipe, fell: clear. ")
    assert len(told) == 1


def test_no_tension_that_works_is_in_the_first_line(both):
    window = both[1].window
    low = replace(window.lowest, tension_N=window.highest.tension_N + 100)
    shut = replace(window, lower=(low,))
    known = replace(with_blow(both[1], hook_N=0.0, own_mm=0.0), window=shut)
    vars(known).update(hook_N=0.0, own_dent_mm=0.0, drop_mm=0.0, dent=both[1].dent)
    told = verdict_lines(known.analysis, [known], NEWTON)
    assert told[0].startswith("WARNING snipe, rear: no tension works.")
    assert build_words(known, NEWTON) == "rear: no tension works"


def test_the_answers_tell_wall_dent_build_and_metal_in_the_readers_units(both):
    told = list(
        answer_lines(both[1].analysis, both, KILOGRAM_FORCE, Gain("flank", 0.1, 0.1, 0.04, 8))
    )
    assert told[0].startswith("First to yield: the ")
    assert "kgf on one hook" in told[0]
    assert told[1].startswith("0.5 mm dent: rear from a drop of ")
    assert told[2].startswith("Build: front ")
    assert " N" not in told[2]
    assert told[3] == (
        "0.1 mm more is best spent at the flank: first yield +10 %, permanent set +4 %, +8 g a rim."
    )


def test_a_dent_that_nobody_followed_is_told_with_an_estimate(bare):
    told = list(answer_lines(bare[1].analysis, bare, NEWTON, None))
    assert told[1].startswith("A dent was not followed: set is estimated to begin at ")


def test_no_gain_stays_no_gain():
    assert short_gain(Gain("sidewall", 0.1, 0.004, 0.004, 8.6)).endswith(" buys nothing.")


def test_the_short_tables_hold_one_wheel_and_the_walls_that_give_first(both):
    ladder, walls = ladder_table(both[1], NEWTON), walls_table(both[1].analysis, NEWTON)
    assert len(ladder.rows) == len(both[1].full_ladder.rungs)
    assert len(walls.rows) <= MOST_WALLS
    assert walls.rows[0][0] == both[1].analysis.governing.verdict.governing.wall


@pytest.mark.long
def test_scales_and_tones_that_do_not_agree_are_warned_of(looked, monkeypatch):
    monkeypatch.setattr("rimfea.vary.tap.COARSE", 2.5)

    def said(**own):
        return " ".join(scales_lines(replace(looked, sheet=looked.sheet.varied(**own))))

    low = [float(each) for each in tap(looked.sheet).hertz[:2]]
    assert said(weighed_mass_g=looked.hoop.mass_g, tones_Hz=low) == ""
    assert "g weighed do not agree" in said(weighed_mass_g=0.7 * looked.hoop.mass_g)
    assert "tones that were heard and the sheet do not agree (rimfea tap)" in said(
        tones_Hz=[0.88 * each for each in low]
    )
