"""rimfea tap."""

from __future__ import annotations

import json

import numpy as np
import pytest
from scipy.io import wavfile

from rimfea.files.sheet_toml import read_sheet
from rimfea.vary.tap import tap
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


def test_a_recording_says_the_same_and_has_its_spectrum_as_a_picture(
    rimfea, ouzel, tapped, tmp_path
):
    hum = {"beside": lambda t: 0.3 * np.sin(2 * np.pi * 50 * t)}
    sound = tapped(tap(read_sheet(ouzel)).hertz, rate=16000, **hum)
    wavfile.write(tmp_path / "taps.wav", 16000, (sound * 2**15).astype(np.int16))
    done = rimfea("tap", ouzel, tmp_path / "taps.wav", "--picture", tmp_path / "spectrum.png")
    told = " ".join(done.stdout.split())
    assert "The sheet agrees with what you heard" in told
    assert "Tones are those of 3 taps in the recording. Left out: 50 Hz is mains hum" in told
    assert (tmp_path / "spectrum.png").exists()
    both = rimfea("tap", ouzel, "122", tmp_path / "taps.wav")
    assert both.exit_code == 2
    assert "give one recording (.wav) alone" in both.stderr


def test_a_recording_that_is_missing_or_none_is_refused(rimfea, ouzel, tmp_path):
    (tmp_path / "note.wav").write_text("taps")
    for name, told in (("lost.wav", "no such file"), ("note.wav", "is no WAV")):
        done = rimfea("tap", ouzel, tmp_path / name)
        assert done.exit_code == 2
        assert told in done.stderr


@pytest.mark.parametrize(
    ("typed", "told"),
    [("128,5", "with a point"), ("5", "no rim rings at 5 Hz"), ("nan", "no rim rings at nan Hz")],
)
def test_what_is_no_tone_is_refused_with_what_is(rimfea, ouzel, typed, told):
    done = rimfea("tap", ouzel, typed)
    assert done.exit_code == 2
    assert told in done.stderr
