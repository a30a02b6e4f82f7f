"""A dent as it is read off a path; the paths here are made by hand."""

from __future__ import annotations

from math import inf
from types import SimpleNamespace

import numpy as np
import pytest

from rimfea.study.dent import Curve, Dent

FLAT = {"side": 0.0, "asked": 1}


def curve(force, kept, flowed=None):
    """A hook that springs back by force / 1000 N/mm."""
    force, kept = np.array(force, dtype=float), np.array(kept, dtype=float)
    movement = kept + force / 1000
    work = np.concatenate([[0], np.cumsum(np.diff(movement) * (force[1:] + force[:-1]) / 2)])
    columns = {
        "force": force,
        "set_mm": kept,
        "movement": movement,
        "pushed": movement,
        "work": work,
        "swallowed": work - force**2 / 2000,
        "flowed": np.array(flowed) if flowed is not None else kept,
    }
    return Curve(SimpleNamespace(of=columns.__getitem__))


RISES = curve([500, 1000, 1400, 1600, 1700], [0, 0, 0.1, 0.4, 1.2])
FOLDS = curve([500, 1000, 1400, 1350, 900], [0, 0, 0.1, 0.2, 1.2])


def test_a_force_that_goes_on_rising_folds_nothing():
    assert RISES.fold_N == inf
    assert RISES.fold_set_mm == inf
    assert RISES.force_N(0.4) == pytest.approx(1600)


def test_a_folding_hook_bears_its_greatest_force_from_there_on():
    assert 1400 <= FOLDS.fold_N < 1500
    assert FOLDS.force_N(0.5) == FOLDS.force_N(1.0) == FOLDS.fold_N
    assert FOLDS.force_N(0.05) < 1400


def test_what_was_not_followed_is_not_known():
    assert RISES.force_N(2.0) == inf
    assert FOLDS.work_J(2.0) == inf


def test_work_is_in_joule_and_what_springs_back_is_not_swallowed():
    back = 1600**2 / 2000 / 1000
    assert RISES.work_J(0.4) - RISES.swallowed_J(0.4) == pytest.approx(back)


def test_a_blow_that_brings_less_than_the_first_set_leaves_none():
    drops = np.array([10.0, 20.0, 30.0, 40.0, 50.0])
    assert RISES.set_for(drops, 5.0) == pytest.approx(0.0, abs=1e-3)
    assert RISES.set_for(drops, 40.0) == pytest.approx(0.4)
    assert RISES.set_for(drops, 60.0) == inf


def test_metal_may_crack_where_it_has_stretched_beyond_its_elongation():
    looked = SimpleNamespace(sheet=SimpleNamespace(metal=SimpleNamespace(elongation=0.08)))
    stretched = curve([500, 1000, 1400, 1600], [0, 0, 0.1, 0.3], flowed=[0, 0.01, 0.04, 0.12])
    dent = Dent(SimpleNamespace(looked=looked), None, stretched)
    assert dent.cracks_mm == pytest.approx(0.2)
