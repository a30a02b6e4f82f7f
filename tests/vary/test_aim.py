"""What is to be best and what is kept, told apart wall by wall."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rimfea.errors import LoadError, UnknownError
from rimfea.study.outcome import BY_KEY
from rimfea.study.setup import End, Setup
from rimfea.vary.aim import FAR, Aim
from rimfea.vary.datum import datum


@pytest.fixture(scope="module")
def ride(sheet_of):
    return datum(sheet_of(), Setup.from_values({"name": "moor"}), End.REAR, coarseness=2.0).ride


@pytest.mark.parametrize("key", ["yield_N", "set_N", "yield_both_N", "set_both_N"])
def test_the_worst_wall_is_the_outcome_itself(ride, key):
    value = BY_KEY[key].of(ride)
    assert Aim({"mass_g": 500.0}, key).gains(ride).min() == pytest.approx(value, rel=1e-12)
    margins = Aim({key: value / 1.25}).margins(ride)
    assert margins.min() == pytest.approx(0.25, rel=1e-9)
    assert len(margins) == len(ride.analysis.governing.verdict.walls)


def test_every_margin_has_its_outcome_and_its_wall(ride):
    aim = Aim({"yield_N": 1000.0, "most_tension_N": 900.0})
    names = aim.names(ride)
    assert len(names) == len(aim.margins(ride))
    assert names[-1] == ("most_tension_N", "")
    worst = names[int(aim.margins(ride)[:-1].argmin())]
    assert worst == ("yield_N", ride.analysis.governing.verdict.governing.wall)


@pytest.mark.long
def test_loads_of_a_coarse_mesh_are_read_as_the_fine_one_has_them(ride, sheet_of):
    """Wall by wall: what the aim says of the coarse ride is what it says of the fine one."""
    fine = datum(sheet_of(), ride.setup, End.REAR, coarseness=1.6).ride
    aim = Aim({"yield_N": 1000.0, "squeeze_MPa": 80.0, "most_tension_N": 900.0})
    own, read = aim.margins(ride), aim.seen(ride, fine).margins(ride)
    assert read == pytest.approx(aim.margins(fine), rel=1e-9)
    assert np.abs(read - own).max() > 1e-3
    assert aim.seen(ride, ride).margins(ride) == pytest.approx(own, rel=1e-12)


def test_what_should_be_small_is_kept_from_below(ride):
    squeeze = BY_KEY["squeeze_MPa"].of(ride)
    kept = {factor: Aim({"squeeze_MPa": factor * squeeze}) for factor in (0.8, 1.25)}
    assert kept[0.8].margins(ride)[0] == pytest.approx(-0.25)
    assert kept[1.25].margins(ride)[0] == pytest.approx(0.2)
    assert Aim({"yield_N": 1.0}).gains(ride)[0] == -ride.analysis.hoop.mass_g


def test_a_wall_that_nothing_loads_counts_as_far_from_its_limit(ride, monkeypatch):
    monkeypatch.setattr(type(ride.analysis.governing), "load_at", lambda *_: math.inf)
    assert np.all(Aim({"mass_g": 500.0}, "yield_N").gains(ride) == FAR)


@pytest.mark.parametrize(
    ("keep", "best", "told"),
    [
        ({"yield_N": 0.0}, "mass_g", "first yield, one hook cannot be kept at 0"),
        ({"yield_N": math.nan}, "mass_g", "cannot be kept at nan"),
        ({"yield_N": math.inf}, "mass_g", "cannot be kept at inf"),
        ({"mass_g": 500.0}, "mass_g", "needs something else"),
        ({}, "mass_g", "needs something else"),
    ],
)
def test_what_no_rim_can_be_asked_is_refused(keep, best, told):
    with pytest.raises(LoadError, match=told):
        Aim(keep, best)


@pytest.mark.parametrize(
    ("keep", "best", "told"),
    [
        ({"yeld_N": 1000.0}, "mass_g", "did you mean yield_N"),
        ({"mass_g": 500.0}, "colour", "there are: mass, first-yield, set"),
    ],
)
def test_outcomes_that_there_are_not_are_refused(keep, best, told):
    with pytest.raises(UnknownError, match=told):
        Aim(keep, best)
