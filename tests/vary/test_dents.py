"""Slopes of a dent against dents followed anew."""

from __future__ import annotations

from pathlib import Path

import pytest

from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import read_sheet
from rimfea.profile.moved import moved
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End
from rimfea.vary import dents
from rimfea.vary.dents import dent_slopes

pytestmark = pytest.mark.long

PROFILES = Path(__file__).parents[2] / "profiles"
MORE_MM = 0.1


def dented(sheet):
    setup = read_setup(PROFILES / "set-ups" / "trail.toml")
    ridden = ride(wheel_of(sheet, setup, End.REAR, coarseness=2.2), setup, End.REAR)
    return ridden, ridden.dented(0.5)


@pytest.fixture(scope="module")
def plover():
    """The invented plover's sheet, its wheel and its dent."""
    sheet = read_sheet(PROFILES / "plover.toml")
    return (sheet, *dented(sheet))


def test_a_thicker_sidewall_dents_as_its_slope_says(plover):
    """A dent followed anew is a per cent or two uncertain, so that a tenth of a millimetre is
    needed to see the slope at all."""
    sheet, base, dent = plover
    _, thicker = dented(moved(sheet, {"sidewall_mm": MORE_MM}))
    slopes = dent_slopes(base.dent, ["sidewall_mm", "spoke_bed_mm"], 0.5)
    force, work = (MORE_MM * each for each in slopes["sidewall_mm"])
    gained_N, gained_J = thicker.hook_N - dent.hook_N, thicker.work_J - dent.work_J
    print(f"+0.1 mm: {gained_N:.0f} N and {gained_J:.2f} J, slopes say {force:.0f} and {work:.2f}")
    assert 0.03 < gained_N / dent.hook_N < 0.2
    assert force == pytest.approx(gained_N, rel=0.4)
    assert work == pytest.approx(gained_J, rel=0.4)
    assert slopes["proof_MPa"][0] > 0


def test_a_slope_is_the_same_whichever_way_a_rim_is_moved(monkeypatch, plover):
    """Flow is held while the rim moves, and answers a move that is not small by a square of its
    own, upward either way."""
    _, base, _ = plover
    keys = ["fillet_radius_mm", "crown_radius_mm", "sidewall_mm"]
    ahead = dent_slopes(base.dent, keys, 0.5)
    monkeypatch.setattr(dents, "STEP_MM", -dents.STEP_MM)
    back = dent_slopes(base.dent, keys, 0.5)
    for key in keys:
        print(f"{key}: {ahead[key][1]:.3f} and {back[key][1]:.3f} J/mm")
        assert ahead[key][1] == pytest.approx(back[key][1], rel=0.05)
