"""What README and DEVELOPERS show is what the program does."""

from __future__ import annotations

import contextlib
import io
import re
import shlex
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from rimfea.ask.compare import measured
from rimfea.cli.main import COMMANDS, commands
from rimfea.vary.results import each_once

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAGES = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")}
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
NUMBER = re.compile(r"\d+(?:\.\d+)?")
FRAME = re.compile(r"[━─┏┓┗┛┳┻╇┡┩└┘┴┼╋┬├┤│┃]+")
LEFT_OUT = "..."
CLOSE = 0.01  # another computer rounds otherwise, and may place a triangle otherwise
OWN = re.compile(
    r"(?:rimfea|tests|profiles|notebooks|\.ci)(?:/[\w.*-]+)+/?|"
    r"[\w.-]+\.(?:toml|md)|(?:rimfea|tests|profiles|notebooks)/"
)
NOT_HERE = {"dotterel.toml"}  # made by the reader
TYPED = re.compile(r"`rimfea ([^`\n]+)`")


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """A folder in which README's sheet is filled in, with what every command of it said."""
    with pytest.MonkeyPatch.context() as patch:
        folder = tmp_path_factory.mktemp("bench")
        (folder / "profiles").symlink_to(ROOT / "profiles")
        patch.chdir(folder)
        patch.setenv("COLUMNS", "110")
        told = []
        for kind, block in BLOCK.findall(README):
            if kind == "toml":
                _fill(folder / "dotterel.toml", block)
            elif kind == "console":
                told += [(words, shown, _run(words)) for words, shown in _commands(block)]
        yield folder, told


@pytest.fixture(scope="module", autouse=True)
def each_rim_compared_once():
    """README's session and its Python ask the same of the same rims, here in one process."""
    kept = {}

    def remembered(sheet, setup, end, **also):
        asked = (sheet.name, setup.name, end)
        if asked not in kept:
            kept[asked] = measured(sheet, setup, end, **also)
        return kept[asked]

    def here(function, sheets, start, **rest):
        return each_once(function, sheets, start, **{**rest, "processes": 1})

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("rimfea.ask.compare.measured", remembered)
        patch.setattr("rimfea.ask.compare.each_once", here)
        yield


def _fill(sheet, block):
    text = sheet.read_text(encoding="utf-8")
    for line in block.splitlines():
        key = line.split(" = ")[0]
        text, found = re.subn(rf"(?m)^(# )?{key} =.*$", line, text)
        assert found == 1, f"{key} is not on the blank sheet"
    sheet.write_text(text, encoding="utf-8")


def _commands(block):
    parts = re.split(r"(?m)^\$ rimfea (.*)\n", block)
    return list(zip(parts[1::2], parts[2::2], strict=True))


def _run(words):
    return CliRunner().invoke(commands, shlex.split(words), prog_name="rimfea").output


def _words(text):
    """One list of words a paragraph of the text between what is left out, frames taken off."""
    return [FRAME.sub(" ", part).split() for part in re.split(r"(?m)^\.\.\.$", text)]


def _same(shown, told):
    """Whether two words are the same, their numbers to a hundredth or to the last digit shown."""
    if NUMBER.sub("#", shown) != NUMBER.sub("#", told):
        return False
    for a, b in zip(NUMBER.findall(shown), NUMBER.findall(told), strict=True):
        last_digit = 10.0 ** -len(a.partition(".")[2])
        if abs(float(a) - float(b)) > max(CLOSE * float(b), 1.01 * last_digit):
            return False
    return True


def _found(passage, told, start):
    """Where the passage ends in what was told from ``start`` on, or None."""
    for k in range(start, len(told) - len(passage) + 1):
        if all(map(_same, passage, told[k : k + len(passage)])):
            return k + len(passage)
    return None


@pytest.mark.long
def test_the_session_is_what_the_program_says(bench):
    _, told = bench
    assert len(told) >= 3
    for words, shown, said in told:
        all_said, place = _words(said)[0], 0
        for passage in filter(None, _words(shown)):
            end = _found(passage, all_said, place)
            assert end is not None, f"rimfea {words} does not say: {' '.join(passage)}\n{said}"
            place = end


