"""Whatever a terminal can show, it is shown something, and never a traceback."""

from __future__ import annotations

import io
import json
import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from rimfea.cli.encodable import PLAIN, encodable, json_for, never_fail
from rimfea.cli.main import COMMANDS, commands
from rimfea.cli.printing import Told, close, show_table
from rimfea.words.tables import Table
from tests.often import few

NARROW = ("ascii", "cp1252", "cp437")
SIGNS = "±×σ√│─┏²⁴→≥−°…“”é"
PACKAGE = Path(__file__).parents[2] / "rimfea"


@pytest.mark.parametrize("encoding", NARROW)
def test_what_an_encoding_lacks_is_told_in_plain_letters(encoding):
    told = encodable(SIGNS, encoding)
    told.encode(encoding)
    assert "?" not in told


def test_what_an_encoding_has_is_left_alone():
    assert encodable("± 2 µm", "cp1252") == "± 2 µm"
    assert encodable(SIGNS, "utf-8") == SIGNS
    assert encodable("√(σ_max σ_a) ±2 × 3", "ascii") == "sqrt(sigma_max sigma_a) +-2 x 3"


def test_every_sign_of_a_sentence_of_the_program_has_plain_letters():
    """Greek and all: else a reader would see a question mark."""
    for folder in ("words", "ask", "study", "strike", "cli", "files"):
        for file in (PACKAGE / folder).glob("*.py"):
            text = file.read_text(encoding="utf-8").replace("?", "")
            lines = [line for line in text.splitlines() if '"' in line and "#" not in line]
            assert "?" not in encodable("".join(lines), "ascii"), file
    assert all(told.isascii() for told in PLAIN.values())


@pytest.mark.parametrize("encoding", NARROW)
def test_a_table_and_the_caution_can_be_shown_and_stay_in_their_width(encoding):
    table = Table("± is k = 2", ("√(σ_max σ_a)", "±"), (("1040 N ± 13 %", "→ 2 mm⁴"),) * 2)
    file = io.TextIOWrapper(io.BytesIO(), encoding=encoding, write_through=True)
    out = Told(file=file, width=40, markup=False, highlight=False)
    show_table(out, table)
    close(out)
    _, *lines = file.buffer.getvalue().decode(encoding).splitlines()
    assert max(map(len, lines)) <= 40
    assert [line for line in lines if set(line) <= set("-+─ ")]  # below the heads


def test_data_lose_nothing():
    text = json.dumps({"name": "Fürst ± 𝛼"}, ensure_ascii=False)
    for encoding in (*NARROW, "utf-8"):
        json_for(text, encoding).encode(encoding)
        assert json.loads(json_for(text, encoding)) == json.loads(text)


@pytest.mark.parametrize("encoding", NARROW)
@pytest.mark.parametrize("name", COMMANDS)
def test_the_help_of_every_command_can_be_shown(name, encoding):
    done = CliRunner(charset=encoding).invoke(commands, [name, "--help"], catch_exceptions=False)
    assert done.exit_code == 0


@pytest.mark.parametrize(
    ("words", "encoding"),
    [
        (("inspect",), "ascii"),
        pytest.param(("inspect", "--json"), "cp437", marks=pytest.mark.long),
        pytest.param(("reconcile",), "cp1252", marks=pytest.mark.long),
    ],
)
def test_answers_can_be_shown(sheet, words, encoding):
    path = sheet(name='"Fürst σ"', weighed_mass_g="560")
    done = CliRunner(charset=encoding).invoke(commands, [*words, str(path)], catch_exceptions=False)
    assert done.exit_code == 0, done.stderr
    assert "F" in done.stdout


def test_an_error_about_a_name_that_cannot_be_shown_is_told(sheet):
    path = sheet("σ±.toml", sidewall_mm="13")
    done = CliRunner(charset="ascii").invoke(commands, ["inspect", str(path)])
    assert done.exit_code == 2
    assert "sigma+-.toml, line 7: sidewall_mm = 13 mm" in done.stderr


@pytest.mark.parametrize("encoding", few(["ascii", "cp437"]))
def test_the_program_itself_ends_well_where_the_terminal_knows_few_letters(
    program, sheet, encoding
):
    path = sheet("σ.toml", sidewall_mm="13")
    done = program("inspect", path, env={**os.environ, "PYTHONIOENCODING": encoding}, text=False)
    out, err = done.communicate()
    assert (done.returncode, out) == (2, b"")
    assert b"Traceback" not in err
    assert b"line 7: sidewall_mm" in err


def test_streams_without_an_encoding_are_left_alone(monkeypatch):
    monkeypatch.setattr("sys.stdout", io.StringIO())
    monkeypatch.setattr("sys.stderr", None)
    never_fail()
