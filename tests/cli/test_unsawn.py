"""The whole road of a rim that nobody sawed: a blank sheet, tap, reconcile, analyse."""

from __future__ import annotations

import json
import re

import pytest

from rimfea.files.sheet_toml import read_sheet
from rimfea.profile.families import Family
from rimfea.study.analysis import inspect
from rimfea.study.tones import ringing
from rimfea.vary.scales import drawn_mass_g
from tests.numbers import CHAMBER, OUTSIDE

SINGLE = {"overall_depth_mm": 14.0, "tyre_well_mm": 2.2, "tyre_well_width_mm": 13.5}
TOO_THICK = {"tyre_well_mm": 1.05, "flank_mm": 1.05}


@pytest.fixture
def unsawn(rimfea, tmp_path, filled):
    """A blank sheet, filled in from outside: ``unsawn(Family.HOOKED, tyre_well_mm="1.05")``."""

    def make(family=Family.HOOKED, **more):
        path = tmp_path / "dunnock.toml"
        assert rimfea("new", path, "--unsawn", "--family", family, "--overwrite").exit_code == 0
        own = {**OUTSIDE, **(SINGLE if family is Family.SINGLE else CHAMBER)}
        filled(path, **{key: str(value) for key, value in {**own, **more}.items()})
        return path

    return make


@pytest.fixture
def heard(unsawn):
    """The same, weighed and tapped as the rim with walls of its own is."""

    def make(family=Family.HOOKED, own=None, **guesses):
        true = read_sheet(unsawn(family, weighed_mass_g=500, **(own or {})))
        tones = ", ".join(f"{hertz:.0f}" for hertz in ringing(inspect(true)).hertz[:4])
        mass = f"{drawn_mass_g(true):.0f}"
        return unsawn(family, weighed_mass_g=mass, tones_Hz=f"[{tones}]", **guesses)

    return make


def said(done):
    assert done.exit_code == 0, done.output
    return " ".join(done.stdout.split())


def test_the_blank_sheet_says_what_comes_next(rimfea, tmp_path):
    path = tmp_path / "dunnock.toml"
    done = rimfea("new", path, "--unsawn")
    assert done.stdout == (
        f"{path} is ready: fill it in, then ask rimfea tap {path}, then rimfea reconcile {path}\n"
    )
    again = rimfea("new", path, "--unsawn")
    assert again.exit_code == 2
    assert "already there" in again.stderr


def test_a_set_up_is_not_sawed(rimfea, tmp_path):
    done = rimfea("new", tmp_path / "bog", "--kind", "set-up", "--unsawn")
    assert done.exit_code == 2
    assert "--unsawn is for a rim" in done.stderr
    assert not (tmp_path / "bog.toml").exists()


@pytest.mark.parametrize(
    "family", [Family.SINGLE, pytest.param(Family.HOOKED, marks=pytest.mark.long)]
)
def test_every_command_that_takes_a_sheet_takes_it(rimfea, heard, family):
    path = heard(family)
    assert "guessed in the sheet" in said(rimfea("inspect", path))
    tapped = said(rimfea("tap", path))
    assert "The sheet agrees with what you heard" in tapped
    assert "Next, rimfea reconcile tells what scales and tones say of the walls" in tapped
    told = said(rimfea("reconcile", path))
    assert "Walls that nobody measured" in told
    assert "by scales and tones" in told


@pytest.mark.long
def test_guesses_too_thick_by_0_15_mm_are_put_right(rimfea, heard):
    """Walls of 0.9 mm, guessed as 1.05: the newcomer is told walls that hold the truth, and what to
    measure next; with them in the sheet all agrees, and no more is told than before.
    """
    path = heard(own={"tyre_well_mm": 0.9, "flank_mm": 0.9}, **TOO_THICK)
    told = said(rimfea("reconcile", path))
    for wall in ("tyre well", "flank"):
        found = re.search(rf"{wall} 1\.05 mm (\d\.\d+) mm 0\.18 mm (\d\.\d+) mm", told)
        assert abs(float(found[1]) - 0.9) < float(found[2]) < 0.16
    assert "Measure the tyre well next, through the valve hole: then the flank would be" in told
    assert "Scales and tones hardly tell the tyre well from the flank" in told
    write = re.search(r"write (tyre_well_mm = .*?) into the sheet", told)[1]
    text = path.read_text(encoding="utf-8")
    for line in write.split(", "):
        text = re.sub(rf"(?m)^{line.split()[0]} =.*$", line, text)
    path.write_text(text, encoding="utf-8")
    again = said(rimfea("reconcile", path))
    assert "The sheet is not changed." in again
    for key, value in re.findall(r"(\w+)_mm = (\d\.\d+)", write):
        row = re.search(rf"{key.replace('_', ' ')} [\d.]+ mm ([\d.]+) mm", again)
        assert float(row[1]) == pytest.approx(float(value), abs=0.025)