def test_the_comparison_of_shown_and_told_can_fail():
    assert _same("2600", "2610")
    assert not _same("2600", "2700")
    assert not _same("N;", "kgf;")
    assert _found(["the", "flank"], ["then", "the", "flank"], 0) == 3
    assert _found(["the", "hook"], ["then", "the", "flank"], 0) is None


@pytest.mark.long
def test_the_python_example_prints_what_is_shown(bench, monkeypatch):
    """None of it hangs on a dent, so none is followed."""
    folder, _ = bench
    monkeypatch.chdir(folder)
    for asked in ("compare", "worth"):
        monkeypatch.setattr(f"rimfea.ask.{asked}.ask_dents", lambda _: None)
    ran = 0
    for (kind, code), (next_kind, shown) in pairwise(BLOCK.findall(README)):
        if kind == "python":
            assert next_kind == "text"
            printed = io.StringIO()
            with contextlib.redirect_stdout(printed):
                exec(compile(code, "README.md", "exec"), {})  # noqa: S102 -- our own page
            said = printed.getvalue().split()
            assert len(said) == len(shown.split())
            assert all(map(_same, shown.split(), said)), printed.getvalue()
            ran += 1
    assert ran == 1


def test_every_question_in_python_takes_ten_lines_at_most_and_one_import():
    (code,) = (block for kind, block in BLOCK.findall(README) if kind == "python")
    first, *questions = code.strip().split("\n\n")
    assert first == "import rimfea"
    assert "import" not in "".join(questions)
    assert len(questions) >= 5
    assert max(len(question.splitlines()) for question in questions) <= 10


@pytest.mark.long
def test_published_values_are_shown_as_the_verification_finds_them():
    rows = re.findall(r"^\| (.+?) \| ([-\d.]+) \| ([-\d.]+) \|$", README, re.MULTILINE)
    assert len(rows) >= 2
    chosen = "elliptic or weighed or thin_ring_rings_in_its_plane"
    run = subprocess.run(
        [
            *(sys.executable, "-m", "pytest", "-n", "0", "-p", "no:cacheprovider", "-k", chosen),
            "tests/verification",
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    lines = [line.split(" | ") for line in run.stdout.splitlines() if line.count(" | ") == 4]
    found = {cells[0].strip(): (float(cells[1]), float(cells[2])) for cells in lines[1:]}
    for quantity, published, ours in rows:
        assert found[quantity] == pytest.approx((float(published), float(ours)), rel=1e-3)


def test_what_is_to_be_typed_is_what_the_program_reads():
    typed = TYPED.findall(README)
    assert len(typed) >= 5
    for name, *words in map(shlex.split, typed):
        command = commands.get_command(click.Context(commands), name)
        assert command is not None, f"there is no command {name}"
        command.make_context(name, words)


def test_readme_shows_every_command():
    shown = set(re.findall(r"(?m)(?:^\$ |`)rimfea (\w+)", README))
    assert set(COMMANDS) <= shown, f"README says nothing of {sorted(set(COMMANDS) - shown)}"


def test_readme_is_short():
    assert len(README.splitlines()) <= 190


def test_the_test_command_stands_on_one_line_of_its_own_where_ci_finds_it():
    lines = [line for line in README.splitlines() if line.startswith("python3 -m venv")]
    assert len(lines) == 2
    assert lines[0].endswith("rimfea compare profiles --quick --picture compare.png --overwrite")
    assert lines[1].endswith("python -m pytest")


def test_ci_runs_the_long_tests_too_and_last_what_readme_says():
    *_, most, times, last = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    apart = "tests/benchmarks"
    assert most.endswith(f"python -m pytest -m long --ignore={apart}")
    assert times.endswith(f"python -m pytest -m long -n 0 {apart}")
    assert last == 'bash -euo pipefail -c "$test_command"'


@pytest.mark.parametrize("page", PAGES)
def test_every_path_named_is_there(page):
    quoted = re.findall(r"`([^`\n]+)`", PAGES[page])
    linked = re.findall(r"\]\(([^)#]+)\)", PAGES[page])
    paths = {path for path in quoted if OWN.fullmatch(path)} | set(linked)
    assert paths
    missing = [path for path in paths - NOT_HERE if not list(ROOT.glob(path.rstrip("/")))]
    assert not missing
