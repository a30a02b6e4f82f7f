"""A drawn section comes back as its own sheet, and the ± told of every number covers its error."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.geometry.outline import from_rings
from rimfea.geometry.ring import cut_every, edge_lengths, subdivided
from rimfea.profile.build import outline
from rimfea.profile.families import Family
from rimfea.traced.fit import distances, drawn_from, fitted

ROUNDED = {"crown_radius_mm", "corner_radius_mm", "fillet_radius_mm"}  # chords cut them short


def traced(sheet, noise_mm=0.0):
    """A drawn section as plain rings of short chords, in noise that runs on over a millimetre."""
    random, rings = np.random.default_rng(5), []
    for ring in outline(sheet).rings:
        pieces = cut_every(ring, sweep=np.radians(8), rise=0.002)
        if noise_mm:
            pieces = np.maximum(pieces, np.ceil(edge_lengths(ring) / 0.2).astype(int))
        corners = subdivided(ring, pieces)[0].corners
        if noise_mm:
            along = np.roll(corners, -1, axis=0) - np.roll(corners, 1, axis=0)
            out = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(*along.T)[:, None]
            smooth = np.convolve(
                random.normal(0, 1, len(corners) + 4), np.ones(5) / np.sqrt(5), "valid"
            )
            corners = corners + noise_mm * smooth[:, None] * out
        rings.append(corners)
    return from_rings(rings[0], rings[1:])


def off(found, sheet):
    return {key: abs(getattr(found.sheet, key) - getattr(sheet, key)) for key in found.expanded}


@pytest.mark.parametrize(
    "family", [Family.SINGLE, pytest.param(Family.HOOKLESS, marks=pytest.mark.long)]
)
def test_a_drawn_section_comes_back_as_its_own_sheet(sheet_of, family):
    sheet = sheet_of(family)
    found = fitted(traced(sheet), name="knot", bead_seat_diameter_mm=622)
    errors = off(found, sheet)
    print({key: f"{mm:.4f}" for key, mm in errors.items()}, f"{found.typical_mm:.4f} mm")
    assert set(errors) >= {*drawn_from(sheet)} - {"nipple_seat_width_mm"}
    assert found.typical_mm < 0.001
    assert (
        max(mm for key, mm in errors.items() if key.endswith("_mm") and key not in ROUNDED) < 0.003
    )
    assert max(errors[key] for key in ROUNDED) < 0.02
    assert errors["well_slope_deg"] < 0.05
    assert (found.sheet.family is Family.SINGLE) == (family is Family.SINGLE)


@pytest.mark.long
def test_an_offset_bed_and_tapered_sidewalls_are_found(sheet_of):
    sheet = sheet_of(overall_depth_mm=30.0, spoke_bed_offset_mm=2.5, sidewall_foot_mm=1.8)
    found = fitted(traced(sheet), name="knot", bead_seat_diameter_mm=622)
    errors = off(found, sheet)
    print({key: f"{mm:.4f}" for key, mm in errors.items()}, f"{found.typical_mm:.4f} mm")
    assert found.typical_mm < 0.002
    assert errors["spoke_bed_offset_mm"] < 0.003
    assert errors["sidewall_foot_mm"] < 0.01
    assert errors["flank_mm"] < 0.003


@pytest.mark.long
def test_what_noise_leaves_open_is_told_and_not_too_little(sheet_of):
    sheet = sheet_of(Family.SINGLE)
    found = fitted(traced(sheet, 0.01), name="knot", bead_seat_diameter_mm=622)
    errors = off(found, sheet)
    walls = [key for key in errors if key not in ROUNDED]
    covered = [errors[key] <= found.expanded[key] + 0.002 for key in walls]
    print({key: (round(errors[key], 4), round(found.expanded[key], 4)) for key in walls})
    assert 0.003 < found.typical_mm < 0.02
    assert np.mean(covered) > 0.8
    assert max(found.expanded[key] for key in walls if key != "well_slope_deg") < 0.05


def test_the_distance_is_positive_outside_the_metal_and_its_worst_place_is_told(sheet_of):
    sheet = sheet_of(Family.SINGLE)
    away = distances(
        outline(sheet), np.array([[0.0, 20.0], [0.0, -sheet.tyre_well_depth_mm - 0.5]])
    )
    assert away[0] > 0 > away[1]
    found = fitted(traced(sheet), name="knot", bead_seat_diameter_mm=622)
    worst, x, y = found.worst
    assert abs(worst) == np.abs(found.distances_mm).max()
    assert distances(outline(found.sheet), np.array([[x, y]])) == pytest.approx(worst)


@pytest.mark.long
def test_a_number_that_is_known_is_kept(sheet_of):
    sheet = sheet_of(Family.SINGLE)
    found = fitted(traced(sheet), name="knot", bead_seat_diameter_mm=622, sidewall_mm=1.6)
    assert found.sheet.sidewall_mm == 1.6
    assert "sidewall_mm" not in found.expanded
    assert found.typical_mm > 0.005


@pytest.mark.long
def test_curved_flanks_two_chambers_and_an_arched_bed_to_one_side_are_found(sheet_of):
    extra = {"middle_width_mm": 25.5, "web_mm": 1.0, "web_height_mm": 12.0}
    arched = {"arch_radius_mm": 4.0, "spoke_bed_offset_mm": 1.5, "spoke_bed_width_mm": 14.0}
    deep = {"overall_depth_mm": 42.0, "flank_mm": 1.1, "inner_width_mm": 21.0}
    sheet = sheet_of(**deep, **extra, **arched)
    found = fitted(traced(sheet), name="knot", bead_seat_diameter_mm=622)
    errors = off(found, sheet)
    print({key: f"{mm:.4f}" for key, mm in errors.items()}, f"{found.typical_mm:.4f} mm")
    assert set(errors) >= {*extra, *arched}
    assert found.typical_mm < 0.005
    walls = errors.keys() - ROUNDED - {"well_slope_deg", "arch_radius_mm"}
    assert max(errors[key] for key in walls) < 0.01