@pytest.mark.long
def test_the_verdict_says_that_it_rests_on_guesses(rimfea, unsawn):
    told = said(rimfea("analyse", unsawn(weighed_mass_g=700)))
    assert (
        "This rests on guesses of bead seat, tyre well and flank: rimfea reconcile tells more of "
        "them. First to yield"
    ) in told
    assert "700 g weighed do not agree: some guess is far off (rimfea reconcile)." in told


def test_scales_far_off_tell_nothing_and_say_so(rimfea, unsawn):
    told = said(rimfea("reconcile", unsawn(weighed_mass_g=530)))
    assert "numbers are scaled" in told
    assert "Of the walls that nobody measured (tyre well, bead seat and flank) nothing" in told
    assert "Walls that nobody measured wall" not in told


@pytest.mark.long
def test_data_have_the_same(rimfea, heard):
    data = json.loads(rimfea("reconcile", heard(), "--json").stdout)["unsawn"]
    assert data["by_scales"]
    assert data["by_tones"]
    assert [each["key"] for each in data["walls"]] == ["tyre_well_mm", "bead_seat_mm", "flank_mm"]
    for each in data["walls"]:
        assert 0 < each["expanded_mm"] < each["expanded_before_mm"]
        assert each["moved_mm"] == pytest.approx(0, abs=0.05)
    assert data["readings"][0]["key"] == "tyre_well_mm"
    assert data["readings"][0]["expanded_mm"]["tyre_well_mm"] == pytest.approx(0.05, abs=0.01)
    assert ["tyre_well_mm", "flank_mm"] in data["hardly_told_apart"]


@pytest.mark.parametrize(
    ("more", "command", "told"),
    [
        ({"flank_mm": "thin"}, "reconcile", "flank_mm: cannot be read: thin"),
        ({"flank_mm": "0,9"}, "reconcile", "use a point: 0.9"),
        ({"flank_mm": "9"}, "tap", "flank_mm = 9 mm: is out of range"),
        ({"guessed": '["flnk_mm"]'}, "reconcile", "did you mean flank_mm?"),
        ({"guessed": '"flank_mm"'}, "tap", "guessed"),
        ({"tones_Hz": "128, 151"}, "tap", "tones_Hz"),
        ({"tones_Hz": "[2]"}, "reconcile", "no rim has such a tone"),
        ({"tones_Hz": '["loud"]'}, "tap", "must be a list of numbers"),
        ({"weighed_mass_g": "5"}, "reconcile", "weighed_mass_g = 5 g: is out of range"),
    ],
)
def test_typed_junk_is_told_with_status_2(rimfea, unsawn, more, command, told):
    done = rimfea(command, unsawn(**{"weighed_mass_g": "580", **more}))
    assert done.exit_code == 2
    assert told in done.stderr
    assert not done.stdout


@pytest.mark.long
def test_without_scales_tap_says_what_they_would_tell(rimfea, unsawn):
    path = unsawn(weighed_mass_g="560")
    path.write_text(path.read_text(encoding="utf-8").replace("weighed_mass_g = 560\n", ""))
    asked = r"Then type what you read: rimfea tap dunnock (\d+) (\d+)"
    tones = re.search(asked, said(rimfea("tap", path))).groups()
    told = said(rimfea("tap", path, *tones))
    assert "Measure the tyre well next, through the valve hole: then the flank would be" in told
    assert "With the weighed mass in the sheet, rimfea reconcile tells more" in told
    done = rimfea("reconcile", path)
    assert done.exit_code == 2
    assert "weighed_mass_g: is missing; weigh the bare hoop" in done.stderr
