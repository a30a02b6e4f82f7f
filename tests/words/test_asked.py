"""The answers of every question as JSON: numbers only, in the units inside."""

from __future__ import annotations

import json
from types import SimpleNamespace

import numpy as np
import pytest

from rimfea.ask.choose import Candidate, choose
from rimfea.ask.reconcile import Change, Ending, Held, Reconciled
from rimfea.ask.wear import Wear
from rimfea.ask.worth import Worth
from rimfea.elastic.loads import Pressure, SpokeTension
from rimfea.study.outcome import OUTCOMES
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words import asked
from rimfea.words.numbers import CAUTION

NOTHING = float("inf")
BOG = Setup.from_values({"name": "bog", "tyre_width_mm": 45})


@pytest.fixture(scope="module")
def wheels(sheet_of):
    """One wheel solved stands for both."""
    built = wheel_of(sheet_of(name="snipe"), BOG, End.REAR, coarseness=2.2)
    return tuple(ride(built, BOG, end) for end in End)


def worn(**changed):
    strip = {
        "sheet": SimpleNamespace(name="snipe", sidewall_mm=1.5, wear_mark_mm=None),
        "air": Pressure(0.6, 41.7),
        "tension": SpokeTension(900.0, 32, 4.5, 8.0),
        "margin": 2.0,
        "thickness_mm": np.array([1.5, 0.6]),
        "membrane_MPa": np.array([1.0, 2.0]),
        "bending_MPa": np.array([20.0, 125.0]),
        "peak_MPa": np.array([30.0, 180.0]),
        "first_yield": np.array([0.1, 0.8]),
        "hinge": np.array([0.0, 0.3]),
    }
    with np.errstate(divide="ignore"):
        return json.loads(asked.wear_json(Wear(**{**strip, **changed})))


def test_every_form_says_what_it_is_and_bears_the_caution():
    assert worn()["schema"] == "rimfea wear 1"
    assert worn()["caution"] == CAUTION


def test_worth_has_every_slope_and_how_well_each_outcome_is_known():
    base = np.array([np.nan if each.dent else 100.0 for each in OUTCOMES])
    slope = np.full((1, len(OUTCOMES)), 40.0)
    known = Doubt((Source(Origin.READING, "flank_mm", "dunlin"),), np.array([[0.05]]))
    sheet = SimpleNamespace(name="dunlin")
    found = Worth(Sensitivity(sheet, ("flank_mm",), base, slope, known))
    data = json.loads(asked.worth_json(found))
    (flank,) = data["dimensions"]
    assert (flank["key"], flank["expanded_mm"]) == ("flank_mm", pytest.approx(0.1))
    assert (flank["per_mm"]["yield_N"], flank["per_gram"]["yield_N"]) == (40.0, 1.0)
    assert (data["value"]["yield_N"], data["value"]["dent_J"]) == (100.0, None)
    assert data["expanded"]["yield_N"] == pytest.approx(4.0)
    assert data["expanded"]["drop_mm"] is None  # a model that is a factor off
    assert data["expanded_by_trial"] is None


def test_wear_tells_the_limit_in_mm_and_whether_it_is_passed():
    assert worn()["limit_mm"] == 1.0
    assert not worn()["done"]
    assert worn()["at"][0]["first_yield_MPa"] == pytest.approx(6.0)
    assert worn()["at"][0]["hinge_MPa"] is None  # never, by air
    past = worn(first_yield=np.array([0.7, 0.9]))
    assert (past["done"], past["limit_mm"]) == (True, None)


def test_reconcile_tells_how_it_ended_and_each_change(sheet_of):
    before = sheet_of(name="twite")
    held = Held("mass", "g", 740.0, 786.2, 742.4, 9.4)
    after = before.varied(flank_mm=round(0.8 * before.flank_mm, 3))
    found = Reconciled(before, after, Ending.OUT_OF_REACH, (held,), ("flank_mm",))
    data = json.loads(asked.reconcile_json(found))
    assert data["ending"] == "out of reach"
    assert data["held"][0]["read"] == 740.0
    (change,) = (each for each in data["changes"] if not each["follows"])
    assert (change["key"], change["share"]) == ("flank_mm", pytest.approx(-0.2, abs=1e-3))


@pytest.mark.long
def test_choose_tells_both_wheels_of_every_rim(wheels):
    data = json.loads(asked.choice_json(choose([Candidate(*wheels)])))
    assert (data["front"], data["rear"]) == ("snipe", "snipe")
    (rim,) = data["ranked"]
    assert [each["wheel"] for each in rim["wheels"]] == ["front", "rear"]
    assert rim["margin"] == pytest.approx(min(each["margin"] for each in rim["wheels"]))
    assert rim["wheels"][0]["outcomes"]["dent_N"] is None  # nobody asked for it
    assert rim["wheels"][0]["outcomes"]["yield_N"] > 0


@pytest.mark.long
def test_design_tells_the_rim_before_and_after_and_what_holds_it_back(wheels):
    found = SimpleNamespace(
        was=wheels[0],
        now=wheels[1],
        before=SimpleNamespace(ride=wheels[0]),
        aim=SimpleNamespace(best="mass_g", keep={"yield_N": 900.0}),
        changes=(Change("flank_mm", 1.2, 0.9, follows=False),),
        margins={("yield_N", "flank"): NOTHING, ("set_N", ""): 0.25},
        thinnest=("flank_mm",),
        thickest=(),
        left_out={},
        trials=7,
        converged=True,
    )
    data = json.loads(asked.design_json(found))
    assert data["changes"] == [
        {"share": -0.25, "key": "flank_mm", "before_mm": 1.2, "after_mm": 0.9, "follows": False}
    ]
    assert data["margins"][0] == {"outcome": "yield_N", "wall": "flank", "margin": None}
    assert data["before"]["mass_g"] == pytest.approx(wheels[0].analysis.hoop.mass_g)
