"""What `rimfea reconcile` says, writes, and refuses."""

from __future__ import annotations

import csv
import re

import pytest

from rimfea.files.sheet_toml import read_sheet
from rimfea.vary.scales import drawn_mass_g
from rimfea.words.numbers import CAUTION
from rimfea.words.reconcile import RECONCILE_ASSUMES

LIGHT = {"weighed_mass_g": "560"}


def test_the_first_line_says_how_it_ended_and_the_caution_comes_last(rimfea, sheet, tmp_path):
    table = tmp_path / "scaled.csv"
    done = rimfea("reconcile", sheet(**LIGHT), "--table", table)
    assert done.exit_code == 0
    told = " ".join(done.stdout.split())
    assert re.match(r"dotterel: drawn mass 592 g, weighed 560 g: \d numbers are scaled", told)
    assert re.search(r"flank_mm 1\.000 0\.9\d\d -\d\.\d % was assumed", told)
    assert told.endswith(f"{RECONCILE_ASSUMES} {CAUTION}")
    title, head, *rows = csv.reader(table.read_text(encoding="utf-8-sig").splitlines())
    assert title == ["What is changed"]
    assert head[:2] == ["key", "before"]
    assert ["flank_mm", "1.000"] in [row[:2] for row in rows]


def test_the_new_sheet_is_written_weighs_what_the_scales_say_and_is_not_written_over(
    rimfea, sheet, tmp_path
):
    old, new = sheet(**LIGHT), tmp_path / "new.toml"
    assert rimfea("reconcile", old, "--write", new).exit_code == 0
    assert drawn_mass_g(read_sheet(new)) == pytest.approx(560, abs=8)
    assert read_sheet(new).name == "dotterel, reconciled"
    assert "# flank_mm: 1 before, was assumed" in new.read_text()
    again = rimfea("reconcile", old, "--write", new)
    assert again.exit_code == 2
    assert "is already there; add --overwrite" in again.stderr
    assert rimfea("reconcile", old, "--write", new, "--overwrite").exit_code == 0


def test_nothing_is_written_where_nothing_is_changed(rimfea, plover, tmp_path):
    new = tmp_path / "new.toml"
    done = rimfea("reconcile", plover, "--write", new)
    assert done.exit_code == 0
    assert "The sheet is not changed." in " ".join(done.stdout.split())
    assert "not written, there is no change" in done.stderr
    assert not new.exists()


def test_guesses_that_were_scaled_are_as_much_in_doubt_as_before(rimfea, sheet, tmp_path):
    old, new = sheet(**LIGHT), tmp_path / "new.toml"
    rimfea("reconcile", old, "--write", new)
    doubts = [
        re.search(r"flank_mm +[\d.]+ mm +([\d.]+) mm +(\w+)", rimfea("inspect", each).stdout)
        for each in (old, new)
    ]
    assert [float(each[1]) for each in doubts] == [0.17, 0.16]
    assert [each[2] for each in doubts] == ["assumed", "guessed"]


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"weighed_mass_g": "300"}, r"brings the mass to \d+ g, off by more than the ±\d"),
        (
            {"weighed_mass_g": "591", "erd_mm": "602"},
            r"brings the ERD to 59\d mm, off.*or the ERD: measure it again",
        ),
    ],
)
def test_where_nothing_fits_it_ends_with_status_2_and_writes_nothing(
    rimfea, sheet, tmp_path, changed, told
):
    new = tmp_path / "new.toml"
    done = rimfea("reconcile", sheet(**changed), "--write", new)
    assert done.exit_code == 2
    assert re.search(told, done.stderr)
    assert done.stderr.strip().endswith("The sheet is not changed.")
    assert not done.stdout
    assert not new.exists()


def test_a_distrusted_reading_is_scaled_too(rimfea, sheet):
    done = rimfea("reconcile", sheet(**LIGHT), "--also", "tyre_well_mm")
    assert re.search(r"tyre_well_mm +1\.000 +0\.\d+ +.* was measured", done.stdout)


@pytest.mark.parametrize(
    ("weight", "asked", "told"),
    [
        (LIGHT, ["--also", "flnk_mm"], "did you mean flank_mm?"),
        ({}, [], "weighed_mass_g: is missing; weigh the bare hoop"),
        (LIGHT, ["--write", "new.txt"], "end it in .toml"),
        (LIGHT, ["--write", "none/new.toml"], "there is no folder none"),
    ],
)
def test_bad_input_ends_with_status_2_and_what_to_do(rimfea, sheet, weight, asked, told):
    done = rimfea("reconcile", sheet(**weight), *asked)
    assert done.exit_code == 2
    assert told in done.stderr
