from __future__ import annotations

import re

import pytest

from rimfea.errors import FileError, SheetError
from rimfea.files.blank_sheet import blank_sheet, write_blank
from rimfea.files.sheet_toml import parse_sheet, read_sheet
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.fields import FIELDS

NUMBERS = {
    "name": '"Ring Ouzel"',
    "bead_seat_diameter_mm": 559,
    "inner_width_mm": 30,
    "overall_depth_mm": 16,
    "bead_hook_mm": 1.8,
    "hook_lip_mm": 2.8,
    "sidewall_mm": 1.7,
    "tyre_well_mm": 1.5,
    "nipple_seat_mm": 2.2,
}


def filled_in(text: str) -> str:
    return re.sub(r"^(\w+) =$", lambda found: f"{found[0]} {NUMBERS[found[1]]}", text, flags=re.M)


@pytest.mark.parametrize("family", DRAWN)
def test_a_blank_sheet_filled_with_seven_numbers_reads_back(family):
    sheet = parse_sheet(filled_in(blank_sheet(family)), "ouzel.toml")
    assert (sheet.family, sheet.inner_width_mm, sheet.sidewall_mm) == (family, 30, 1.7)


@pytest.mark.parametrize("family", DRAWN)
def test_an_unfilled_sheet_tells_exactly_what_is_still_to_be_filled_in_and_where(family):
    text = blank_sheet(family)
    lines = text.splitlines()
    required = {item.key for item in FIELDS if item.within(family).required}
    with pytest.raises(SheetError) as caught:
        parse_sheet(text, "blank.toml")
    faults = caught.value.faults
    assert {fault.field for fault in faults} == required
    assert len(faults) == len(required)
    assert all(lines[fault.line - 1] == f"{fault.field} =" for fault in faults)
    assert all("not filled in yet" in fault.problem for fault in faults)


@pytest.mark.parametrize("family", DRAWN)
def test_every_usable_key_is_on_the_sheet_once_with_its_meaning_range_and_default(family):
    text = blank_sheet(family)
    flowing = re.sub(r"\s+", " ", text.replace("\n# ", " "))
    for item in FIELDS:
        found = re.findall(rf"^(?:# )?{item.key} =", text, flags=re.M)
        assert len(found) == (1 if item.used_by(family) else 0), item.key
        if item.used_by(family):
            assert item.meaning in flowing
            assert item.allowed in flowing
            own = item.within(family)
            assert own.required or own.default_note in flowing


def test_optional_lines_with_a_number_can_be_uncommented_as_they_stand():
    text = filled_in(blank_sheet(Family.HOOKED))
    sheet = parse_sheet(re.sub(r"^# (\w+ = .+)$", r"\1", text, flags=re.M), "ouzel.toml")
    assert {"hook_height_mm", "spoke_count", "alloy"}.isdisjoint(sheet.assumed)


def test_an_alloy_of_ones_own_comes_last_under_its_own_heading():
    _, heading, last = blank_sheet(Family.HOOKED).partition("# ---- An alloy of your own ----")
    assert heading
    keys = re.findall(r"^# (\w+) =", last, flags=re.M)
    assert keys[:2] == ["proof_MPa", "ultimate_MPa"]
    assert len(keys) == 5


def test_no_line_is_longer_than_a_screen():
    assert max(map(len, blank_sheet(Family.HOOKED).splitlines())) <= 100


def test_a_sheet_that_is_there_already_is_not_overwritten(tmp_path):
    path = tmp_path / "ouzel.toml"
    write_blank(path, Family.SINGLE)
    path.write_text(filled_in(path.read_text()))
    with pytest.raises(FileError, match="not overwritten"):
        write_blank(path, Family.SINGLE)
    assert read_sheet(path).name == "Ring Ouzel"


def test_a_place_that_cannot_be_written_is_told_so(tmp_path):
    with pytest.raises(FileError, match="cannot be written"):
        write_blank(tmp_path / "none" / "ouzel.toml", Family.SINGLE)
