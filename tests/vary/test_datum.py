"""Rims near one rim: slopes and mixtures against full solutions on the moved mesh."""

from __future__ import annotations

import pickle
from dataclasses import replace

import numpy as np
import pytest

from rimfea.errors import LoadError, MeshError, SheetError
from rimfea.profile.families import Family
from rimfea.profile.moved import moved
from rimfea.study.analysis import analyse_slice
from rimfea.study.outcome import outcomes
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import STEP_MM, Datum, datum

COARSE = 2.0
MOOR = Setup.from_values({"name": "moor"})
HALF_MM = 0.02  # of a central difference
LONGER_MM = STEP_MM
# What moves each of these enough to tell, and leaves the governing cut where it is.
MOVED_BY = {
    "sidewall_mm": ("yield_N", "set_N", "mass_g", "radial_N_mm"),
    "bead_hook_mm": ("yield_N", "set_N", "mass_g"),
    "bead_seat_mm": ("yield_N", "mass_g", "radial_N_mm", "lateral_N_mm"),
    "nipple_seat_mm": ("mass_g", "most_tension_N", "hole_amplitude_MPa"),
    "hook_lip_mm": ("squeeze_MPa", "mass_g"),
}
USUAL_MM = 0.05  # by which a caliper may be off
TOGETHER = {"sidewall_mm": 0.03, "bead_seat_mm": -0.02, "nipple_seat_mm": 0.04}


@pytest.fixture(scope="module")
def around(sheet_of):
    return datum(sheet_of(), MOOR, End.REAR, coarseness=COARSE)


@pytest.fixture(scope="module")
def octaves(around):
    """The same with the answers of harmonics an octave apart."""
    return replace(around, every=False)


@pytest.fixture(scope="module")
def stepped(around):
    """The ride a small step away, by key."""
    return {key: around.stepped(key)[0] for key in MOVED_BY}


@pytest.fixture(scope="module")
def central(around):
    """Slopes of all outcomes by full solutions on either side, by key."""
    sheet = around.ride.analysis.sheet

    def slopes(key):
        more, less = (outcomes(around.of(moved(sheet, {key: way * HALF_MM}))) for way in (1, -1))
        return {name: (more[name] - less[name]) / (2 * HALF_MM) for name in more}

    return {key: slopes(key) for key in MOVED_BY}


@pytest.mark.long
@pytest.mark.parametrize("key", MOVED_BY)
def test_a_step_slopes_as_full_solutions_on_either_side(around, central, key):
    before = outcomes(around.unmoved)
    after = outcomes(around.stepped(key, LONGER_MM)[0])
    for name in MOVED_BY[key]:
        slope, expected = (after[name] - before[name]) / LONGER_MM, central[key][name]
        print(f"{key}, {name} a mm: {slope:.5g} by a step, {expected:.5g} by full solutions")
        assert abs(expected) > 0.005 * before[name], "too flat to tell"
        assert slope == pytest.approx(expected, rel=0.02)


@pytest.mark.long
@pytest.mark.parametrize("key", MOVED_BY)
def test_round_off_in_the_usual_step_is_nothing_beside_a_doubt(around, stepped, central, key):
    before, after = (outcomes(each) for each in (around.unmoved, stepped[key]))
    for name, value in before.items():
        slope = (after[name] - value) / STEP_MM
        off = abs(slope - central[key][name]) * USUAL_MM / value
        print(f"{key}, {name}: {100 * off:.4f} % for {USUAL_MM} mm")
        assert off < 0.01 or np.isnan(value)


@pytest.mark.long
def test_several_changes_at_once_are_answered_from_the_slopes(around):
    slopes = {key: around.stepped(key)[1] for key in TOGETHER}
    found = outcomes(around.at(TOGETHER, slopes))
    true = outcomes(around.of(moved(around.ride.analysis.sheet, TOGETHER)))
    base = outcomes(around.ride)
    for key, value in true.items():
        print(f"{key}: {base[key]:.5g}, then {found[key]:.6g}, in full {value:.6g}")
        assert found[key] == pytest.approx(value, rel=3e-3, nan_ok=True)
    for key in ("mass_g", "radial_N_mm", "lateral_N_mm"):
        assert abs(true[key] - base[key]) > 20 * abs(found[key] - true[key])


def test_without_a_change_the_base_comes_back(around):
    found, base = outcomes(around.at({}, {})), outcomes(around.ride)
    for key, value in base.items():
        assert found[key] == pytest.approx(value, rel=1e-4, nan_ok=True), key


