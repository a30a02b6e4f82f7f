"""What the help of every command ends with can be typed."""

from __future__ import annotations

import shlex
from pathlib import Path

import click
import pytest

from rimfea.cli.examples import EXAMPLES
from rimfea.cli.main import COMMANDS, commands
from rimfea.files.demo import SETUPS, names
from rimfea.study.outcome_names import NAMES
from rimfea.study.setup import BY_KEY

LINES = [line for lines in EXAMPLES.values() for line in lines]
TO_MAKE = {"dotterel.toml", "bog.toml"}  # by the examples of `new`


def parsed(line):
    program, name, *words = shlex.split(line)
    assert program == "rimfea"
    command = commands.get_command(click.Context(commands), name)
    return command.make_context(name, words).params


def test_every_command_has_two_or_three_examples_at_the_end_of_its_help(rimfea):
    assert set(EXAMPLES) == set(COMMANDS)
    for name, lines in EXAMPLES.items():
        assert 2 <= len(lines) <= 3
        told = rimfea(name, "--help").stdout
        shown = told[told.index("Examples:") :].splitlines()
        assert [line.strip() for line in shown[1:]] == list(lines)
        assert max(map(len, shown)) <= 80


@pytest.mark.parametrize("line", LINES)
def test_every_example_is_understood_and_names_what_there_is(line):
    given = parsed(line)
    rims = [str(each) for each in (*given.get("sheets", ()), given.get("sheet")) if each]
    assert {*rims} <= {*names(), *TO_MAKE, "rims"}
    assert str(given.get("setup", "gravel")) in names(SETUPS)
    assert {change.partition("=")[0] for change in given.get("changes", ())} <= {*BY_KEY}
    asked = [each.partition("=")[0] for each in (*given.get("keep", ()), given.get("of")) if each]
    assert {*asked} <= {*NAMES.values()}


@pytest.mark.parametrize(
    "line", [*EXAMPLES["new"], EXAMPLES["inspect"][0], EXAMPLES["reconcile"][0]]
)
def test_examples_that_are_quick_run(rimfea, tmp_path, monkeypatch, sheet, line):
    monkeypatch.chdir(tmp_path)
    if not line.startswith("rimfea new"):
        sheet("dotterel.toml")
    done = rimfea(*shlex.split(line)[1:])
    assert done.exit_code == 0, done.stderr
    assert ("bog.toml" in line) == Path("bog.toml").exists()
