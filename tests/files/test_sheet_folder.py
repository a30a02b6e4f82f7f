"""Sheets by the folder."""

from __future__ import annotations

import pytest

from rimfea.errors import FileError, SheetsError
from rimfea.files.blank_sheet import write_blank
from rimfea.files.demo import demo_folder
from rimfea.files.sheet_folder import read_sheets
from rimfea.profile.families import DRAWN, Family

PLOVER = (demo_folder() / "plover.toml").read_text(encoding="utf-8")


@pytest.fixture
def folder(tmp_path):
    for file in ("first", "second"):
        (tmp_path / f"{file}.toml").write_text(PLOVER, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("family", DRAWN)
def test_a_sheet_that_nobody_filled_in_is_left_out_with_one_line(folder, family):
    write_blank(folder / "later.toml", family)
    told = []
    assert len(read_sheets([folder], told.append)) == 2
    assert told == [f"{folder / 'later.toml'}: left out: nobody has filled it in yet"]


def test_one_that_was_begun_or_named_is_told_with_all_its_faults(folder):
    begun = folder / "begun.toml"
    write_blank(begun, Family.HOOKED)
    with pytest.raises(SheetsError, match=r"begun\.toml, line 8: name: is not filled in yet"):
        read_sheets([begun])
    begun.write_text(begun.read_text().replace("\nsidewall_mm =", "\nsidewall_mm = 1.3"))
    with pytest.raises(SheetsError) as refused:
        read_sheets([folder])
    assert "tyre_well_mm" in str(refused.value)
    assert str(refused.value).count("begun.toml, line") == 8


def test_a_folder_of_blank_sheets_and_one_of_none_are_told(tmp_path):
    with pytest.raises(FileError, match=r"there is no sheet \(\*\.toml\) in this folder"):
        read_sheets([tmp_path])
    write_blank(tmp_path / "later.toml", Family.SINGLE)
    with pytest.raises(FileError, match="there is no sheet that is filled in") as refused:
        read_sheets([tmp_path])
    assert str(tmp_path) in str(refused.value)


def test_rims_of_one_name_are_told_apart_by_their_file_and_others_keep_theirs(folder):
    names = [rim.name for rim in read_sheets([folder, demo_folder() / "curlew.toml"])]
    assert names == ["plover (first)", "plover (second)", "curlew"]


def test_files_of_one_name_in_two_folders_are_numbered(folder):
    twice = [folder / "first.toml", folder / "first.toml"]
    names = [rim.name for rim in read_sheets(twice)]
    assert names == ["plover (first) no. 1", "plover (first) no. 2"]


def test_a_rim_told_apart_is_the_same_rim(folder):
    first, _ = read_sheets([folder])
    (alone,) = read_sheets([folder / "first.toml"])
    assert first.varied(name="plover") == alone
    assert first.readings == alone.readings
