"""The sheet of a rim that nobody sawed."""

from __future__ import annotations

import re
import tomllib
from itertools import pairwise

import pytest

from rimfea.errors import SheetError
from rimfea.files.blank_unsawn import blank_unsawn, write_unsawn
from rimfea.files.sheet_toml import parse_sheet, read_sheet
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.moved import unmeasured_walls
from tests import numbers
from tests.numbers import CHAMBER

OUTSIDE = {**numbers.OUTSIDE, **CHAMBER, "sidewall_mm": 1.3, "weighed_mass_g": 580}
SINGLE = {"overall_depth_mm": 14.0, "tyre_well_mm": 2.2}


def filled(family, **more):
    values = {**OUTSIDE, **(SINGLE if family is Family.SINGLE else {}), **more}
    return re.sub(
        r"^(\w+) =$", lambda line: f"{line[0]} {values[line[1]]}", blank_unsawn(family), flags=re.M
    )


@pytest.mark.parametrize("family", DRAWN)
def test_filled_in_it_is_a_sheet_whose_hidden_walls_are_guessed(family):
    sheet = parse_sheet(filled(family), "dunnock.toml")
    assert sheet.family == family
    assert set(sheet.guessed) <= set(unmeasured_walls(sheet))
    hidden = {"bead_seat_mm"} if family is Family.SINGLE else {"flank_mm", "bead_seat_mm"}
    assert hidden <= set(sheet.guessed)
    assert sheet.weighed_mass_g == 580


@pytest.mark.parametrize("family", DRAWN)
def test_what_is_optional_can_be_uncommented_as_it_stands(family):
    text = re.sub(r"^# (\w+ = .+)$", r"\1", filled(family), flags=re.M)
    sheet = parse_sheet(text.replace('"flank_mm"]', '"flank_mm", "web_mm"]'), "dunnock.toml")
    assert sheet.joint == "welded"
    assert sheet.tones_Hz == ()
    assert (sheet.web_mm == 1.0) == (family is not Family.SINGLE)


@pytest.mark.parametrize("family", DRAWN)
def test_what_is_left_blank_is_told_line_by_line(family):
    text = blank_unsawn(family)
    with pytest.raises(SheetError) as caught:
        parse_sheet(text, "dunnock.toml")
    lines = text.splitlines()
    assert all(lines[fault.line - 1] == f"{fault.field} =" for fault in caught.value.faults)
    assert len(caught.value.faults) == len(re.findall(r"^\w+ =$", text, flags=re.M))


@pytest.mark.parametrize("family", DRAWN)
def test_it_is_short_and_says_how_each_number_is_measured(family):
    lines = blank_unsawn(family).splitlines()
    assert len(lines) <= 75
    assert max(map(len, lines)) <= 100
    for before, line in pairwise(lines):
        if line.endswith("="):
            assert before.startswith("# ")


def test_mass_is_asked_for_and_tones_once_the_rim_was_tapped():
    text = blank_unsawn(Family.HOOKED)
    assert "\nweighed_mass_g =\n" in text
    assert "\n# tones_Hz = []\n" in text
    heard = filled(Family.HOOKED).replace("# tones_Hz = []", "tones_Hz = [128, 151]")
    assert tomllib.loads(heard)["tones_Hz"] == [128, 151]


def test_it_is_written_to_a_file(tmp_path):
    path = tmp_path / "dunnock.toml"
    write_unsawn(path, Family.HOOKED)
    path.write_text(filled(Family.HOOKED), encoding="utf-8")
    assert read_sheet(path).name == "dunnock"
