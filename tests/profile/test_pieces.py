from __future__ import annotations

import pytest

from rimfea.errors import SheetError
from rimfea.profile.families import Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.pieces import OF_THE_SAMPLE, Piece, differing, swapped
from rimfea.profile.walls import Wall


def test_every_key_of_a_sheet_belongs_to_one_piece_or_to_the_sample():
    keys = [key for piece in Piece for key in piece.keys]
    assert sorted([*keys, *OF_THE_SAMPLE]) == sorted(BY_KEY)


def test_every_wall_belongs_to_one_piece():
    assert sorted(wall for piece in Piece for wall in piece.walls) == sorted(Wall)


def test_a_swapped_piece_brings_all_its_numbers_and_nothing_else(sheet_of):
    one = sheet_of(spoke_count=28, bead_seat_mm=1.4, arch_radius_mm=3)
    other = sheet_of(
        name="ruff", hook_lip_mm=3.0, hook_height_mm=6.5, sidewall_mm=1.9, alloy="6063-T6"
    )
    found = swapped(one, other, Piece.HOOK)
    for key in BY_KEY:
        if key not in OF_THE_SAMPLE | {"crown_radius_mm"}:
            source = other if key in Piece.HOOK.keys else one
            assert getattr(found, key) == getattr(source, key), key
    assert found.name == one.name
    assert swapped(one, other, Piece.ALLOY).metal.proof_MPa == other.metal.proof_MPa


def test_what_nobody_measured_stays_a_guess_and_what_somebody_did_a_measurement(sheet_of):
    one, other = sheet_of(), sheet_of(hook_height_mm=5.0, flank_mm=1.0)
    assert "hook_height_mm" not in swapped(one, other, Piece.HOOK).assumed
    assert "flank_mm" in swapped(one, other, Piece.HOOK).assumed
    assert "flank_mm" not in swapped(one, other, Piece.FLANK).assumed


def test_a_radius_that_nobody_measured_follows_its_rule(sheet_of):
    """The fillets are drawn after the thinnest wall, which is now another."""
    one, other = sheet_of(tyre_well_mm=1.3, sidewall_mm=1.4), sheet_of(tyre_well_mm=0.8)
    found = swapped(one, other, Piece.TYRE_WELL)
    assert found.fillet_radius_mm < one.fillet_radius_mm
    assert Piece.CORNERS not in differing(one, other)
    assert Piece.CORNERS in differing(one, sheet_of(fillet_radius_mm=0.5))


def test_all_pieces_together_make_the_other_rim(sheet_of):
    one = sheet_of(spoke_count=28, weighed_mass_g=600)
    other = sheet_of(hook_lip_mm=3.0, inner_width_mm=28, spoke_tension_N=1200, joint="sleeved")
    found = one
    for piece in differing(one, other):
        found = swapped(found, other, piece)
    for key in set(BY_KEY) - OF_THE_SAMPLE:
        assert getattr(found, key) == pytest.approx(getattr(other, key)), key


def test_equal_rims_differ_in_no_piece_whatever_their_names_and_scales(sheet_of):
    assert not differing(sheet_of(), sheet_of(name="ruff", weighed_mass_g=700, note="new"))


def test_rims_of_two_families_swap_nothing(sheet_of):
    with pytest.raises(SheetError, match="single wall"):
        swapped(sheet_of(), sheet_of(Family.SINGLE), Piece.HOOK)


def test_a_piece_that_does_not_fit_is_refused(sheet_of):
    wide = sheet_of(inner_width_mm=40, tyre_well_width_mm=34)
    with pytest.raises(SheetError):
        swapped(sheet_of(inner_width_mm=17), wide, Piece.TYRE_WELL)
