"""A set-up to be changed."""

from __future__ import annotations

import re
import tomllib

import pytest

from rimfea.errors import FileError
from rimfea.files.blank_setup import blank_setup, write_setup
from rimfea.files.setup_toml import read_setup
from rimfea.study.setup import FIELDS, Setup


def test_it_can_be_used_as_it_stands_and_is_all_as_usual(tmp_path):
    write_setup(tmp_path / "bog.toml")
    assert read_setup(tmp_path / "bog.toml") == Setup.from_values({"name": "bog"})


def test_every_key_is_there_once_with_its_meaning_and_range():
    text = blank_setup("bog")
    flowing = re.sub(r"\s+", " ", text.replace("\n# ", " "))
    for field in FIELDS:
        assert len(re.findall(rf"^(?:# )?{field.key} =", text, flags=re.M)) == 1, field.key
        assert field.meaning in flowing
        assert field.allowed in flowing
    assert max(map(len, text.splitlines())) <= 100


def test_lines_with_a_value_can_be_uncommented_as_they_stand():
    text = re.sub(r"^# (\w+ = .+)$", r"\1", blank_setup("bog"), flags=re.M)
    values = tomllib.loads(text)
    assert (values["rider_kg"], values["obstacle"]) == (80, "rock")
    assert Setup.from_values(values) == Setup.from_values({"name": "bog"})


def test_a_name_with_signs_of_its_own_is_text(tmp_path):
    write_setup(tmp_path / 'my "bog".toml')
    assert read_setup(tmp_path / 'my "bog".toml').name == 'my "bog"'


def test_one_that_is_there_already_is_not_overwritten(tmp_path):
    path = tmp_path / "bog.toml"
    write_setup(path)
    with pytest.raises(FileError, match="not overwritten"):
        write_setup(path)
    write_setup(path, overwrite=True)
