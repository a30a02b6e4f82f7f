"""The nipple seat over a turn of the wheel."""

from __future__ import annotations

from dataclasses import astuple, replace

import numpy as np
import pytest

from rimfea.elastic.loads import WheelLoad
from rimfea.elastic.ring_field import turned_fields
from rimfea.errors import LoadError
from rimfea.profile.families import Family
from rimfea.stress.around import around
from rimfea.study.analysis import analyse, analyse_slice, inspect, solved
from rimfea.study.cases import ONE_HOOK, TENSION, Loading, standard_cases, usual_lacing
from rimfea.study.seat import (
    Reinforcement,
    _at_hole,
    _edge,
    _seat_stress,
    highest_tension,
    reinforcements,
    seat,
)

pytestmark = pytest.mark.long

RIDER = WheelLoad(600.0, 80.0)
NONE = WheelLoad(1e-6, 80.0)


def with_seat(sheet_of, thickness, *, coarseness=2.4, family=Family.HOOKED, **loading):
    """Under the cases that a seat needs, in half the time of all."""
    loading, sheet = Loading(**loading), sheet_of(family, nipple_seat_mm=thickness)
    cases = [each for each in standard_cases(sheet, loading) if each.name in (ONE_HOOK, TENSION)]
    looked = inspect(sheet, coarseness=coarseness)
    return solved(looked, loading, usual_lacing(sheet, loading), cases)


def test_twice_the_tension_doubles_all_that_it_makes(sheet_of):
    """But for what tension does to the stiffness of the wheel, and the air, here nearly none."""
    once, twice = (
        seat(with_seat(sheet_of, 2.8, tension_N=tension, pressure_MPa=1e-4), NONE)
        for tension in (400.0, 800.0)
    )
    assert (twice.bearing_MPa, twice.shear_MPa) == pytest.approx(
        (2 * once.bearing_MPa, 2 * once.shear_MPa)
    )
    assert (twice.bearing, twice.shear) == pytest.approx((2 * once.bearing, 2 * once.shear))
    assert twice.mean_MPa == pytest.approx(2 * once.mean_MPa, rel=5e-3)
    assert twice.edge_MPa == pytest.approx(2 * once.edge_MPa, rel=5e-3)


def test_bearing_and_pull_through_are_the_tension_over_their_areas(whimbrel):
    sheet, found = whimbrel.sheet, seat(whimbrel, RIDER)
    head, hole, proof = sheet.bearing_diameter_mm, sheet.spoke_hole_mm, sheet.metal.proof_MPa
    ring, wall = np.pi / 4 * (head**2 - hole**2), np.pi * head * sheet.nipple_seat_mm
    assert found.bearing_MPa * ring == pytest.approx(sheet.spoke_tension_N)
    assert found.shear_MPa * wall == pytest.approx(sheet.spoke_tension_N)
    assert found.bearing == pytest.approx(found.bearing_MPa / (1.5 * proof))
    assert found.shear == pytest.approx(found.shear_MPa * np.sqrt(3) / proof)


@pytest.mark.parametrize(
    ("family", "coarseness"), [(Family.THICKENED, 1.6), (Family.HOOKLESS, 2.4)]
)
def test_a_thicker_seat_never_raises_the_stress_at_the_hole(sheet_of, family, coarseness):
    thin, thick = (
        seat(with_seat(sheet_of, t, family=family, coarseness=coarseness), RIDER)
        for t in (2.6, 3.0)
    )
    for name in ("edge_MPa", "mean_MPa", "amplitude_MPa", "with_mean_MPa"):
        assert abs(getattr(thick, name)) < abs(getattr(thin, name))


def test_the_nipple_bends_the_seat_alike_on_any_mesh(sheet_of):
    coarse, fine = (
        np.hstack(astuple(seat(with_seat(sheet_of, 2.8, coarseness=c), RIDER))) for c in (2.0, 1.0)
    )
    assert coarse == pytest.approx(fine, rel=0.05, abs=1.0)


def test_without_a_load_nothing_swings(whimbrel):
    still = seat(whimbrel, NONE)
    assert still.amplitude_MPa == pytest.approx(0, abs=1e-5)
    assert still.with_mean_MPa < 0.02


def test_twice_the_load_doubles_the_swing_and_leaves_the_seat(whimbrel):
    light, heavy = (seat(whimbrel, WheelLoad(force, 80.0)) for force in (150.0, 300.0))
    assert heavy.amplitude_MPa == pytest.approx(2 * light.amplitude_MPa, rel=1e-6)
    assert heavy.membrane_MPa == light.membrane_MPa
    assert heavy.bending_MPa == light.bending_MPa
    assert heavy.with_mean_MPa > light.with_mean_MPa


def test_the_wheel_takes_more_tension_from_a_spoke_than_it_adds(whimbrel):
    assert seat(whimbrel, RIDER).mean_MPa < seat(whimbrel, NONE).mean_MPa


@pytest.fixture(scope="module", params=[(28, 0.0), (30, 0.0), (28, 8.0)])
def wheel(request, sheet_of):
    """Crossed spokes, radial ones whose count is no multiple of the pattern, and dish."""
    count, dish = request.param
    sheet = sheet_of(spoke_count=count)
    usual = analyse(sheet, coarseness=2.4)
    lacing = replace(usual.lacing, right_mm=usual.lacing.right_mm - dish)
    return usual if not dish else analyse(sheet, lacing=lacing, coarseness=2.4)


