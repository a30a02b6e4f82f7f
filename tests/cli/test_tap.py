"""rimfea tap."""

from __future__ import annotations

import json

import pytest

from rimfea.words.numbers import CAUTION


def test_without_tones_it_says_which_to_expect(rimfea, ouzel):
    done = rimfea("tap", ouzel)
    told = " ".join(done.stdout.split())
    assert told.startswith("Hang ouzel bare on a string through the valve hole and tap it 24 cm ")
    assert "tap ouzel 114 122" in told
    assert told.endswith(CAUTION)


@pytest.mark.long
def test_a_picture_shows_where_to_hold_and_to_tap(rimfea, ouzel, tmp_path):
    assert rimfea("tap", ouzel, "--picture", tmp_path / "tones.png").exit_code == 0
    assert (tmp_path / "tones.png").exists()


def test_with_tones_it_says_whether_the_sheet_agrees(rimfea, ouzel):
    assert "The sheet agrees with what you heard" in rimfea("tap", ouzel, 122, 113.5).stdout


def test_with_tones_that_are_low_it_says_where_to_look(rimfea, ouzel):
    done = rimfea("tap", ouzel, "--details", 104, 112)
    assert "The sheet does not agree with what you heard" in done.stdout
    assert "What the tones tell of the sheet's numbers" in done.stdout


def test_the_data_are_numbers(rimfea, ouzel):
    data = json.loads(rimfea("tap", ouzel, 122, "--json").stdout)
    assert (data["rim"], data["heard"][0]["tone"], data["agrees"]) == ("ouzel", 1, True)


@pytest.mark.parametrize(
    ("typed", "told"),
    [("128,5", "with a point"), ("5", "no rim rings at 5 Hz"), ("nan", "no rim rings at nan Hz")],
)
def test_what_is_no_tone_is_refused_with_what_is(rimfea, ouzel, typed, told):
    done = rimfea("tap", ouzel, typed)
    assert done.exit_code == 2
    assert told in done.stderr
