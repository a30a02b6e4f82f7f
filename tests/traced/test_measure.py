"""The caliper on outlines that no sheet has drawn."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, cut_every, subdivided
from rimfea.profile.build import outline
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.sheet import Sheet
from rimfea.traced.measure import measure

OUZEL = {
    "name": "Ouzel",
    "bead_seat_diameter_mm": 584,
    "inner_width_mm": 27,
    "overall_depth_mm": 22,
    "bead_hook_mm": 1.7,
    "hook_lip_mm": 2.8,
    "sidewall_mm": 1.6,
    "tyre_well_mm": 1.4,
    "nipple_seat_mm": 2.2,
}


LITTLE_SHELF = {
    "tyre_well_width_mm": 25.2,
    "well_slope_deg": 5,
    "spoke_bed_width_mm": 29,
    "flank_mm": 1.0,
}


def sheet_of(family: Family = Family.HOOKED, **changes: float) -> Sheet:
    depth = {} if family is not Family.SINGLE else {"overall_depth_mm": 14}
    return Sheet({**OUZEL, "family": family, **depth, **changes})


def in_straight_pieces(drawn: Outline) -> Outline:
    fine = [subdivided(ring, cut_every(ring, sweep=np.radians(6)))[0] for ring in drawn.rings]
    straight = [Ring(ring.corners, np.zeros(len(ring.labels)), ring.labels) for ring in fine]
    return Outline(straight[0], tuple(straight[1:]))


@pytest.mark.parametrize("family", DRAWN)
def test_roundings_in_straight_pieces_measure_as_true_arcs_do(family):
    drawn = outline(sheet_of(family))
    assert measure(in_straight_pieces(drawn)) == pytest.approx(measure(drawn), abs=2e-3)


def test_a_hook_whose_flats_do_not_face_each_other_is_measured_between_their_lines():
    sheet = sheet_of(hook_lip_mm=2.0, crown_radius_mm=0.8, sidewall_mm=1.5)
    assert measure(outline(sheet))["bead_hook_mm"] == pytest.approx(1.7, abs=1e-9)


def test_a_seat_between_two_large_roundings_is_measured_on_its_flat():
    sheet = sheet_of(
        Family.SINGLE,
        tyre_well_width_mm=26.5,
        well_slope_deg=40,
        bead_seat_mm=2,
        corner_radius_mm=2.05,
        fillet_radius_mm=2.0,
    )
    assert measure(outline(sheet))["hook_height_mm"] == pytest.approx(6.0, abs=1e-9)


def test_the_two_upright_sides_of_a_single_well_are_not_taken_for_one_wall():
    sheet = sheet_of(Family.SINGLE, well_slope_deg=0, overall_depth_mm=10)
    assert measure(outline(sheet))["tyre_well_mm"] == pytest.approx(1.4, abs=1e-9)


def test_a_hook_without_an_underside_is_left_out():
    flush = sheet_of(Family.HOOKLESS, hook_lip_mm=1.6, crown_radius_mm=0.8)
    assert "bead_hook_mm" not in measure(outline(flush))


def test_a_shelf_is_measured_beside_its_ridge_however_little_of_it_is_left():
    sheet = sheet_of(bead_ridge_mm=0.4, bead_seat_mm=1.4, **LITTLE_SHELF)
    found = measure(outline(sheet))
    assert found["bead_seat_mm"] == pytest.approx(1.4, abs=1e-9)
    assert found["bead_ridge_mm"] == pytest.approx(0.4, abs=1e-9)
    assert found["hook_height_mm"] == pytest.approx(6.0, abs=1e-9)


def test_an_offset_bed_is_measured_and_one_in_the_middle_is_not_told():
    assert measure(outline(sheet_of(spoke_bed_offset_mm=-1.7)))[
        "spoke_bed_offset_mm"
    ] == pytest.approx(-1.7)
    assert "spoke_bed_offset_mm" not in measure(outline(sheet_of()))


def test_a_well_with_sides_at_45_degrees_is_measured():
    sheet = sheet_of(well_slope_deg=45, tyre_well_depth_mm=2.0)
    assert measure(outline(sheet))["tyre_well_width_mm"] == pytest.approx(sheet.tyre_well_width_mm)
