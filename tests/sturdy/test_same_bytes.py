"""The same question gives the same files, byte for byte: on another day, elsewhere, in another
order of sets. So a file that differs says that the rim, or the program, does.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import click
import pytest

from rimfea.cli.main import COMMANDS, commands
from rimfea.cli.options import FileToWrite

ROOT = Path(__file__).parents[2]
WRITTEN = (
    *("blank.toml", "unsawn.toml", "own.toml", "sheet.toml", "section.svg", "tables.csv"),
    *("outline.csv", "outline.json", "outline.dxf", "outline.svg", "sweep.csv"),
    *("picture.png", "picture.pdf", "picture.svg", "mesh.vtu", "ring.vtu"),
    *("answers.json", "report.html", "report.pdf"),
)
# Between these two it is never the same day.
EAST, WEST = "Pacific/Kiritimati", "Pacific/Pago_Pago"


@pytest.fixture(scope="module")
def twice(tmp_path_factory):
    """The folders of two runs, one after the other."""

    def run(name, zone, seed):
        folder = tmp_path_factory.mktemp(name)
        own = {**os.environ, "TZ": zone, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)}
        words = [sys.executable, "-m", "tests.sturdy.written"]
        subprocess.run(words, cwd=folder, env=own, check=True, capture_output=True)
        return folder

    return run("today", EAST, "1"), run("elsewhere", WEST, "2")


@pytest.mark.long
@pytest.mark.parametrize("name", WRITTEN)
def test_a_file_is_the_same_on_another_day(twice, name):
    one, other = ((folder / name).read_bytes() for folder in twice)
    assert one
    assert one == other


@pytest.mark.long
def test_no_file_knows_where_it_was_written(twice):
    for folder in twice:
        assert sorted(each.name for each in folder.iterdir()) == sorted(WRITTEN)
        for each in folder.iterdir():
            content = each.read_bytes()
            for told in (folder, ROOT):
                assert str(told).encode() not in content, each.name


def test_no_kind_of_file_is_left_out():
    """Whoever has the program write another kind has it written here."""
    every = (commands.get_command(click.Context(commands), name) for name in COMMANDS)
    asked = [each.type for command in every for each in command.params]
    endings = {end for kind in asked if isinstance(kind, FileToWrite) for end in kind.endings}
    assert endings <= {Path(name).suffix for name in WRITTEN}
