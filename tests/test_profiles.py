from __future__ import annotations

from pathlib import Path

import pytest

from rimfea.files.demo import demo_folder
from rimfea.files.sheet_folder import read_sheets
from rimfea.files.sheet_toml import read_sheet
from rimfea.profile.families import DRAWN
from rimfea.study.analysis import inspect

FOLDER = Path(__file__).parents[1] / "profiles"
FILES = sorted(FOLDER.glob("*.toml"))
SET_UPS = sorted(FOLDER.glob("set-ups/*.toml"))
MOORLAND_BIRDS = {
    "curlew", "dotterel", "dunlin", "grouse", "lapwing", "ouzel", "pipit", "plover", "ptarmigan",
    "redshank", "ring ouzel", "skylark", "snipe", "stonechat", "twite", "wheatear", "whimbrel",
    "whinchat",
}  # fmt: skip
CLOSE_PERCENT = 3.0


@pytest.fixture(scope="module")
def rims():
    return {path.stem: inspect(read_sheet(path), coarseness=2.0) for path in FILES}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_rim_weighs_what_its_section_says(rims, path):
    check = rims[path.stem].mass_difference
    assert check is not None, "not weighed"
    assert abs(check.percent) <= CLOSE_PERCENT


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_rim_is_of_a_size_that_rims_have(rims, path):
    rim = rims[path.stem]
    assert 20 <= rim.sheet.inner_width_mm <= 36
    if rim.sheet.bead_seat_diameter_mm == 622:
        assert 400 <= rim.hoop.mass_g <= 750


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_rim_is_named_after_a_moorland_bird_as_its_file_is(path):
    assert read_sheet(path).name == path.stem
    assert path.stem in MOORLAND_BIRDS


@pytest.mark.parametrize("path", FILES + SET_UPS, ids=lambda path: path.stem)
def test_every_file_says_that_it_is_invented(path):
    assert "(invented)" in path.read_text(encoding="utf-8").splitlines()[0]


def test_all_families_are_there():
    assert {sheet.family for sheet in read_sheets([FOLDER])} == set(DRAWN)


def test_the_rims_that_come_with_the_program_are_these():
    assert demo_folder() == FOLDER