@pytest.mark.long
def test_harmonics_an_octave_apart_slope_nearly_as_every_one(around, octaves, stepped):
    assert around.unmoved is around.ride
    few, all_of_them = (sum(U.shape[1] for U in each.kept.answers) for each in (octaves, around))
    assert few < 0.6 * all_of_them
    start, base = outcomes(octaves.unmoved), outcomes(around.ride)
    for key, value in base.items():
        assert start[key] == pytest.approx(value, rel=3e-3, nan_ok=True), key
    for key, names in MOVED_BY.items():
        after = outcomes(octaves.stepped(key)[0])
        for name in names:
            slope, true = after[name] - start[name], outcomes(stepped[key])[name] - base[name]
            print(f"{key}, {name}: {slope / STEP_MM:.5g} by octaves, {true / STEP_MM:.5g} by all")
            assert slope == pytest.approx(true, rel=0.1)


def test_the_base_is_the_ride_of_the_same_wheel(sheet_of, around):
    """That of all cases, on the same mesh: rims are compared by three of them."""
    whole = ride(wheel_of(sheet_of(), MOOR, End.REAR, coarseness=COARSE), MOOR, End.REAR)
    found, expected = outcomes(around.ride), outcomes(whole)
    for key, value in expected.items():
        assert found[key] == pytest.approx(value, rel=2e-3, nan_ok=True), key


@pytest.mark.long
def test_a_rim_too_far_to_move_to_is_meshed_anew_and_answered_in_full(around):
    sheet = around.ride.analysis.sheet
    far = around.of(moved(sheet, {"sidewall_mm": 0.8}))
    fresh = datum(moved(sheet, {"sidewall_mm": 0.8}), MOOR, End.REAR, coarseness=COARSE).ride
    np.testing.assert_array_equal(far.analysis.mesh.nodes, fresh.analysis.mesh.nodes)
    assert outcomes(far)["yield_N"] == pytest.approx(outcomes(fresh)["yield_N"])


def test_a_step_that_the_mesh_cannot_follow_or_a_sheet_cannot_bear_is_refused(around):
    with pytest.raises(MeshError, match="the mesh cannot follow"):
        around.at({"sidewall_mm": 0.8}, {})
    with pytest.raises(SheetError, match="tyre_well_depth_mm"):
        around.stepped("tyre_well_depth_mm", 30.0)


def test_a_plane_slice_has_no_neighbours(around):
    plane = analyse_slice(around.ride.analysis.sheet)
    broken = Datum(
        type(around.ride)(**{**around.ride.__dict__, "answer": plane.governing}), around.variants
    )
    with pytest.raises(LoadError, match="analyse the ring"):
        broken.stepped("sidewall_mm")


def test_a_moved_sheet_differs_in_what_was_asked_for_only(sheet_of):
    sheet = sheet_of()
    other = moved(sheet, {"sidewall_mm": 0.1})
    changed = {
        name
        for name in ("bead_hook_mm", "sidewall_mm", "flank_mm", "crown_radius_mm", "spoke_bed_mm")
        if getattr(other, name) != getattr(sheet, name)
    }
    assert changed == {"sidewall_mm"}
    assert other.sidewall_mm == pytest.approx(sheet.sidewall_mm + 0.1)


@pytest.mark.parametrize("family", [Family.HOOKED, Family.THICKENED])
def test_a_seat_that_is_one_with_the_spoke_bed_takes_the_bed_along(sheet_of, family):
    sheet = sheet_of(family)
    other = moved(sheet, {"nipple_seat_mm": 0.1})
    flush = sheet.seat_step_mm == 0
    assert flush == (family is Family.HOOKED)
    grown = other.spoke_bed_mm - sheet.spoke_bed_mm
    assert grown == pytest.approx(0.1 if flush else 0.0, abs=1e-12)
    assert other.nipple_seat_mm == pytest.approx(sheet.nipple_seat_mm + 0.1)


@pytest.mark.long
def test_another_process_can_look_around_from_the_same_base(around):
    """Factors do not travel, what they gave does."""
    around.kept  # noqa: B018 -- solved here, so that it would have to travel
    there = pickle.loads(pickle.dumps(around))  # noqa: S301 -- our own
    assert outcomes(there.ride) == outcomes(around.ride)
    sheet = moved(around.ride.analysis.sheet, {"sidewall_mm": 0.02})
    assert outcomes(there.of(sheet)) == pytest.approx(
        outcomes(around.of(sheet)), rel=1e-9, nan_ok=True
    )
