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
from rimfea.words.worth import doubts_table, source_words, worth_headline, worth_lines, worth_table

KEYS = ("sidewall_mm", "flank_mm", "hook_lip_mm", "inner_width_mm")
MASS, YIELD, SET, SQUEEZE = (
    OUTCOMES.index(BY_KEY[k]) for k in ("mass_g", "yield_N", "set_N", "squeeze_MPa")
)


def made(**slopes):
    """A rim of 500 g that yields at 1300 N and sets at 2600 N, with slopes per mm of mass and of
    first yield, those of set as large.
    """
    base = np.array([np.nan if each.dent else 100.0 for each in OUTCOMES])
    base[[MASS, YIELD, SET]] = 500.0, 1300.0, 2600.0
    slope = np.zeros((len(KEYS), len(OUTCOMES)))
    for key, (mass, force) in slopes.items():
        slope[KEYS.index(key), [MASS, YIELD, SET]] = mass, force, force
    sources = tuple(Source(Origin.READING, key, "dunlin") for key in KEYS)
    known = Doubt(sources, np.diag([0.01, 0.05, 0.02, 0.02]))
    return Worth(Sensitivity(SimpleNamespace(name="dunlin"), KEYS, base, slope, known))


@pytest.fixture
def found():
    return made(sidewall_mm=(40, 700), flank_mm=(140, 700), hook_lip_mm=(40, -60))


def test_the_next_gram_goes_where_it_buys_most_and_is_saved_where_it_buys_least(found):
    told = worth_headline(found)
    assert told == (
        "dunlin: the next gram is best spent at the sidewall, +18 N to permanent set and +18 N to "
        "first yield; a gram less costs least at the hook lip, +2 N to permanent set and +2 N to "
        "first yield."
    )


def test_a_gram_is_judged_by_first_yield_and_set_together(found):
    """The flank buys first yield, but the sidewall set: 35 of 2600 N weigh more than 8 of 1300."""
    found.slopes.slope[0, [YIELD, SET]] = 0.0, 1400.0
    found.slopes.slope[1, [YIELD, SET]] = 1120.0, 0.0
    assert next(iter(found.per_gram("yield_N"))) == "flank_mm"
    assert next(iter(found.per_gram())) == "sidewall_mm"


def test_a_saving_that_squeezes_the_casing_harder_says_so(found):
    found.slopes.slope[2, SQUEEZE] = -48.0
    assert "+1.2 MPa to the casing squeeze" in worth_headline(found)


def test_dimensions_without_mass_are_no_place_for_a_gram():
    told = worth_headline(made(inner_width_mm=(0.0, 50.0)))
    assert told == "dunlin: none of these dimensions changes the mass."


def test_the_doubt_is_told_with_the_measurement_that_leaves_most_of_it(found):
    total = 2 * np.hypot(np.hypot(7, 35), 1.2)
    full, first = worth_lines(found)
    assert f"First yield: 1300 ± {total:.0f} N" in first
    assert f"Permanent set: 2600 ± {total:.0f} N" in full
    assert first.endswith("the flank.")


def test_what_was_left_out_is_told_with_its_reason(found):
    without = replace(found.slopes, left_out={"bead_seat_mm": "the mesh cannot follow"})
    assert worth_lines(Worth(without))[2:] == ["Left out: bead seat: the mesh cannot follow"]


def test_every_dimension_has_a_row_for_a_tenth_of_a_millimetre(found):
    table = worth_table(found)
    row = dict(zip(table.head, table.rows[0], strict=True))
    assert [each[0] for each in table.rows] == ["sidewall", "flank", "hook lip", "inner width"]
    assert (row["k = 2"], row["mass g"], row["yield N"]) == ("±0.020 mm", "+4.0", "+70")
    assert row["yield N/g"] == row["set N/g"] == "+17.5"
    assert table.rows[3][-1] == "-"


def test_trials_stand_beside_the_slopes(found):
    spread = np.outer([-1.0, 0.0, 1.0], np.arange(1.0, len(OUTCOMES) + 1))
    table = doubts_table(replace(found, trials=MonteCarlo(100 + spread, 0)))
    assert table.head[-1] == "k = 2, by trial"
    assert [row[-1] for row in table.rows][:2] == ["±2.0", "±4.0"]
    assert len(doubts_table(found).head) == 4
    drop = next(row for row in table.rows if row[0] == "drop at first yield")
    assert (drop[2], drop[4]) == ("-", "-")


def test_the_bars_are_as_long_as_the_slopes(found):
    left, right = worth_figure(found).axes
    gains = sorted(bar.get_width() for bar in left.patches)
    assert gains == pytest.approx(sorted(2 * [-1.5, 5.0, 17.5]))
    assert max(bar.get_width() for bar in right.patches) == pytest.approx(70.0)


ENERGY = OUTCOMES.index(BY_KEY["dent_J"])


@pytest.fixture
def bending(found):
    """The same rim with the energy of its dent known: 2 J, and most by the gram at the hook lip."""
    for key in ("dent_N", "dent_J"):
        found.slopes.base[OUTCOMES.index(BY_KEY[key])] = 2.0
    found.slopes.slope[:, ENERGY] = 1.6, 2.8, 8.0, 0.0
    return found


def test_where_a_gram_is_best_spent_against_dents_is_told_first(bending):
    first, *_, last = worth_lines(bending)
    assert first == (
        "Against dents the next gram is best spent at the hook lip: 0.20 J more (+10.0 %) that the "
        "hook takes up before it is dented by 0.5 mm; the tyre's share of a blow stays."
    )
    assert last.startswith("0.5 mm dent: 2.00 ± 0.43 J (k = 2")
    bending.slopes.slope[0, ENERGY] = 80.0
    assert "best spent there too: 2.0 J more" in worth_lines(bending)[0]


def test_a_dent_has_its_columns_only_where_its_slopes_are_known(bending):
    table = worth_table(bending)
    row = dict(zip(table.head, table.rows[2], strict=True))
    assert (row["dent J"], row["dent J/g"], row["dent N"]) == ("+0.80", "+0.20", "0")
    bending.slopes.slope[0, ENERGY] = np.nan
    assert "dent J" not in worth_table(bending).head
    assert not any("dent" in line for line in worth_lines(bending))


def test_outcomes_that_are_not_known_have_no_row(bending):
    titles = [row[0] for row in doubts_table(bending).rows]
    assert "energy of a 0.5 mm dent" in titles
    assert "drop of a 0.5 mm dent" not in titles
    unknown = bending.slopes.slope.copy()
    unknown[:, ENERGY] = np.nan
    unsure = Worth(replace(bending.slopes, slope=unknown))
    (row,) = (row for row in doubts_table(unsure).rows if "energy" in row[0])
    assert row[1:] == ("2.00 J", "-", "-")


def test_every_error_is_named_in_the_builders_words():
    origins = (Origin.TONES, Origin.SCALES, Origin.METAL)
    told = [source_words(Source(origin, "tone 1", "dunlin")) for origin in origins]
    assert told == ["the tones", "the scales", "the proof stress of the metal"]
