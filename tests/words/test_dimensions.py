from __future__ import annotations

import pytest

from rimfea.profile.families import Family
from rimfea.study.analysis import inspect
from rimfea.words.data import answers
from rimfea.words.dimensions import details, dimensions_table, grams_table, grams_words, walls_table


@pytest.fixture(scope="module")
def rims(sheet_of):
    thick = sheet_of(name="ruff", sidewall_mm=1.8, hook_lip_mm=2.61)
    single = sheet_of(Family.SINGLE, name="knot")
    return [inspect(sheet, coarseness=2.0) for sheet in (sheet_of(), thick, single)]


def rows(table):
    return {row[0]: row[1:] for row in table.rows}


def test_a_row_a_wall_tells_grams_and_only_what_a_caliper_can_tell(rims):
    table = rows(walls_table(rims))
    assert table["sidewall"][1].startswith("+")
    assert table["sidewall"][1].endswith(" g, sidewall +0.30")
    assert "hook lip" not in table["hook"][1]
    assert table["flank"][2] == f"-{table['flank'][0].split()[0]} g, no flank"
    assert table["width and depth"] == ("", "alike", "overall depth -7.00")


def test_all_dimensions_are_told_on_demand_with_what_nobody_measured_in_brackets(rims):
    sheets = [rim.sheet for rim in rims[:2]]
    few, every = rows(dimensions_table(sheets)), rows(dimensions_table(sheets, every=True))
    assert list(few) == ["sidewall"]
    assert few["sidewall"] == ("1.50 mm", "1.80 mm, +0.30, +20 % *")
    assert every["hook lip"] == ("2.60 mm", "2.61 mm, +0.01, +0 %")
    assert every["flank"][0] == "(1.30 mm)"
    assert every["well slope"] == ("(20 deg)", "(20 deg)")
    assert every["bead seat diameter"] == ("622 mm", "622 mm")
    assert set(few) < set(every)


def test_grams_of_the_walls_add_up_and_so_do_their_differences(rims):
    table = grams_table(rims[:2])
    *walls, together = table.rows
    assert together[0] == "together"
    assert sum(int(row[1].split()[0]) for row in walls) == pytest.approx(rims[0].hoop.mass_g, abs=4)
    gaps = sum(int(row[2].split(", ")[-1].split()[0]) for row in walls)
    assert gaps == pytest.approx(rims[1].hoop.mass_g - rims[0].hoop.mass_g, abs=4)
    assert table.marked == {len(walls)}


def test_the_walls_that_make_a_rim_heavier_are_named_the_heaviest_first(rims):
    told = grams_words(rims[1], rims[0])
    assert told.startswith("ruff is heavier than Whimbrel by ")
    assert " g as drawn, most at: sidewall +" in told
    assert grams_words(rims[0], rims[1]).startswith("Whimbrel is lighter than ruff by ")
    assert (
        grams_words(rims[0], rims[0]) == "Every wall of Whimbrel weighs what that of Whimbrel does."
    )


def test_the_base_is_the_rim_that_was_asked_for(rims):
    assert rows(walls_table(rims, base=1))["sidewall"][0].endswith("sidewall -0.30")
    assert rows(grams_table(rims, base=1))["together"][1].endswith("g")


def test_details_are_every_dimension_and_every_gram_or_nothing(rims):
    assert not list(details(rims, None))
    assert [table.title.split(" ")[0] for table in details(rims, 0)] == ["Dimensions:", "Grams"]


def test_data_hold_the_grams_of_one_rim_and_the_dimensions_of_several(rims):
    told = answers(rims, base=1)
    assert sum(each["mass_g"] for each in told["rims"][0]["grams"]) == pytest.approx(
        rims[0].hoop.mass_g
    )
    sidewall = next(each for each in told["dimensions"] if each["key"] == "sidewall_mm")
    assert sidewall["gap"] == pytest.approx([-0.3, 0.0, -0.3])
    assert sidewall["told"] == [True, False, True]
    flank = next(each for each in told["dimensions"] if each["key"] == "flank_mm")
    assert flank["values"][2] is None
    assert "dimensions" not in answers(rims[:1])
