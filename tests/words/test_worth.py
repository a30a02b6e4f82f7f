from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from rimfea.ask.worth import Worth
from rimfea.picture.worth import worth_figure
from rimfea.study.outcome import BY_KEY, OUTCOMES
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.sensitivity import Sensitivity
from rimfea.vary.trials import MonteCarlo
from rimfea.words.worth import doubts_table, worth_headline, worth_lines, worth_table

KEYS = ("sidewall_mm", "flank_mm", "hook_lip_mm", "inner_width_mm")
MASS, YIELD, SQUEEZE = (OUTCOMES.index(BY_KEY[k]) for k in ("mass_g", "yield_N", "squeeze_MPa"))


def made(**slopes):
    """A rim of 500 g that yields at 1300 N, with slopes per mm of mass and of first yield."""
    base = np.full(len(OUTCOMES), 100.0)
    base[MASS], base[YIELD] = 500.0, 1300.0
    slope = np.zeros((len(KEYS), len(OUTCOMES)))
    for key, (mass, force) in slopes.items():
        slope[KEYS.index(key), [MASS, YIELD]] = mass, force
    sources = tuple(Source(Origin.READING, key, "dunlin") for key in KEYS)
    known = Doubt(sources, np.diag([0.01, 0.05, 0.02, 0.02]))
    return Worth(Sensitivity(SimpleNamespace(name="dunlin"), KEYS, base, slope, known))


@pytest.fixture
def found():
    return made(sidewall_mm=(40, 700), flank_mm=(140, 700), hook_lip_mm=(40, -60))


def test_the_next_gram_goes_where_it_buys_most_and_is_saved_where_it_buys_least(found):
    told = worth_headline(found)
    assert told.startswith("dunlin: the next gram is best spent at the sidewall, +18 N")
    assert "one less at the hook lip costs least: +1.5 N." in told


def test_a_saving_that_squeezes_the_casing_harder_says_so(found):
    found.slopes.slope[2, SQUEEZE] = -48.0
    assert "+1.2 MPa to the casing squeeze" in worth_headline(found)


def test_dimensions_without_mass_are_no_place_for_a_gram():
    told = worth_headline(made(inner_width_mm=(0.0, 50.0)))
    assert told == "dunlin: none of these dimensions changes the mass."


def test_the_doubt_is_told_with_the_measurement_that_leaves_most_of_it(found):
    total = 2 * np.hypot(np.hypot(7, 35), 1.2)
    (told,) = worth_lines(found)
    assert f"1300 ± {total:.0f} N" in told
    assert told.endswith("the flank.")


def test_what_was_left_out_is_told_with_its_reason(found):
    without = replace(found.slopes, left_out={"bead_seat_mm": "the mesh cannot follow"})
    assert worth_lines(Worth(without))[1:] == ["Left out: bead seat: the mesh cannot follow"]


def test_every_dimension_has_a_row_for_a_tenth_of_a_millimetre(found):
    table = worth_table(found)
    row = dict(zip(table.head, table.rows[0], strict=True))
    assert [each[0] for each in table.rows] == ["sidewall", "flank", "hook lip", "inner width"]
    assert (row["k = 2"], row["mass g"], row["yield N"]) == ("±0.020 mm", "+4.0", "+70")
    assert row["yield N/g"] == "+17.5"
    assert table.rows[3][-1] == "-"


def test_trials_stand_beside_the_slopes(found):
    spread = np.outer([-1.0, 0.0, 1.0], np.arange(1.0, len(OUTCOMES) + 1))
    table = doubts_table(replace(found, trials=MonteCarlo(100 + spread, 0)))
    assert table.head[-1] == "k = 2, by trial"
    assert [row[-1] for row in table.rows][:2] == ["±2.0", "±4.0"]
    assert len(doubts_table(found).head) == 4


def test_the_bars_are_as_long_as_the_slopes(found):
    left, right = worth_figure(found).axes
    gains = sorted(bar.get_width() for bar in left.patches)
    assert gains == pytest.approx([-1.5, 5.0, 17.5])
    assert max(bar.get_width() for bar in right.patches) == pytest.approx(70.0)
