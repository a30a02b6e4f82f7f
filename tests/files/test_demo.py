"""Rims and set-ups that come with the program, by name."""

from __future__ import annotations

from pathlib import Path

import pytest

from rimfea.errors import FileError
from rimfea.files.demo import SETUPS, demo_folder, file_of
from rimfea.files.sheet_toml import read_sheet


def test_a_bare_name_is_the_file_that_comes_with_the_program():
    assert file_of("curlew", "rim") == demo_folder() / "curlew.toml"
    assert file_of("gravel", "set-up", SETUPS) == demo_folder() / SETUPS / "gravel.toml"
    assert read_sheet("curlew").name == "curlew"


def test_a_file_of_ones_own_is_found_without_its_ending_and_before_what_comes_along(
    tmp_path, monkeypatch
):
    monkeypatch.chdir(tmp_path)
    for name in ("curlew.toml", "dipper.v2.toml"):
        Path(name).write_text("")
    assert file_of("curlew", "rim") == Path("curlew.toml")
    assert file_of(tmp_path / "dipper.v2", "rim") == tmp_path / "dipper.v2.toml"
    assert file_of("plover", "rim") == demo_folder() / "plover.toml"


@pytest.mark.parametrize("path", ["curlew.toml", "rims/curlew", "./curlew", "a b"])
def test_whatever_else_is_a_path(path):
    assert file_of(path, "rim") == Path(path)


def test_a_bare_name_that_is_a_file_is_that_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("mine").write_text("")
    assert file_of("mine", "rim") == Path("mine")


def test_an_unknown_name_is_told_with_the_nearest_and_all():
    told = r"no rim is called curlw: did you mean curlew\? there are: curlew, .*\(\.toml\)"
    with pytest.raises(FileError, match=told):
        file_of("curlw", "rim")