def test_every_seat_has_met_the_load_at_all_places_of_a_turn(wheel):
    """Each seat for itself, the load in steps of half the spacing all around."""
    standing = wheel.built
    ring = standing.ring
    here = _at_hole(wheel.cuts, wheel.sheet.spoke_hole_mm)
    parts = around(here, ring)
    steps = 2 * len(ring.spokes.angle)
    places = np.linspace(0, 2 * np.pi, steps, endpoint=False)
    turn = np.array(
        [
            _edge(wheel, _seat_stress(here, parts, field))
            for field in turned_fields(ring, RIDER, places)
        ]
    )
    still = _edge(wheel, _seat_stress(here, parts, standing))
    amplitude = np.ptp(turn, axis=0) / 2
    mean = still + (turn.max(axis=0) + turn.min(axis=0)) / 2
    found = seat(wheel, RIDER)
    gap = np.hypot(amplitude - found.amplitude_MPa, mean - found.mean_MPa)
    assert gap.min() < 1e-6 * np.abs(mean).max()
    metal = wheel.sheet.metal
    left = np.minimum(mean, metal.proof_MPa - amplitude)
    worn = np.sqrt(np.maximum(amplitude + left, 0) * amplitude)
    assert found.with_mean_MPa == pytest.approx(worn.max(), rel=1e-9)


def test_bending_is_that_of_one_face_whichever_way_a_cut_runs(demo):
    rim = demo["lapwing"]  # its seat has cuts from both faces
    standing = rim.governing.standing
    here = _at_hole(rim.cuts, rim.sheet.spoke_hole_mm)
    up = here.end[:, 1] > here.start[:, 1]
    assert 0 < up.sum() < len(up)
    ways = [
        _seat_stress(one, around(one, standing.ring), standing)
        for one in (_some(here, up), _some(here, ~up))
    ]
    np.testing.assert_allclose(ways[0], ways[1], atol=0.1 * np.abs(ways[0]).max())


def _some(cuts, which):
    points = which.repeat(len(cuts.along.nodes) // len(which))
    along = replace(cuts.along, nodes=cuts.along.nodes[points], N=cuts.along.N[points])
    picked = {name: getattr(cuts, name)[which] for name in ("start", "end", "length", "wall")}
    return replace(cuts, **picked, along=along)


def test_twice_the_margin_leaves_half_the_tension(whimbrel):
    once, twice = (highest_tension(whimbrel, margin) for margin in (1.0, 2.0))
    assert once.tension_N == pytest.approx(2 * twice.tension_N)
    assert (once.limit, once.value, twice.value) == (twice.limit, 1.0, 2.0)


def test_the_highest_tension_hardly_depends_on_the_tension_in_the_wheel(sheet_of, whimbrel):
    loose = with_seat(sheet_of, 2.8, coarseness=1.6, tension_N=300.0)
    assert highest_tension(loose, 1.0).tension_N == pytest.approx(
        highest_tension(whimbrel, 1.0).tension_N, rel=0.01
    )


def test_only_a_built_wheel_has_a_seat_to_judge(looked, whimbrel):
    for unbuilt in (looked, analyse_slice(whimbrel.sheet)):
        for asked in (lambda rim: seat(rim, RIDER), lambda rim: highest_tension(rim, 1.0)):
            with pytest.raises(LoadError, match="built into a wheel"):
                asked(unbuilt)


@pytest.fixture(scope="module")
def curlew_reinforced(demo):
    return reinforcements(demo["curlew"], RIDER)


def test_a_thicker_seat_and_washers_relieve_the_hole_and_cost_mass(curlew_reinforced):
    assert [each.what for each in curlew_reinforced] == [
        "nipple seat 0.2 mm thicker",
        "washers of 8.2 mm",
    ]
    for each in curlew_reinforced:
        assert 1 < each.mass_g < 30
        assert each.edge_MPa_per_g > 0
        assert each.after.amplitude_MPa < each.before.amplitude_MPa


def test_what_a_gram_does_is_the_gain_by_the_mass(curlew_reinforced):
    for each in curlew_reinforced:
        relief = abs(each.before.edge_MPa) - abs(each.after.edge_MPa)
        assert each.edge_MPa_per_g * each.mass_g == pytest.approx(relief)


def test_washers_weigh_their_rings_of_steel_and_leave_the_rim(sheet_of):
    """Also where the pad's width was assumed from what bears on it; its rounded corners make room
    for the washer, a tenth of a gram.
    """
    sheet = sheet_of(Family.THICKENED)
    assert "nipple_seat_width_mm" in sheet.assumed
    washers = reinforcements(analyse(sheet, coarseness=2.4), RIDER)[1]
    wide = sheet.bearing_diameter_mm + 2
    each_g = np.pi / 4 * (wide**2 - sheet.spoke_hole_mm**2) * 0.6 * 7.85e-3
    assert washers.mass_g == pytest.approx(sheet.spoke_count * each_g, abs=0.2)


def test_a_washer_wider_than_the_seat_is_left_out(sheet_of):
    narrow = sheet_of(Family.THICKENED, nipple_seat_width_mm=7.0)
    found = reinforcements(analyse(narrow, coarseness=2.4), RIDER)
    assert [each.what for each in found] == ["nipple seat 0.2 mm thicker"]


def test_nothing_takes_nothing_off_a_seat(whimbrel):
    own = seat(whimbrel, RIDER)
    same = Reinforcement("nothing", 1.0, own, own)
    assert same.edge_MPa_per_g == 0
