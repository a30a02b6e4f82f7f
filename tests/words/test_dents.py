"""Dents in sentences and tables, of dents made up by hand."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest

from rimfea.study.dent import ASSUMES, SETS_MM
from rimfea.words.dents import (
    ESTIMATE,
    dent_assumptions,
    dent_lines,
    dent_words,
    dents_table,
    depth_words,
    drop_words,
    last_dents_table,
    left_words,
    rough_force,
)
from rimfea.words.numbers import Units
from rimfea.words.rides import first_to_dent, ladder_table, ladders_table, ride_lines

NEWTON, KILOGRAM_FORCE = Units(), Units(force="kgf")


def left_with(known, own_mm):
    """The same wheel, its own blow leaving that."""
    again = replace(known)
    vars(again).update(dent=known.dent, own_dent_mm=own_mm)
    return again


def test_the_rear_wheel_is_told_first_with_blow_dent_and_drop(both):
    rear, front = dent_lines(both, NEWTON)
    assert rear.startswith("Rear: this blow (a drop of 200 mm) leaves a dent ")
    assert front.startswith("Front: this blow ")
    drop = drop_words(both[1].dented(0.5).drop_mm)
    assert f"; 0.5 mm takes a drop of {drop}." in rear


def test_folding_and_cracking_are_told_where_they_were_found(bare, dented_by_hand):
    folding = dent_words(dented_by_hand(bare[1]), NEWTON)
    assert "The hook folds over at 2200 N; the metal may crack from a dent of " in folding
    rising = dented_by_hand(bare[1], force=(1000.0, 1400.0, 1800.0, 2000.0, 2400.0), flowed=0.01)
    told = dent_words(rising, NEWTON)
    assert "fold" not in told
    assert "crack" not in told
    assert told.endswith(" mm.")
    cracking = dented_by_hand(bare[1], force=(1000.0, 1400.0, 1800.0, 2000.0, 2400.0))
    assert " The metal may crack from a dent of " in dent_words(cracking, NEWTON)


@pytest.mark.parametrize(
    ("own", "told"),
    [
        (0.0, "leaves no dent"),
        (0.004, "leaves a dent of less than 0.1 mm"),
        (0.333, "leaves a dent of 0.3 mm"),
        (inf, "leaves a dent deeper than 1 mm"),
    ],
)
def test_what_the_blow_leaves_is_told_to_a_tenth(both, own, told):
    assert left_words(left_with(both[1], own)) == told


def test_depths_drops_and_forces_have_no_finer_digits_than_are_meant():
    assert [depth_words(each) for each in (0.04, 0.06, 0.449)] == [
        "less than 0.1 mm", "0.1 mm", "0.4 mm",
    ]  # fmt: skip
    assert [drop_words(each) for each in (0.0, 0.4, 8.23, 81.7, 154.4, inf)] == [
        "0 mm", "0 mm", "8.2 mm", "82 mm", "150 mm", "-",
    ]  # fmt: skip
    assert rough_force(2302.0, NEWTON) == "2300 N"
    assert rough_force(2302.0, KILOGRAM_FORCE) == "230 kgf"


def test_a_wheel_without_a_dent_has_no_line_and_one_that_was_lost_says_so(bare):
    assert list(dent_lines(bare, NEWTON)) == []
    lost = replace(bare[1])
    vars(lost)["found_dent"] = None
    (told,) = dent_lines([bare[0], lost], NEWTON)
    assert told.startswith("Rear: the dent could not be followed; ")
    assert "estimate" in told


def test_dents_stand_before_all_else_that_is_said_of_a_set_up(both):
    told = ride_lines(both, NEWTON)
    assert told[0].startswith("Set-up fell")
    assert told[1:3] == list(dent_lines(both, NEWTON))
    assert len(told) == 6


def test_the_wheel_that_dents_at_the_lower_drop_dents_first(bare, both):
    rear = drop_words(both[1].dented(0.5).drop_mm)
    front = drop_words(both[0].dented(0.5).drop_mm)
    assert both[1].dented(0.5).drop_mm < both[0].dented(0.5).drop_mm
    assert first_to_dent(both) == (
        "The rear wheel dents first: its rim keeps a 0.5 mm dent from a drop of about "
        f"{rear}, the front wheel's from {front}."
    )
    assert "yields first" in first_to_dent([bare[0], both[1]])


def test_the_ladder_has_dents_in_place_of_the_set(bare, both):
    events = [row[1] for row in ladder_table(both, NEWTON).rows]
    assert [each for each in events if "dent" in each] == 2 * [
        "0.1 mm dent", "0.5 mm dent", "1 mm dent",
    ]  # fmt: skip
    assert not [each for each in events if "set begins" in each]
    assert [each for each in (row[1] for row in ladder_table(bare, NEWTON).rows) if "set" in each]
    dents = [row for row in ladder_table(both[1:], NEWTON).rows if "dent" in row[1]]
    assert [row[4] for row in dents] == [f"{each.drop_mm:.0f} mm" for each in both[1].dents]


def test_rims_side_by_side_have_a_column_of_dents_where_any_is_known(bare, both):
    table = ladders_table([bare[0], both[1]])
    column = table.head.index("0.5 mm dent")
    assert [row[column] for row in table.rows] == ["-", drop_words(both[1].dented(0.5).drop_mm)]
    assert "0.5 mm dent" not in ladders_table(bare).head


def test_the_table_has_a_row_a_dent_and_the_held_crown_where_it_was_asked_for(bare, both):
    table = dents_table([bare[0], both[1]], NEWTON)
    assert [row[1] for row in table.rows] == [f"{each:g} mm" for each in SETS_MM]
    assert {row[2] for row in table.rows} == {"free to slide"}
    held = left_with(both[1], 0.3)
    vars(held)["dent"] = replace(both[1].dent)
    vars(held.dent)["held"] = both[0].dent.free
    crowns = [row[2] for row in dents_table([held], NEWTON).rows]
    assert crowns == ["free to slide"] * 3 + ["held by the rock"] * 3


def test_what_was_not_followed_so_far_is_told_as_such(both):
    far = left_with(both[1], 0.3)
    vars(far)["dented"] = lambda *_, **__: replace(both[1].dented(0.5), drop_mm=inf)
    assert {cell for row in dents_table([far], NEWTON).rows for cell in row[3:]} == {"-"}


def test_the_last_dent_is_told_with_its_length_under_a_straight_edge(bare, both):
    ((name, fold, crack, deepest, length),) = last_dents_table([bare[0], both[1]], NEWTON).rows
    assert (name, fold, deepest) == ("snipe, rear", "2200 N", "1.1 mm")
    assert crack.endswith(" mm")
    assert float(length.split()[0]) == pytest.approx(both[1].dent.length_mm, rel=0.05)


def test_what_dents_rest_on_is_said_and_that_the_set_is_else_an_estimate(bare, both):
    assert dent_assumptions(both) == (ASSUMES,)
    assert dent_assumptions(bare) == (ESTIMATE,)
    assert dent_assumptions([bare[0], both[1]]) == (ASSUMES, ESTIMATE)
