"""Rides asked for their dents."""

from __future__ import annotations

import math
import pickle
from dataclasses import replace

import numpy as np
import pytest

from rimfea.ask import dents
from rimfea.ask.dents import ask_dents, ask_half_mm, lighten
from rimfea.errors import SolveError
from rimfea.study.analysis import inspect
from rimfea.study.dented import COARSE
from rimfea.study.outcome import HALF_MM, outcomes
from rimfea.study.ride import Ride, ride
from rimfea.study.setup import End, Setup

BOG = Setup.from_values({"name": "bog", "tyre_width_mm": 45})


@pytest.fixture
def ridden(whimbrel):
    return ride(whimbrel, BOG, End.REAR)


def test_a_dent_that_comes_to_no_rest_stays_unknown_and_ends_nothing(ridden, monkeypatch):
    def restless(*_, **__):
        raise SolveError("no rest")

    monkeypatch.setattr("rimfea.study.ride.dent_of", restless)
    ask_dents([ridden])
    assert not ridden.knows_dent
    assert math.isnan(outcomes(ridden)["dent_N"])
    monkeypatch.setattr(dents, "dent", restless)
    ask_half_mm(ridden, ridden.analysis)
    assert not ridden.knows_dent


def test_every_ride_is_asked_but_those_that_yield_before_any_strike(ridden, monkeypatch):
    monkeypatch.setattr("rimfea.study.ride.dent_of", lambda *_: "dent")
    judged = ridden.answer.verdict
    walls = (replace(judged.walls[0], first_yield=math.inf), *judged.walls[1:])
    answer = replace(ridden.answer, verdict=replace(judged, walls=walls))
    weak, other = replace(ridden, answer=answer), replace(ridden)
    ask_dents([ridden, weak, other])
    assert [each.knows_dent for each in (ridden, weak, other)] == [True, False, True]


def test_what_buckles_is_not_asked(ridden, monkeypatch):
    monkeypatch.setattr("rimfea.study.ride.dent_of", lambda *_: "dent")
    monkeypatch.setattr(type(ridden.analysis), "buckles", property(lambda _: True))
    ask_dents([ridden])
    assert not ridden.knows_dent


@pytest.mark.long
def test_a_dent_of_half_a_millimetre_is_no_deeper_and_goes_to_another_process(sheet_of, whimbrel):
    """On triangles as coarse as a dent's own, and lighter without being another."""
    known = ride(whimbrel, BOG, End.REAR)
    ask_half_mm(known, inspect(sheet_of(), coarseness=COARSE))
    before, profile = outcomes(known), known.dent.profile
    print({key: value for key, value in before.items() if "dent" in key})
    assert HALF_MM <= known.dent.free.deepest_mm < 2 * HALF_MM
    vars(known.dent)["held"] = known.dent.free  # as if it were asked for
    lighten(known)
    assert known.dent.held.path.states == known.dent.free.path.states == ()
    there = pickle.loads(pickle.dumps(known))  # noqa: S301 -- what was just written
    assert isinstance(there, Ride)
    assert outcomes(there) == before
    np.testing.assert_array_equal(there.dent.profile, profile)
