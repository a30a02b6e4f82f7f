"""A little more metal at one wall."""

from __future__ import annotations

import pytest

from rimfea.ask.thicker import Gain, best_gain, gains, thicker
from rimfea.errors import OutlineError, SheetError
from rimfea.geometry.outline import from_rings
from rimfea.geometry.ring import cut_every, subdivided
from rimfea.study.analysis import analyse
from rimfea.study.outcome import outcomes
from rimfea.study.ride import ride
from rimfea.study.setup import End, Setup
from rimfea.traced.label import named

pytestmark = pytest.mark.long

COARSE = 2.0
MOOR = Setup.from_values({"name": "moor"})


@pytest.fixture(scope="module")
def ridden(whimbrel):
    return ride(whimbrel, MOOR, End.REAR)


def test_a_thicker_wall_costs_mass_and_leaves_the_rest_of_the_sheet(ridden):
    before, after = ridden.analysis, thicker(ridden, "sidewall").analysis
    assert after.sheet.sidewall_mm == round(before.sheet.sidewall_mm + 0.1, 9)
    assert 0 < after.hoop.mass_g - before.hoop.mass_g < 20
    assert after.mesh.triangles is before.mesh.triangles
    assert after.governing.verdict.governing.first_yield > 0


@pytest.fixture(scope="module")
def every(ridden):
    return {gain.wall: gain for gain in gains(ridden)}


def test_the_best_wall_buys_most_for_its_grams_whichever_governs(ridden, every):
    best = best_gain([ridden])
    assert best.per_gram == max(gain.per_gram for gain in every.values()) > 0
    assert best == every[best.wall]
    assert best_gain([]) is None


def test_a_gain_is_that_of_the_wheel_solved_anew(ridden, every):
    """A slope against a full solution of the thicker rim, at both limits."""
    base = outcomes(ridden)
    for wall in ("sidewall", "hook lip", "flank"):
        after = outcomes(thicker(ridden, wall))
        for key, told in (("yield_N", every[wall].first_yield), ("set_N", every[wall].set)):
            true = after[key] / base[key] - 1
            print(f"{wall} +0.1 mm, {key}: {100 * true:+.2f} %, told {100 * told:+.2f} %")
            assert told == pytest.approx(true, abs=0.008)
        assert every[wall].mass_g == pytest.approx(after["mass_g"] - base["mass_g"], rel=0.02)


def test_next_to_nothing_is_no_gain_however_light():
    assert Gain("flank", 0.1, 0.003, 0.004, 0.6).per_gram == 0
    assert Gain("flank", 0.1, 0.006, 0.006, 0.6).per_gram == pytest.approx(0.02)


def test_a_wall_that_clashes_is_a_fault_and_no_wall_is_refused(ridden):
    with pytest.raises(SheetError):
        thicker(ridden, "bead hook", step_mm=5.0)
    with pytest.raises(ValueError, match="wing"):
        thicker(ridden, "wing")


def test_a_traced_section_is_not_held_against_the_rim_of_its_sheet(whimbrel):
    sheet = whimbrel.sheet
    points = [
        subdivided(ring, cut_every(ring, sweep=0.1))[0].corners.tolist()
        for ring in whimbrel.outline.rings
    ]
    traced = named(
        from_rings(points[0], points[1:]),
        spoke_hole_mm=sheet.spoke_hole_mm,
        bearing_mm=sheet.bearing_diameter_mm,
    )
    ridden = ride(analyse(sheet, outline=traced, coarseness=COARSE), MOOR, End.REAR)
    with pytest.raises(OutlineError, match="not drawn from its sheet"):
        thicker(ridden, "sidewall")
    assert best_gain([ridden]) is None
