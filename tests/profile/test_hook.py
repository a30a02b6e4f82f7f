"""Hooks whose crown slopes or is round, whose underside leans, on sidewalls that are tapered."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.errors import SheetError
from rimfea.geometry.ring import arc_radii
from rimfea.profile.build import outline
from rimfea.profile.families import Family
from rimfea.profile.hook import inward_hook, outward_lip
from rimfea.profile.pieces import Piece, swapped

LEANING = [
    {"crown_slope_deg": 8.0},
    {"crown_slope_deg": -12.0, "lip_taper_mm": 0.3},
    {"lip_taper_mm": -0.4, "sidewall_foot_mm": 1.8},
    {"crown_slope_deg": 15.0, "sidewall_foot_mm": 1.2, "lip_taper_mm": 0.2},
]
HOOKS = [(Family.HOOKED, inward_hook), (Family.HOOKLESS, outward_lip)]


@pytest.mark.parametrize(("family", "hook"), HOOKS)
def test_a_flat_hook_has_its_numbers_to_the_last_digit(sheet_of, family, hook):
    sheet = sheet_of(family)
    found = hook(sheet.known)
    assert found.crown.at(found.inner) == found.crown.at(found.outer) == sheet.hook_height_mm
    nose = sheet.hook_height_mm - sheet.bead_hook_mm
    assert found.nose_y == found.underside.y == found.root[1] == nose
    assert found.above == found.below == sheet.crown_radius_mm


@pytest.mark.parametrize(("family", "hook"), HOOKS)
@pytest.mark.parametrize("changes", LEANING)
def test_a_hook_is_as_thick_as_it_is_told_half_way_and_tapers_as_much(
    sheet_of, family, hook, changes
):
    """Square to the crown, between the nose and where the sidewall's top would be."""
    sheet = sheet_of(family, **changes)
    found = hook(sheet.known)
    assert np.degrees(np.arctan(-found.crown.slope)) == pytest.approx(
        changes.get("crown_slope_deg", 0.0)
    )
    root = 2 * found.underside.x - found.nose
    square = np.hypot(1, found.crown.slope)
    thick = [
        (found.crown.at(x) - found.underside.at(x)) / square
        for x in (root, found.underside.x, found.nose)
    ]
    assert thick[1] == pytest.approx(sheet.bead_hook_mm)
    assert thick[0] - thick[2] == pytest.approx(changes.get("lip_taper_mm", 0.0), abs=1e-12)
    assert abs(found.nose - root) == pytest.approx(sheet.lip_step_mm)


@pytest.mark.parametrize("family", [Family.HOOKED, Family.HOOKLESS])
@pytest.mark.parametrize("slope", [-20.0, 8.0])
def test_the_highest_place_of_a_sloping_crown_is_as_high_as_the_hook(sheet_of, family, slope):
    """It lies on the rounding of the higher edge: at the nose of a hook where it falls outward."""
    ring = outline(sheet_of(family, crown_slope_deg=slope, crown_radius_mm=0.5)).outer
    fine = np.linspace(0, 1, 2001)
    k = np.flatnonzero(ring.bulge > 0)
    from rimfea.geometry.ring import points_at  # noqa: PLC0415

    points = points_at(ring, np.repeat(k, len(fine)), np.tile(fine, len(k)))
    top = points[points[:, 1].argmax()]
    assert top[1] == pytest.approx(6.0, abs=1e-6)
    crown = ring.corners[ring.corners[:, 1] > 5.0]
    assert (abs(top[0]) < np.abs(crown[:, 0]).mean()) == (slope > 0)


def test_a_crown_may_be_round_all_over(sheet_of):
    """But for a flat of two hundredths of the lip."""
    drawn = outline(sheet_of(hook_lip_mm=2.6, bead_hook_mm=1.6, crown_radius_mm=1.3))
    radii = arc_radii(drawn.outer)
    assert np.isclose(radii, 0.49 * 2.6).sum() == 4
    level = np.isclose(drawn.outer.corners[:, 1], 6.0)
    assert np.ptp(np.abs(drawn.outer.corners[level, 0])) == pytest.approx(0.02 * 2.6)


def test_the_foot_of_a_tapered_sidewall_is_no_hook_narrower(sheet_of):
    drawn = outline(sheet_of(sidewall_mm=1.5, sidewall_foot_mm=1.8))
    assert drawn.outer.corners[:, 0].max() == pytest.approx(12.5 + 2.6)
    bare = outline(sheet_of(Family.HOOKLESS, sidewall_mm=1.5, sidewall_foot_mm=1.8))
    at_seat = bare.outer.corners[np.isclose(bare.outer.corners[:, 1], 0.0), 0]
    assert at_seat.max() == pytest.approx(12.5 + 1.8)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"sidewall_foot_mm": 2.5}, "lean by more than 15 deg"),
        ({"sidewall_mm": 1.0, "sidewall_foot_mm": 1.6}, "0.4 mm thick under the hook"),
        ({"lip_taper_mm": 1.0}, "lean by more than 30 deg"),
        ({"lip_taper_mm": 0.5, "bead_hook_mm": 0.8}, "thin end would be 0.55 mm"),
        ({"lip_taper_mm": 0.2, "family": Family.HOOKLESS, "hook_lip_mm": 1.5}, "stands out"),
        ({"crown_slope_deg": 30.0, "bead_hook_mm": 0.9}, "below the underside"),
        ({"crown_slope_deg": -25.0, "hook_height_mm": 2.4}, "left between hook and bead seat"),
        ({"crown_radius_mm": 1.3, "bead_hook_mm": 1.4}, "all of the nose"),
        ({"hook_lip_mm": 1.8, "sidewall_mm": 1.5, "sidewall_foot_mm": 1.7}, "by 0.1 mm"),
    ],
)
def test_what_leans_too_much_is_refused_with_the_reason(sheet_of, changes, told):
    with pytest.raises(SheetError, match=told):
        sheet_of(**changes)


def test_a_taper_belongs_to_its_wall(sheet_of):
    one, other = sheet_of(), sheet_of(sidewall_foot_mm=1.7, crown_slope_deg=5, lip_taper_mm=0.2)
    assert swapped(one, other, Piece.SIDEWALL).sidewall_foot_mm == 1.7
    assert swapped(one, other, Piece.HOOK).crown_slope_deg == 5
    assert swapped(other, one, Piece.HOOK).lip_taper_mm is None
