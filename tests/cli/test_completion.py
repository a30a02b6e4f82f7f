"""What the Tab key offers."""

from __future__ import annotations

import pytest
from click.shell_completion import BashComplete

from rimfea.cli.main import COMMANDS, commands
from rimfea.cli.new import FamilyName
from rimfea.files.demo import SETUPS, names
from rimfea.study.outcome_names import NAMES


def offered(*words):
    *before, typed = words
    found = BashComplete(commands, {}, "rimfea", "_RIMFEA_COMPLETE").get_completions(before, typed)
    return [item.value for item in found if item.type == "plain"], [item.type for item in found]


def test_commands_are_offered():
    assert offered("")[0] == list(COMMANDS)
    assert offered("de")[0] == ["design"]


@pytest.mark.parametrize("command", ["inspect", "analyse", "compare", "worth", "choose", "report"])
def test_a_sheet_is_an_invented_rim_or_whatever_file_there_is(command):
    plain, kinds = offered(command, "")
    assert plain == list(names())
    assert kinds[0] == "file"
    assert offered(command, "cu")[0] == ["curlew"]


def test_set_ups_outcomes_and_families_are_offered():
    assert offered("analyse", "curlew", "--setup", "")[0] == list(names(SETUPS))
    assert offered("sweep", "curlew", "--of", "first")[0] == ["first-yield", "first-yield-both"]
    assert offered("design", "curlew", "--keep", "")[0] == list(NAMES.values())
    assert offered("design", "curlew", "--only", "bead_h")[0] == ["bead_hook_mm"]
    assert "sidewall_mm" in offered("sweep", "curlew", "side")[0]
    assert offered("new", "x.toml", "--family", "hook")[0] == list(FamilyName.known[:2])


def test_options_are_offered_and_a_picture_is_a_file():
    assert "--picture" in offered("compare", "curlew", "--pi")[0]
    assert offered("compare", "curlew", "--picture", "")[1] == ["file"]


def test_the_help_says_how_to_have_it(rimfea):
    assert "_RIMFEA_COMPLETE=bash_source rimfea" in " ".join(rimfea("--help").stdout.split())
