from __future__ import annotations

import pytest

from rimfea.ask.why import carried
from rimfea.picture.why import why_figure
from rimfea.words.data import answers
from rimfea.words.numbers import Units
from rimfea.words.why import why_headline, why_lines, why_table


@pytest.fixture(scope="module")
def found(whimbrel):
    return carried(whimbrel)


def test_the_wall_that_carries_most_is_told_first_and_marked(found):
    carrier = found.carrier
    assert why_headline(found) == (
        f"Whimbrel: The {carrier.piece} carries most of the blow: "
        f"{100 * carrier.carries:.0f} % of it goes along the rim there."
    )
    table = why_table(found, Units())
    assert [table.rows[k][0] for k in table.marked] == [str(carrier.piece)]


def test_it_is_told_where_the_blow_lands_how_it_spreads_and_what_gives_first(found):
    spread, spokes, verdict = why_lines(found, Units())
    assert spread.startswith("The blow of 2000 N on one hook lands on 10 mm of rim in effect. ")
    assert "comes through the foot of the sidewall, on 1" in spread
    assert spokes.count(" N") == 3
    assert verdict.endswith("The blow bends it along the rim.")


def test_forces_are_told_in_the_unit_asked_for(found):
    spread, spokes, _ = why_lines(found, Units(force="kgf"))
    assert "204 kgf" in spread
    assert "kgf of tension" in spokes
    assert why_table(found, Units(force="kgf")).rows[0][-1].endswith(" kgf")


def test_data_hold_every_wall_with_its_share(found):
    (told,) = answers([found.analysis], whys=[found])["whys"]
    assert [step["wall"] for step in told["steps"]] == [str(step.piece) for step in found.steps]
    assert sum(step["carries"] for step in told["steps"]) == pytest.approx(1.0)
    assert told["steps"][0]["yields_N"] == pytest.approx(
        found.answer.load_at(found.steps[0].weakest.first_yield)
    )
    assert "whys" not in answers([found.analysis])


def test_the_picture_has_a_bar_a_wall_and_the_blow(found):
    section, bars = why_figure(found, Units()).axes
    assert len(bars.patches) == len(found.steps)
    assert "2000 N" in [text.get_text() for text in section.texts]
