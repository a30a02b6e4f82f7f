"""What is found of a rim is read back as it was, and nothing but that is read."""

from __future__ import annotations

import json
import pickle
from functools import partial

import numpy as np
import pytest

from rimfea.ask.choose import Candidate, LeftOut
from rimfea.ask.compare import Measured
from rimfea.errors import FileError
from rimfea.files.results_json import Folder, result, result_text
from rimfea.study.light import light
from rimfea.study.outcome import outcomes
from rimfea.study.ride import ride
from rimfea.study.setup import End, Setup
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words.data import as_json

MOOR = Setup.from_values({"name": "moor", "tyre_width_mm": 45.0, "step_mm": 40.0})


@pytest.fixture(scope="module")
def ridden(whimbrel, dented_by_hand):
    """Light rides at both ends, with a dent at the rear."""
    front, rear = (ride(whimbrel, MOOR, end) for end in End)
    return light(front), light(dented_by_hand(rear))


@pytest.fixture
def read(whimbrel):
    return partial(result, look=lambda: whimbrel.only_looked_at)


@pytest.fixture
def folder(tmp_path):
    return Folder(tmp_path / "kept")


def told(found):
    return as_json([found.analysis], [found])


def test_rides_come_back_to_the_last_digit(ridden, read):
    found = read(result_text(Candidate(*ridden)))
    for was, now in zip(ridden, found.wheels, strict=True):
        assert told(now) == told(was)
        np.testing.assert_equal(outcomes(now), outcomes(was))
        np.testing.assert_array_equal(
            now.analysis.governing.field.stress, was.analysis.governing.field.stress
        )
        assert now.answer is next(x for x in now.analysis.answers if x.name == was.answer.name)
    assert found.front.analysis.mesh is found.rear.analysis.mesh


def test_slopes_and_doubts_come_back(ridden, read):
    rim = ridden[1].analysis.sheet
    sources = (Source(Origin.READING, "sidewall_mm", rim.name), Source(Origin.INSTRUMENT, "x"))
    doubt = Doubt(sources, np.array([[0.1], [0.2]]))
    slopes = Sensitivity(
        rim, ("sidewall_mm",), np.array([1.0, np.nan]), np.array([[np.inf, 3.0]]), doubt,
        left_out={"flank_mm": "why"},
    )  # fmt: skip
    found = read(result_text(Measured(ridden[1], slopes))).sensitivity
    assert found.sheet is rim
    assert (found.keys, found.left_out) == (slopes.keys, slopes.left_out)
    assert found.doubt.sources == sources
    for what in ("base", "slope", "beside", "moved_mm"):
        np.testing.assert_array_equal(getattr(found, what), getattr(slopes, what))


def test_a_rim_that_was_left_out_need_not_be_drawn(folder):
    folder.write("a", LeftOut("rim", "no tyre fits"))
    assert folder.read("a", partial(pytest.fail, "drawn")) == LeftOut("rim", "no tyre fits")
    assert folder.read("b", partial(pytest.fail, "drawn")) is None


def test_a_ride_with_its_ring_is_not_kept(whimbrel):
    with pytest.raises(TypeError, match="a RingField cannot be kept"):
        result_text(ride(whimbrel, MOOR, End.REAR))


def cut(file):
    file.write_bytes(file.read_bytes()[:-20])


def emptied(file):
    file.write_text("")


def changed(file):
    file.write_text(file.read_text().replace("no tyre", "my tyre"))


def another(file):
    file.write_text(file.read_text().replace("result a", "result b"))


def foreign(file):
    file.write_bytes(pickle.dumps(LeftOut("rim", "")))


@pytest.mark.parametrize("spoil", [cut, emptied, changed, another, foreign])
def test_a_spoilt_file_is_told_and_left_as_it_is(folder, spoil):
    folder.write("a", LeftOut("rim", "no tyre fits"))
    (file,) = folder.path.iterdir()
    spoil(file)
    left = file.read_bytes()
    with pytest.raises(
        FileError, match=r"a\.json: is not as rimfea wrote it and is left as it is: delete it"
    ):
        folder.read("a", partial(pytest.fail, "drawn"))
    assert file.read_bytes() == left


@pytest.mark.parametrize(
    "said",
    [
        {"os.system": "true"},
        {"Origin": "NOWHERE"},
        {"noun": 7},
        {"array": ["object", [1], "gASVBQAAAAAAAABLAS4="]},
        {"array": ["float64", [9], "AAAAAAAAAAA="]},
        {"noun": 0, "sheet": None},
    ],
)
def test_what_is_no_noun_is_never_made(folder, said, monkeypatch):
    """Even where somebody has signed the file."""
    nouns = [["LeftOut", {"name": "rim", "reason": said}]]
    monkeypatch.setattr("rimfea.files.results_json.result_text", lambda _: json.dumps([nouns, {}]))
    folder.write("a", None)
    with pytest.raises(FileError, match="cannot be read and is left as it is: delete it"):
        folder.read("a", partial(pytest.fail, "drawn"))


def test_a_folder_that_cannot_be_made_is_told(tmp_path):
    with pytest.raises(FileError, match="cannot be made: No such file"):
        Folder(tmp_path / "nowhere" / "kept")
