"""A ride without its ring says and draws all that rims side by side are told by."""

from __future__ import annotations

import json
import pickle

import numpy as np
import pytest

from rimfea.picture.figures import comparison_figure
from rimfea.study.light import light
from rimfea.study.outcome import outcomes
from rimfea.study.ride import ride
from rimfea.study.setup import End, Setup
from rimfea.study.wheel_tests import WheelTest
from rimfea.words.data import answers
from rimfea.words.numbers import USUAL

MOOR = Setup.from_values({"name": "moor", "tyre_width_mm": 45.0})
LARGEST = 1e6  # bytes


@pytest.fixture(scope="module")
def heavy(whimbrel):
    return ride(whimbrel, MOOR, End.REAR)


def told(ridden):
    return json.dumps(answers([ridden.analysis], [ridden]), default=str)


def drawn(ridden):
    figure = comparison_figure([ridden.analysis], USUAL)
    (mesh,) = figure.axes[0].collections[:1]
    return mesh.get_array()


def test_its_data_and_outcomes_are_the_same_to_the_last_digit(heavy):
    assert told(light(heavy)) == told(heavy)
    np.testing.assert_equal(outcomes(light(heavy)), outcomes(heavy))


def test_its_picture_shows_the_same_stress(heavy):
    np.testing.assert_allclose(drawn(light(heavy)), drawn(heavy), rtol=1e-5)


def test_it_is_small(heavy):
    assert len(pickle.dumps(light(heavy))) < LARGEST < len(pickle.dumps(heavy)) / 5


def test_a_dent_says_the_same_without_what_it_was_found_with(heavy, dented_by_hand):
    known = dented_by_hand(heavy)
    without = light(known)
    assert told(without) == told(known)
    np.testing.assert_equal(outcomes(without), outcomes(known))
    assert without.dent.cracks_mm == known.dent.cracks_mm
    assert without.dent.free.path.body is None


def test_a_dent_that_was_lost_stays_lost_and_a_test_that_was_followed_followed(heavy):
    known = ride(heavy.analysis, MOOR, End.REAR)
    followed = WheelTest(known.analysis.answers[-1], 0.5, 0.2)
    vars(known).update(found_dent=None, wheel_tests=(followed,))
    without = light(known)
    (test,) = without.known_tests
    assert without.lost_dent
    assert test.answer is without.analysis.answers[-1]
    assert (test.answer.name, test.set_mm) == (followed.answer.name, 0.2)
