"""The question: with tones that are typed, those of the sheet, or none."""

from __future__ import annotations

import pytest

from rimfea.ask.tap import tap
from rimfea.vary import tap as rings


@pytest.fixture(scope="module")
def sheet(sheet_of):
    return sheet_of(name="dunlin", tones_Hz=[150.0, 133.0])


@pytest.fixture(autouse=True)
def coarse(monkeypatch):
    monkeypatch.setattr(rings, "COARSE", 2.5)


def test_tones_are_those_typed_or_else_those_of_the_sheet(sheet):
    assert [each.hertz for each in tap(sheet).heard] == [133.0, 150.0]
    assert [each.hertz for each in tap(sheet, [400.0]).heard] == [400.0]


def test_without_any_they_are_expected(sheet):
    assert tap(sheet.varied(tones_Hz=None)).heard == ()
