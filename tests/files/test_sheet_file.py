from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.errors import FileError
from rimfea.files.sheet_file import sheet_text, write_sheet
from rimfea.files.sheet_toml import parse_sheet, read_sheet
from rimfea.profile.families import Family
from rimfea.profile.sheet import Sheet

PROFILES = sorted((Path(__file__).parents[2] / "profiles").glob("*.toml"))
PIPIT = {
    "name": "pipit",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": {"readings": [25.02, 24.98]},
    "overall_depth_mm": {"readings": [21.0, 21.03, 20.98], "tolerance_mm": 0.02},
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
}
words = st.text(st.characters(codec="utf-8"), max_size=40).filter(str.isprintable)
lengths = st.floats(1.0, 2.0)


@pytest.mark.parametrize("path", PROFILES, ids=lambda path: path.stem)
def test_a_sheet_that_is_written_is_read_as_the_same(path, tmp_path):
    sheet = read_sheet(path)
    written = tmp_path / path.name
    write_sheet(written, sheet)
    assert read_sheet(written) == sheet


@given(words.filter(str.strip), words, lengths, st.sampled_from(["welded", "sleeved", None]))
def test_any_text_and_number_is_read_as_it_was_written(name, note, flank, joint):
    sheet = Sheet(
        {**PIPIT, "name": name, "note": note, "flank_mm": flank, "joint": joint, "washer_mm": 9}
    )
    again = parse_sheet(sheet_text(sheet, f'of "{name}"'), "pipit.toml")
    assert again == sheet
    assert repr(again) == repr(sheet)


@pytest.mark.parametrize("family", Family)
def test_every_family_and_an_alloy_of_ones_own_is_read_as_it_was_written(family):
    own = {"alloy": "fell 1", "proof_MPa": 210, "ultimate_MPa": 240.5}
    depth = {} if family is not Family.SINGLE else {"overall_depth_mm": 14}
    sheet = Sheet({**PIPIT, **own, **depth, "family": family})
    assert parse_sheet(sheet_text(sheet), "pipit.toml") == sheet


def test_what_was_assumed_is_told_as_a_comment_and_the_heading_stands_above_all():
    lines = sheet_text(Sheet(PIPIT), "first\n\nthird").splitlines()
    assert lines[:4] == ["# first", "#", "# third", 'name = "pipit"']
    assert "# flank_mm = 1.3, assumed" in lines
    assert "overall_depth_mm = { readings = [21.0, 21.03, 20.98], tolerance_mm = 0.02 }" in lines


def test_a_sheet_is_not_written_over_unless_asked_to(tmp_path):
    path, sheet = tmp_path / "pipit.toml", Sheet(PIPIT)
    path.write_text("mine")
    with pytest.raises(FileError, match="is already there"):
        write_sheet(path, sheet)
    assert path.read_text() == "mine"
    write_sheet(path, sheet, overwrite=True)
    assert read_sheet(path) == sheet


@pytest.mark.parametrize("name", ["none/pipit.toml", "a\0b.toml"])
def test_what_cannot_be_written_is_told(tmp_path, name):
    with pytest.raises(FileError, match="cannot be written"):
        write_sheet(f"{tmp_path}/{name}", Sheet(PIPIT))
