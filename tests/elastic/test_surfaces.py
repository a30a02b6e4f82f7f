"""Where loads touch a meshed section."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.elastic.surfaces import bead_seats, crown, nipple_bearing, tyre_side
from rimfea.mesh.build import mesh_outline
from rimfea.profile.build import outline
from rimfea.profile.families import DRAWN
from rimfea.profile.proportions import ridge_foot, sidewall_foot


def crown_of(sheet, *, right=True):
    """Ends (f, 2, 2) of the sides of a crown."""
    mesh = mesh_outline(outline(sheet), coarseness=2.0)
    return mesh.nodes[crown(mesh, right=right)[:, :2]]


@pytest.mark.parametrize("slope", [-25.0, -8.0, 8.0, 25.0])
def test_a_rock_meets_the_whole_straight_face_of_a_sloping_crown(sheet_of, slope):
    """And of its roundings at most what is within ten degrees of it."""
    sheet = sheet_of(crown_slope_deg=slope, crown_radius_mm=0.3)
    for right in (True, False):
        ends = crown_of(sheet, right=right)
        along = ends[:, 1] - ends[:, 0]
        length = np.linalg.norm(along, axis=1)
        flat = sheet.hook_lip_mm / np.cos(np.radians(slope)) - 0.3 * (
            np.tan(np.radians(45 + slope / 2)) + np.tan(np.radians(45 - slope / 2))
        )
        assert flat - 1e-9 <= length.sum() < flat + 2 * 0.3 * np.radians(25)
        fall = np.degrees(np.arctan2(along[:, 1], along[:, 0])) % 360 - 180
        assert np.average(fall, weights=length) == pytest.approx(
            -slope if right else slope, abs=1.0
        )


def test_a_rock_meets_a_round_crown_at_its_top(sheet_of):
    ends = crown_of(sheet_of(hook_lip_mm=2.6, bead_hook_mm=1.8, crown_radius_mm=1.3))
    assert ends[..., 1].min() > 6.0 - 1.3 * (1 - np.cos(np.radians(25)))
    assert ends[..., 0].mean() == pytest.approx(12.5 + 1.3, abs=0.1)


@pytest.mark.parametrize("family", DRAWN)
def test_the_air_presses_on_all_between_the_sidewalls_over_a_ridge_too(sheet_of, family):
    sheet = sheet_of(family, bead_ridge_mm=0.5)
    mesh = mesh_outline(outline(sheet), coarseness=2.0)
    ends = mesh.nodes[tyre_side(mesh)[:, :2], 0]
    assert abs((ends[:, 0] - ends[:, 1]).sum()) == pytest.approx(2 * sidewall_foot(sheet.known))


def test_the_beads_sit_beside_the_ridge(sheet_of):
    sheet = sheet_of(bead_ridge_mm=0.5)
    mesh = mesh_outline(outline(sheet), coarseness=2.0)
    seat = np.abs(mesh.nodes[bead_seats(mesh)[:, :2], 0])
    assert ridge_foot(sheet.known) - 0.3 < seat.min() < ridge_foot(sheet.known)
    bare = mesh_outline(outline(sheet_of()), coarseness=2.0)
    assert np.abs(bare.nodes[bead_seats(bare)[:, :2], 0]).min() < seat.min() - 0.5


@pytest.mark.parametrize("offset", [-3.0, 2.0])
def test_the_nipples_bear_on_an_offset_bed_beside_its_own_holes(sheet_of, offset):
    sheet = sheet_of(spoke_bed_offset_mm=offset)
    mesh = mesh_outline(outline(sheet), coarseness=2.0)
    hole, bearing = sheet.spoke_hole_mm, sheet.bearing_diameter_mm
    x = mesh.nodes[nipple_bearing(mesh, hole, bearing, sheet.seat_offset_mm)[:, :2], 0] - offset
    assert np.abs(x).min() == pytest.approx(hole / 2)
    assert np.abs(x).max() == pytest.approx(bearing / 2)
    assert np.abs(x[:, 0] - x[:, 1]).sum() == pytest.approx(bearing - hole)
