"""The question: with tones that are typed, those of the sheet, or none."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.ask.tap import tap
from rimfea.errors import LoadError
from rimfea.study.analysis import inspect
from rimfea.study.tones import ringing
from rimfea.tapped.recording import Recording
from rimfea.vary import tap as rings
from rimfea.vary.scales import drawn_mass_g

RATE = 16000


@pytest.fixture(scope="module")
def sheet(sheet_of):
    return sheet_of(name="dunlin", tones_Hz=[150.0, 133.0], flank_mm=1.3, bead_seat_mm=1.3)


@pytest.fixture(autouse=True)
def coarse(monkeypatch):
    monkeypatch.setattr(rings, "COARSE", 2.5)


@pytest.mark.long
def test_tones_are_those_typed_or_else_those_of_the_sheet(sheet):
    assert [each.hertz for each in tap(sheet).heard] == [133.0, 150.0]
    assert [each.hertz for each in tap(sheet, [400.0]).heard] == [400.0]


def test_without_any_they_are_expected(sheet):
    assert tap(sheet.varied(tones_Hz=None)).heard == ()


@pytest.mark.parametrize("share", [1.0, 0.93])
def test_a_recording_tells_whether_the_sheet_is_right(sheet, tapped, share):
    """Every tone of the rim recorded is matched, whatever hums beside it, and another rim told."""
    expected = share * tap(sheet.varied(tones_Hz=None)).hertz
    hum = {"beside": lambda t: 0.3 * np.sin(2 * np.pi * 50 * t)}
    found = tap(sheet, Recording(tapped(expected, noise_dB=-20.0, rate=RATE, **hum), RATE))
    assert [each.place for each in found.heard] == list(range(len(expected)))
    heard = [each.hertz for each in found.heard]
    assert heard == pytest.approx(expected, abs=0.2)
    assert found.agrees == (share == 1.0)
    assert [round(each.hertz) for each in found.recorded.left_out] == [50]


def test_tones_above_those_expected_have_no_say(sheet, tapped):
    expected = tap(sheet.varied(tones_Hz=None)).hertz
    sound = tapped([expected[0], 3 * expected[-1]], rate=RATE)
    (only,) = tap(sheet, Recording(sound, RATE)).heard
    assert only.place == 0


def test_a_recording_of_something_else_is_refused_with_what_to_do(sheet, tapped):
    with pytest.raises(LoadError, match=r"no tone below .* Hz, .*: hang it on a string"):
        tap(sheet, Recording(tapped([5000.0], rate=RATE), RATE))


@pytest.mark.long
def test_guesses_that_scales_and_tones_put_right_are_not_held_against_the_sheet(sheet):
    """Three walls guessed 17 % too thick: tones are judged near the likely walls."""
    heard = ringing(inspect(sheet, coarseness=2.5)).hertz[:4]
    thick = dict.fromkeys(("tyre_well_mm", "bead_seat_mm", "flank_mm"), 1.52)
    guess = sheet.varied(
        **thick, guessed=[*thick], tones_Hz=None, weighed_mass_g=drawn_mass_g(sheet)
    )
    found = tap(guess, heard)
    assert found.agrees
    np.testing.assert_allclose(found.hertz[:4], heard, rtol=0.02)
    assert found.weighed.agrees
    assert not rings.tap(guess).weighed.agrees
