from __future__ import annotations

from pathlib import Path

import pytest

from rimfea.errors import SheetError
from rimfea.files.sheet_toml import parse_sheet, read_sheet
from rimfea.profile.families import DRAWN
from rimfea.profile.fields import BY_KEY
from rimfea.web.form import entries_of, told_of_entries, told_of_fields
from tests import numbers

PROFILES = Path(__file__).parents[2] / "profiles"
TYPED = {**numbers.TYPED, "family": "hooked double wall"}


@pytest.mark.parametrize("family", DRAWN, ids=str)
def test_a_form_has_every_key_that_a_sheet_of_its_family_may_have(family):
    """In the order of the sheet, with how to measure it and what leaving it out means."""
    fields = [each for group in told_of_fields(family) for each in group["fields"]]
    wanted = [key for key, each in BY_KEY.items() if each.used_by(family)]
    assert [each["key"] for each in fields] == [
        key for key in wanted if key not in ("family", "section", "guessed")
    ]
    for each in fields:
        assert each["how"]
        assert each["label"]
        assert "_" not in each["label"]
        assert each["required"] or each["left_out"] or BY_KEY[each["key"]].default == ""


@pytest.mark.parametrize("family", DRAWN, ids=str)
def test_a_blank_form_shows_where_the_caliper_goes(family):
    """A section of usual walls, as nothing was measured yet; nothing is told as wrong."""
    told = told_of_entries({"family": family}, [])
    assert told["faults"] == []
    assert "inner_width_mm" in told["missing"]
    assert told["drawing"]["jaws"]["inner_width_mm"]["hold"] == "inside jaws"
    assert told["text"] is None


def test_a_form_makes_the_sheet_that_was_typed():
    """It reads back with the readings, and what was left out is assumed still."""
    told = told_of_entries(TYPED, [])
    assert told["faults"] == told["missing"] == []
    assert told["means"] == {"overall_depth_mm": "mean 21.033 mm"}
    sheet = parse_sheet(told["text"], "dotterel.toml")
    assert sheet.readings["overall_depth_mm"].values == (21.0, 21.1, 21.0)
    assert sheet.readings["overall_depth_mm"].tolerance_mm == 0.03
    assert sheet.sidewall_mm == 1.0414
    assert "bead_hook_mm = 1.90\n" in told["text"]
    assert "sidewall_mm = 1.0414  # typed: 0.041 in\n" in told["text"]
    assert {"flank_mm", "hook_height_mm", "spoke_count", "alloy"} <= set(sheet.assumed)


def test_a_sheet_opens_into_the_form_as_it_was_typed():
    """There and back nothing is lost."""
    text = told_of_entries(TYPED, ["bead_hook_mm"])["text"]
    opened = entries_of(text, "dotterel.toml")
    assert opened["entries"] == {**TYPED, "inner_width_mm": "25.0"}
    assert opened["guessed"] == ["bead_hook_mm"]
    assert opened["left_out"] == []
    assert told_of_entries(opened["entries"], opened["guessed"])["text"] == text


@pytest.mark.parametrize("path", sorted(PROFILES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_demo_sheet_goes_through_the_form_unchanged(path):
    """The same rim, with the same readings, guesses and assumptions."""
    opened = entries_of(path.read_text(encoding="utf-8"), path.name)
    told = told_of_entries(opened["entries"], opened["guessed"])
    assert parse_sheet(told["text"], path.name) == read_sheet(path)


def test_every_fault_stands_at_its_field_in_the_builders_words():
    """A slip of the point, a clash, a word: all at once."""
    slips = {"tyre_well_mm": "11", "hook_lip_mm": "1.0", "flank_mm": "thin", "spoke_count": "27"}
    found = {each["key"]: each["told"] for each in told_of_entries(TYPED | slips, [])["faults"]}
    assert found.keys() == slips.keys()
    assert found["tyre_well_mm"].startswith("11 mm is out of range; allowed: 0.5 to 6 mm")
    assert found["hook_lip_mm"].startswith("Hook lip = 1 mm and sidewall = 1.041 mm clash")
    assert "type a number" in found["flank_mm"]
    assert not any("_" in told for told in found.values())


def test_what_can_be_drawn_is_drawn_while_the_rest_is_missing():
    """A wide rim is wide from the first number on."""
    told = told_of_entries({"inner_width_mm": "40"}, [])
    x = [point[0] for point in told["drawing"]["rings"][0]]
    assert max(x) - min(x) > 40


def test_a_number_that_cannot_be_is_drawn_as_usual():
    """A slip of the point does not take the drawing away, and makes no sheet."""
    told = told_of_entries(TYPED | {"tyre_well_mm": "11"}, [])
    assert told["text"] is None
    well = told["drawing"]["jaws"]["tyre_well_mm"]
    assert abs(well["start"][1] - well["end"][1]) == pytest.approx(1.2, abs=0.01)


def test_a_broken_sheet_opens_with_its_slips_at_their_fields():
    """A curly quote, a comma, an unknown key, a line that is empty yet."""
    text = "name = “dotterel”\ninner_width_mm = 25,0 24,9\nflnak_mm = 1\nsidewall_mm =\n"
    opened = entries_of(text, "own.toml")
    assert opened["entries"]["inner_width_mm"] == "25,0 24,9"
    assert opened["left_out"] == ["flnak_mm"]
    assert "sidewall_mm" not in opened["entries"]


@pytest.mark.parametrize(
    "text", ["", "hello", "[[1, 2]]", '{"a": 1}', 'section = "a.dxf"\nname="a"']
)
def test_what_is_no_sheet_of_numbers_is_refused(text):
    """With what to do instead."""
    with pytest.raises(SheetError, match=r"own\.toml: .*; "):
        entries_of(text, "own.toml")
