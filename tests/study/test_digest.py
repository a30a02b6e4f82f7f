"""A digest is that of all that was asked."""

from __future__ import annotations

import pytest

from rimfea.profile.build import outline
from rimfea.profile.trace import Trace
from rimfea.study import digest as module
from rimfea.study.cases import Loading
from rimfea.study.digest import digest
from rimfea.study.setup import End, Setup

MOOR = Setup.from_values({"name": "moor"})


def test_the_same_asked_again_has_the_same_digest(sheet_of):
    asked = [(sheet_of(), MOOR, End.REAR, Loading(), 1.0, False) for _ in range(2)]
    assert digest(*asked[0]) == digest(*asked[1])


def test_whatever_differs_in_a_sheet_or_beside_it_has_another(sheet_of):
    read = {"readings": [1.49, 1.51], "tolerance_mm": 0.02}
    sheets = [
        sheet_of(),
        sheet_of(sidewall_mm=1.51),
        sheet_of(sidewall_mm=read),
        sheet_of(sidewall_mm={**read, "tolerance_mm": 0.05}),
        sheet_of(batch="a"),
        sheet_of(flank_mm=1.4),
        sheet_of(flank_mm=1.4, guessed=("flank_mm",)),
    ]
    other = MOOR.varied(rider_kg=95)
    beside = [(MOOR, End.FRONT), (other, End.REAR), (MOOR, End.REAR, Loading(strike_N=1500.0))]
    found = {*(digest(each, MOOR, End.REAR) for each in sheets)}
    found |= {digest(sheets[0], *each) for each in beside}
    assert len(found) == len(sheets) + len(beside)


def test_a_section_that_was_traced_counts(sheet_of):
    """It is told by its mark, and its sizes."""
    one, other = (outline(sheet_of(sidewall_mm=wall)) for wall in (1.5, 1.6))
    traces = [Trace(one, {}), Trace(other, {}), Trace(one, {"sidewall_mm": 1.5})]
    assert len({*map(digest, traces)}) == 3


def test_another_version_of_the_program_has_another(sheet_of, monkeypatch):
    before = digest(sheet_of())
    monkeypatch.setattr(module.metadata, "version", lambda _: "0.0.0")
    assert digest(sheet_of()) != before


def test_what_cannot_be_told_apart_is_refused():
    with pytest.raises(TypeError, match="no digest of object"):
        digest(object())
