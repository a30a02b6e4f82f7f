from __future__ import annotations

import tomllib

import pytest

from rimfea.profile.families import DRAWN

NUMBERS = {
    "name": '"dotterel"',
    "bead_seat_diameter_mm": "622",
    "inner_width_mm": "25.0",
    "overall_depth_mm": "21.0",
    "bead_hook_mm": "1.9",
    "hook_lip_mm": "2.2",
    "sidewall_mm": "1.3",
    "tyre_well_mm": "1.0",
    "nipple_seat_mm": "1.9",
}


def test_a_newcomer_is_told_all_slips_of_a_blank_sheet_at_once(rimfea, tmp_path, filled):
    sheet = tmp_path / "dotterel.toml"
    assert f"rimfea inspect {sheet}" in rimfea("new", sheet).stdout

    filled(sheet, **{**NUMBERS, "inner_width_mm": "25,0", "tyre_well_mm": "10"})
    told = rimfea("analyse", sheet)
    assert told.exit_code == 2
    first, second = told.stderr.splitlines()
    assert "inner_width_mm: cannot be read: 25,0; use a point: 25.0" in first
    assert "tyre_well_mm = 10 mm: is out of range; allowed: 0.5 to 6 mm" in second


@pytest.mark.long
def test_a_blank_sheet_that_was_filled_in_gets_a_verdict(rimfea, tmp_path, filled):
    sheet = tmp_path / "dotterel.toml"
    rimfea("new", sheet)
    filled(sheet, **NUMBERS)
    done = rimfea("analyse", sheet, "--wheel", "rear")
    assert done.exit_code == 0
    assert done.stdout.startswith("dotterel, gravel: clear. ")


@pytest.mark.parametrize("family", DRAWN)
def test_a_blank_sheet_is_made_for_every_family(rimfea, tmp_path, family):
    sheet = tmp_path / "rim.toml"
    rimfea("new", sheet, "--family", family.value)
    filled_in = sheet.read_text().replace("=\n", "= 0\n")
    assert tomllib.loads(filled_in)["family"] == family.value


def test_an_unknown_family_is_answered_with_those_known(rimfea, tmp_path):
    done = rimfea("new", tmp_path / "rim.toml", "--family", "wooden")
    assert done.exit_code == 2
    told = " ".join(done.stderr.split())
    assert all(family.replace(" ", "-") in told for family in DRAWN)


def test_a_sheet_that_is_there_is_never_overwritten(rimfea, tmp_path):
    sheet = tmp_path / "rim.toml"
    sheet.write_text("my numbers")
    done = rimfea("new", sheet)
    assert done.exit_code == 2
    assert "already there" in done.stderr
    assert sheet.read_text() == "my numbers"


def test_a_sheet_in_no_folder_is_refused(rimfea, tmp_path):
    sheet = tmp_path / "nowhere" / "rim.toml"
    done = rimfea("new", sheet)
    assert done.exit_code == 2
    assert f"{sheet}: cannot be written" in done.stderr


@pytest.mark.parametrize("typed", ["single-wall", "Single Wall"])
def test_a_family_is_written_with_hyphens_or_blanks(rimfea, tmp_path, typed):
    sheet = tmp_path / "rim.toml"
    assert rimfea("new", sheet, "--family", typed).exit_code == 0
    assert 'family = "single wall"' in sheet.read_text()


def test_an_ending_that_is_missing_is_added_and_a_wrong_one_refused(rimfea, tmp_path):
    done = rimfea("new", tmp_path / "rim")
    assert f"{tmp_path / 'rim.toml'} is ready" in done.stdout
    assert (tmp_path / "rim.toml").exists()
    done = rimfea("new", tmp_path / "rim.txt")
    assert done.exit_code == 2
    assert "end it in .toml" in done.stderr


def test_a_set_up_is_made_and_can_be_used_at_once(rimfea, tmp_path, ouzel):
    bog = tmp_path / "bog"
    done = rimfea("new", bog, "--kind", "set-up")
    assert f"rimfea analyse --setup {bog}.toml" in done.stdout
    told = rimfea("analyse", ouzel, "--slice", "--json", "--setup", bog)
    assert told.exit_code == 0


def test_what_is_there_is_replaced_when_asked(rimfea, tmp_path):
    sheet = tmp_path / "rim.toml"
    sheet.write_text("my numbers")
    assert rimfea("new", sheet, "--overwrite").exit_code == 0
    assert "Caliper sheet" in sheet.read_text()
