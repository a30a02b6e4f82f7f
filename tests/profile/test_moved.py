"""One verb for a rim a little different."""

from __future__ import annotations

from pathlib import Path

import pytest

from rimfea.errors import SheetError
from rimfea.files.sheet_file import sheet_text
from rimfea.files.sheet_toml import parse_sheet, read_sheet
from rimfea.profile.families import Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.moved import dimensions, movable, moved
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import uncertainties

PROFILES = Path(__file__).parents[2] / "profiles"
RIMS = sorted(path.stem for path in PROFILES.glob("*.toml"))


def rim(name):
    return read_sheet(PROFILES / f"{name}.toml")


@pytest.mark.parametrize("name", RIMS)
def test_a_number_that_is_moved_moves_alone_but_for_bed_with_seat_and_the_erd(name):
    sheet = rim(name)
    for key in movable(sheet):
        after = moved(sheet, {key: 0.01})
        own = [k for k, field in BY_KEY.items() if field.used_by(sheet.family) and k != "guessed"]
        differ = {k for k in own if getattr(sheet, k) != getattr(after, k)}
        assert key in differ
        assert differ <= {key, "spoke_bed_mm", "erd_mm"}, key
        assert ("spoke_bed_mm" in differ) <= (key in ("spoke_bed_mm", "nipple_seat_mm"))


@pytest.mark.parametrize("name", RIMS)
def test_what_was_assumed_is_assumed_still_with_the_doubt_of_a_guess(name):
    sheet = rim(name)
    for key in movable(sheet):
        after = moved(sheet, {key: 0.01})
        assert set(after.assumed) == set(sheet.assumed)
        for other in {*dimensions(sheet)} - {key}:
            was, now = (uncertainties(each)[other] for each in (sheet, after))
            assert now.measured is was.measured


@pytest.mark.parametrize("name", RIMS)
def test_a_moved_sheet_is_read_as_it_was_written(name):
    for key in movable(rim(name)):
        after = moved(rim(name), {key: 0.01})
        assert parse_sheet(sheet_text(after), "here") == after


def test_bed_and_seat_of_a_single_wall_move_together():
    (single,) = (rim(name) for name in RIMS if rim(name).family is Family.SINGLE)
    after = moved(single, {"nipple_seat_mm": 0.1})
    assert after.spoke_bed_mm == after.nipple_seat_mm == round(single.nipple_seat_mm + 0.1, 9)
    assert "spoke_bed_mm" not in movable(single)


def test_a_guess_that_is_no_number_of_the_sheet_is_a_fault():
    values = {"guessed": ["flank_mmm"], "flank_mm": 1.2}
    with pytest.raises(SheetError, match="did you mean flank_mm"):
        Sheet(values)
    with pytest.raises(SheetError, match="must be a list of keys"):
        Sheet({"guessed": "flank_mm"})
    with pytest.raises(SheetError, match="out of range"):
        Sheet({"guessed": ["flank_mm"], "flank_mm": 99})
