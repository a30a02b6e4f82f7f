"""The question: with tones that are typed, those of the sheet, or none."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.ask.tap import tap
from rimfea.study.analysis import inspect
from rimfea.study.tones import ringing
from rimfea.vary import tap as rings
from rimfea.vary.scales import drawn_mass_g


@pytest.fixture(scope="module")
def sheet(sheet_of):
    return sheet_of(name="dunlin", tones_Hz=[150.0, 133.0], flank_mm=1.3, bead_seat_mm=1.3)


@pytest.fixture(autouse=True)
def coarse(monkeypatch):
    monkeypatch.setattr(rings, "COARSE", 2.5)


def test_tones_are_those_typed_or_else_those_of_the_sheet(sheet):
    assert [each.hertz for each in tap(sheet).heard] == [133.0, 150.0]
    assert [each.hertz for each in tap(sheet, [400.0]).heard] == [400.0]


def test_without_any_they_are_expected(sheet):
    assert tap(sheet.varied(tones_Hz=None)).heard == ()


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
