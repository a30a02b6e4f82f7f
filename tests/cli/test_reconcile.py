"""What `rimfea reconcile` says, writes, and refuses."""

from __future__ import annotations

import re

import pytest

from rimfea.files.sheet_toml import read_sheet
from rimfea.vary.scales import drawn_mass_g
from rimfea.words.numbers import CAUTION
from rimfea.words.reconcile import RECONCILE_ASSUMES

LIGHT = {"weighed_mass_g": "560"}


def test_the_first_line_says_how_it_ended_and_the_caution_comes_last(rimfea, sheet):
    done = rimfea("reconcile", sheet(**LIGHT))
    assert done.exit_code == 0
    told = " ".join(done.stdout.split())
    assert re.match(r"dotterel: drawn mass 591\.\d g, weighed 560\.0 g: 6 numbers are scaled", told)
    assert re.search(r"flank_mm │ 1\.000 │ 0\.889 │ -11\.\d % │ was assumed", told)
    assert told.endswith(f"{RECONCILE_ASSUMES} {CAUTION}")


def test_the_new_sheet_is_written_weighs_what_the_scales_say_and_is_not_written_over(
    rimfea, sheet, tmp_path
):
    old, new = sheet(**LIGHT), tmp_path / "new.toml"
    assert rimfea("reconcile", old, "--write", new).exit_code == 0
    assert drawn_mass_g(read_sheet(new)) == pytest.approx(560, abs=0.01)
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


def test_a_distrusted_reading_is_scaled_too(rimfea, sheet):
    done = rimfea("reconcile", sheet(**LIGHT), "--also", "tyre_well_mm")
    assert re.search(r"tyre_well_mm +│ 1\.000 +│ 0\.\d+ +│ .* was measured", done.stdout)


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
