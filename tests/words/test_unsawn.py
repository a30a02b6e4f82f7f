"""What is said of the walls that nobody measured."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from rimfea.ask.reconcile import Ending
from rimfea.vary.tap import Hint
from rimfea.vary.unsawn import MASS, TONES, Gain
from rimfea.words.reconcile import walls_lines
from rimfea.words.unsawn import going_on, next_lines, unsawn_lines, walls_table

KEYS = ("tyre_well_mm", "bead_seat_mm", "flank_mm")
NOW = np.array([0.14, 0.19, 0.112])
WALLS = (
    Hint("tyre_well_mm", 1.05, -0.1213, 0.182, 0.14),
    Hint("bead_seat_mm", 1.2, -0.1, 0.21, 0.19),
    Hint("flank_mm", 1.05, -0.191, 0.182, 0.112),
)


def gain(key, *after):
    return Gain(key, NOW, np.array(after))


WELL = gain("tyre_well_mm", 0.05, 0.18, 0.092)


@pytest.fixture
def found():
    """What could be found of a rim, made up: ``found(hears=False)``."""

    def make(walls=WALLS, gains=(WELL,), alike=(), *, hears=True, apart_g=-49.0, tap="tapped"):
        scales = SimpleNamespace(apart_g=apart_g, reach_g=61.0)
        return SimpleNamespace(
            sheet=SimpleNamespace(name="dunnock"),
            keys=KEYS,
            known=SimpleNamespace(weighed=scales, tap=tap),
            walls=walls,
            gains=gains,
            alike=alike,
            weighs=bool(walls),
            hears=hears,
        )

    return make


def test_a_row_a_wall_no_finer_than_it_is_known(found):
    table = walls_table(found())
    assert table.title == "Walls that nobody measured"
    assert table.head == ("wall", "in the sheet", "by scales and tones", "± before", "± after")
    assert table.rows[0] == ("tyre well", "1.05 mm", "0.93 mm", "0.18 mm", "0.14 mm")
    assert table.rows[2] == ("flank", "1.05 mm", "0.86 mm", "0.18 mm", "0.11 mm")
    assert walls_table(found(hears=False)).head[2] == "by scales"


def test_walls_to_go_on_with_are_told_but_where_the_sheet_has_them(found):
    assert going_on(found()) == (
        "To go on with these walls, write tyre_well_mm = 0.93, bead_seat_mm = 1.10, flank_mm = "
        "0.86 into the sheet and leave them in guessed."
    )
    near = [replace(each, moved=0.01) for each in WALLS]
    assert going_on(found(walls=near)) == (
        "The sheet has these walls as near as scales and tones can tell."
    )


@pytest.mark.parametrize(
    ("gains", "said"),
    [
        (
            [WELL],
            (
                "Measure the tyre well next, through the valve hole: then the flank would be known "
                "to ±0.09 mm, not ±0.11 mm."
            ),
        ),
        (
            [gain(TONES, 0.13, 0.18, 0.08), WELL],
            (
                "Tap the rim next (rimfea tap dunnock): then the flank would be known to ±0.08 mm, "
                "not ±0.11 mm."
            ),
        ),
        (
            [gain(MASS, 0.09, 0.18, 0.10)],
            "Weigh the bare rim next: then the tyre well would be known to ±0.09 mm, not ±0.14 mm.",
        ),
        (
            [gain("bead_seat_mm", 0.14, 0.05, 0.11)],
            "Measure the bead seat next: then it would be known to ±0.05 mm.",
        ),
        (
            [gain("sidewall_mm", 0.139, 0.19, 0.11)],
            "No other reading tells much more of the walls that nobody measured: that takes a saw.",
        ),
    ],
)
def test_the_best_reading_is_told_by_what_it_does_to_another_wall(found, gains, said):
    assert next(next_lines(found(gains=gains))) == said


def test_tones_that_nobody_heard_are_asked_for_even_where_another_reading_helps_more(found):
    _, tones = next_lines(found(gains=[WELL, gain(TONES, 0.13, 0.18, 0.1)]))
    assert tones.startswith("Tap the rim as well (rimfea tap dunnock): then the flank would be")
    assert len([*next_lines(found(gains=[WELL, gain(MASS, 0.14, 0.19, 0.112)]))]) == 1


def test_what_stays_unknown_is_said(found):
    alike = (("tyre_well_mm", "flank_mm"), ("bead_seat_mm", "flank_mm"))
    *_, pairs, dark = unsawn_lines(found(alike=alike))
    assert pairs == (
        "Scales and tones hardly tell the tyre well from the flank or the bead seat from the "
        "flank: where one is thicker than in the table, the other is thinner."
    )
    assert dark == "Scales and tones tell next to nothing of the bead seat."


def test_tones_that_do_not_agree_are_said_to_tell_nothing(found):
    first, *_ = unsawn_lines(found(hears=False))
    assert first.startswith("The tones do not agree with the sheet (rimfea tap) and tell nothing")
    assert "tones do not" not in " ".join(unsawn_lines(found(hears=False, tap=None)))


@pytest.mark.parametrize(("apart_g", "word"), [(-80.0, "thinner"), (80.0, "thicker")])
def test_where_the_scales_do_not_agree_it_is_said_with_what_to_do(found, apart_g, word):
    (said,) = unsawn_lines(found(walls=(), hears=False, apart_g=apart_g))
    assert said.startswith(
        "Of the walls that nobody measured (tyre well, bead seat and flank) nothing is told: "
        "scales and drawing lie 80 g apart, and no guesses within their ± explain more than 61 g."
    )
    assert said.endswith(f"guess {word} walls and ask again.")


@pytest.mark.parametrize(
    ("ending", "hears", "begins"),
    [
        (Ending.SCALED, True, "What is changed fits the mass alone: of these walls the tones tell"),
        (Ending.SCALED, False, "Measure the tyre well next"),
        (Ending.AGREES, False, "To go on with these walls, write tyre_well_mm = 0.93, "),
    ],
)
def test_beside_what_was_scaled_it_is_said_which_to_go_on_with(found, ending, hears, begins):
    held = [SimpleNamespace(what="mass")]
    told = SimpleNamespace(unsawn=found(hears=hears, tap=None), ending=ending, held=held)
    lines = [*walls_lines(told)]
    assert lines[0].startswith(begins)
    assert ("To go on with" in " ".join(lines)) == (hears or ending is Ending.AGREES)
