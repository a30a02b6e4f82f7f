"""What `rimfea wear` says, and what it refuses."""

from __future__ import annotations

import re

import pytest

from rimfea.mesh.build import mesh_outline
from rimfea.words.numbers import CAUTION
from rimfea.words.wear import WEAR_CAUTION


@pytest.fixture(autouse=True)
def coarse(monkeypatch):
    """coarse triangles and only two thicknesses: what is said matters here."""

    def mesh(shape, *, coarseness):
        return mesh_outline(shape, coarseness=1.6 * coarseness)

    monkeypatch.setattr("rimfea.ask.wear.mesh_outline", mesh)
    monkeypatch.setattr("rimfea.ask.wear.STEPS", 2)


def test_the_first_line_says_how_thin_and_how_much_is_left_and_the_caution_comes_last(
    rimfea, wheatear
):
    done = rimfea("wear", wheatear, "--pressure", "6bar")
    told = " ".join(done.stdout.split())
    first = re.match(
        r"wheatear: at 6 bar the worn sidewall keeps a margin of 2 down to (\d\.\d\d) mm; "
        r"measured 1\.80 mm: (\d\.\d\d) mm more than that\. The maker's wear mark comes first\.",
        told,
    )
    assert first
    assert float(first[1]) + float(first[2]) == pytest.approx(1.8)
    assert re.search(r"│ 1\.80 +│ [\d.]+ bar +│ [\d.]+ bar +│ [\d.]+ MPa +│", done.stdout)
    assert told.endswith(f"{WEAR_CAUTION} {CAUTION}")


@pytest.mark.long
def test_a_higher_pressure_or_margin_leaves_less_to_wear(rimfea, wheatear):
    def left(*asked):
        line = " ".join(rimfea("wear", wheatear, *asked).stdout.split())
        return float(re.search(r"([\d.]+) mm more than that", line)[1])

    once = left("--pressure", "6bar")
    assert left("--pressure", "7bar") < once
    assert left("--pressure", "6bar", "--margin", "3") < once
    assert left("--pressure", "6bar", "--tyre", "45") < once


@pytest.mark.long
def test_a_picture_is_drawn_and_not_written_over(rimfea, wheatear, tmp_path):
    picture = tmp_path / "wear.svg"
    assert rimfea("wear", wheatear, "--picture", picture).exit_code == 0
    assert picture.read_bytes().startswith(b"<?xml")
    again = rimfea("wear", wheatear, "--picture", picture)
    assert again.exit_code == 2
    assert "is already there" in again.stderr
    assert rimfea("wear", wheatear, "--picture", picture, "--overwrite").exit_code == 0


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (["--pressure", "hard"], "give a number with MPa, bar, kPa, psi"),
        (["--tyre", "18"], "too narrow for a rim 20 mm wide inside"),
        (["--tyre", "nan"], "must be more than 0"),
        (["--tyre", "0"], "0.1<=x<=1000"),
        (["--margin", "0.5"], "1<=x<=100"),
        (["--margin", "nan"], "the margin against first yield = nan"),
        (["--picture", "wear.txt"], "end it in .png or .pdf or .svg"),
    ],
)
def test_bad_input_ends_with_status_2_and_what_is_allowed(rimfea, wheatear, asked, told):
    done = rimfea("wear", wheatear, *asked)
    assert done.exit_code == 2
    assert told in done.stderr


def test_a_missing_sheet_ends_with_status_2(rimfea, tmp_path):
    done = rimfea("wear", tmp_path / "none.toml")
    assert done.exit_code == 2
    assert "none.toml" in done.stderr
