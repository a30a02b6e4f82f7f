"""What `rimfea design` says, writes, and refuses."""

from __future__ import annotations

import re

import pytest

from rimfea.cli.design import _kept
from rimfea.files.sheet_toml import read_sheet
from rimfea.words.numbers import CAUTION

ONE = ("--only", "flank_mm")
SOLVED = pytest.mark.long  # told once the rim has been solved


@pytest.mark.long
def test_the_first_line_is_the_answer_the_caution_comes_last_and_the_sheet_is_written(
    rimfea, sheet, tmp_path
):
    old, new = sheet(flank_mm="1.0", spoke_tension_N="600"), tmp_path / "new.toml"
    done = rimfea("design", old, "--keep", "first-yield=500", *ONE, "--write", new)
    assert done.exit_code == 0
    told = " ".join(done.stdout.split())
    assert re.match(r"dotterel: \d+\.\d g instead of \d+\.\d g, ", told)
    assert "first yield on one hook kept at 500 N" in told
    assert "flank 1.00 → 0.90 mm" in told
    assert "At its thinnest: flank 0.90 mm." in told
    assert told.endswith(f"the lines of the new sheet with --details. {CAUTION}")
    assert len(done.stdout.splitlines()) <= 30
    drawn = read_sheet(new)
    assert (drawn.name, drawn.flank_mm) == ("dotterel designed", 0.9)
    assert re.search(r"# flank_mm[^\n]*before", new.read_text())
    again = rimfea("design", old, "--write", new)
    assert again.exit_code == 2
    assert "is already there; add --overwrite" in again.stderr


@pytest.mark.long
def test_what_is_out_of_reach_ends_with_status_2_and_writes_nothing(
    rimfea, sheet, tmp_path, monkeypatch
):
    """After a search that found no step; searches themselves are tested where they are made."""
    monkeypatch.setattr("rimfea.ask.design.climbed", lambda search: search)
    new = tmp_path / "new.toml"
    done = rimfea("design", sheet(), "--keep", "first-yield=900kgf", *ONE, "--write", new)
    assert done.exit_code == 2
    assert "a first yield on one hook of 8826 N is out of reach" in done.stderr
    assert not done.stdout
    assert not new.exists()


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (["--keep", "frst-yield"], "did you mean first-yield"),
        (["--keep", "colour"], "there are: mass, first-yield, set"),
        (["--keep", "set=2bar"], "give a number with N, kgf"),
        (["--keep", "squeeze=soft"], "'soft': casing squeeze is a number in MPa"),
        pytest.param(
            *(["--keep", "mass_g=500"], "needs something else that is kept"), marks=SOLVED
        ),
        pytest.param(
            *(["--keep", "set", "--only", "flnk_mm"], "did you mean flank_mm"), marks=SOLVED
        ),
        (["--thinnest", "3", "--thickest", "2"], "--thickest"),
        (["--write", "new.txt"], "end it in .toml"),
        (["--write", "none/new.toml"], "there is no folder none"),
    ],
)
def test_bad_input_ends_with_status_2_and_what_to_do(rimfea, sheet, asked, told):
    done = rimfea("design", sheet(), *asked)
    assert done.exit_code == 2
    assert told in done.stderr


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("set", ("set_N", None)),
        ("first-yield=1400N", ("yield_N", 1400.0)),
        ("squeeze = 70 MPa", ("squeeze_MPa", 70.0)),
        ("radial_N_mm", ("radial_N_mm", None)),
    ],
)
def test_what_to_keep_goes_by_its_name_or_key_and_a_value_if_there_is_one(text, kept):
    assert _kept(text) == kept
