"""What `rimfea wear` says, and what it refuses."""

from __future__ import annotations

import json
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
        r"wheatear: at 6 bar no thinner than (\d\.\d\d) mm, where the margin of 2 is used up; "
        r"measured 1\.80 mm: (\d\.\d\d) mm left\. The maker's wear mark comes first\.",
        told,
    )
    assert first
    assert float(first[1]) + float(first[2]) == pytest.approx(1.8)
    assert re.search(r"1\.80 +[\d.]+ bar +[\d.]+ bar +[\d.]+ MPa", done.stdout)
    assert told.endswith(f"{WEAR_CAUTION} {CAUTION}")


@pytest.mark.long
def test_a_higher_pressure_or_margin_leaves_less_to_wear(rimfea, wheatear):
    def left(*asked):
        line = " ".join(rimfea("wear", wheatear, *asked).stdout.split())
        return float(re.search(r"([\d.]+) mm left", line)[1])

    once = left("--pressure", "4bar")
    assert left("--pressure", "5bar") < once
    assert left("--pressure", "4bar", "--margin", "2.5") < once
    assert left("--pressure", "4bar", "--tyre", "40") < once


@pytest.mark.long
def test_a_picture_is_drawn_and_not_written_over(rimfea, wheatear, tmp_path):
    picture = tmp_path / "wear.svg"
    assert rimfea("wear", wheatear, "--pressure", "6bar", "--picture", picture).exit_code == 0
    assert picture.read_bytes().startswith(b"<?xml")
    again = rimfea("wear", wheatear, "--pressure", "6bar", "--picture", picture)
    assert again.exit_code == 2
    assert "is already there" in again.stderr
    assert (
        rimfea(
            "wear", wheatear, "--pressure", "6bar", "--picture", picture, "--overwrite"
        ).exit_code
        == 0
    )


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (["--pressure", "hard"], "give a number with MPa, bar, kPa, psi"),
        (["--tyre", "18"], "too narrow for a rim 20 mm wide inside"),
        (["--tyre", "nan"], "'nan': give a number from 0.1 to 1000 mm"),
        (["--tyre", "0"], "'0': give a number from 0.1 to 1000 mm"),
        (["--margin", "0.5"], "'0.5': give a number from 1 to 100"),
        (["--margin", "nan"], "'nan': give a number from 1 to 100"),
        (["--picture", "wear.txt"], "end it in .png or .pdf or .svg"),
    ],
)
def test_bad_input_ends_with_status_2_and_what_is_allowed(rimfea, wheatear, asked, told):
    done = rimfea("wear", wheatear, "--pressure", "4bar", *asked)
    assert done.exit_code == 2
    assert told in done.stderr


def test_a_pressure_must_be_given(rimfea, wheatear):
    done = rimfea("wear", wheatear)
    assert done.exit_code == 2
    assert "--pressure" in done.stderr


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('brake = "disc"', "a disc brakes the wheel, so its sidewalls do not wear"),
        ('brake = "rod"', "rods brake it on the inside, so its sidewalls do not wear"),
        ('family = "hookless double wall"', "a rim without hooks mostly goes with a disc brake"),
    ],
)
def test_rims_that_no_block_wears_are_told_that_it_is_not_their_question(
    rimfea, tmp_path, line, told
):
    sheet = tmp_path / "dipper.toml"
    sheet.write_text(f"""{line}
name = "dipper"
bead_seat_diameter_mm = 622
inner_width_mm = 25
overall_depth_mm = 21
bead_hook_mm = 1.6
hook_lip_mm = 2.6
sidewall_mm = 1.6
tyre_well_mm = 1.3
nipple_seat_mm = 2.4
""")
    done = rimfea("wear", sheet, "--pressure", "4bar")
    assert done.exit_code == 2
    assert told in " ".join(done.stderr.split())


def test_a_missing_sheet_ends_with_status_2(rimfea, tmp_path):
    done = rimfea("wear", tmp_path / "none.toml", "--pressure", "4bar")
    assert done.exit_code == 2
    assert "none.toml" in done.stderr


def test_air_is_told_in_the_unit_asked_for_and_data_in_the_units_inside(rimfea, wheatear):
    words = ("wear", wheatear, "--pressure", "87psi")
    told = " ".join(rimfea(*words, "--pressure-unit", "psi", "--force-unit", "kgf").stdout.split())
    assert "wheatear: at 87 psi no thinner than" in told
    assert re.search(r" 1\.80 \d+ psi \d+ psi [\d.]+ MPa ", told)
    assert re.search(r"[\d.]+ kgf a spoke", told)
    data = json.loads(rimfea(*words, "--json").stdout)
    assert data["pressure_MPa"] == pytest.approx(0.5998, rel=1e-3)
