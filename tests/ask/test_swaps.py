"""Pieces put from one rim into another and back; what they do adds up to the whole difference."""

from __future__ import annotations

from math import isfinite, isnan

import pytest

from rimfea.ask import swaps as asking
from rimfea.ask.swaps import TOLD, Swap, swaps
from rimfea.mesh.build import mesh_outline
from rimfea.profile.families import Family
from rimfea.profile.pieces import Piece
from rimfea.study.analysis import inspect
from rimfea.study.outcome import BY_KEY
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup

MOOR = Setup.from_values({"name": "moor"})


# What else would follow from a wall.
HELD = {"tyre_well_width_mm": 15, "tyre_well_depth_mm": 3.5, "spoke_bed_width_mm": 17}


@pytest.fixture
def rim(sheet_of):
    """A rim in which a wall is changed alone."""
    return lambda **walls: sheet_of(**{**HELD, **walls})


@pytest.fixture
def by_hand(monkeypatch):
    """Every rim answers what a formula makes of its sheet: nothing is solved."""

    def use(formula):
        monkeypatch.setattr(asking, "_values", lambda _asked, sheet: formula(sheet))

    return use


def product(sheet):
    """Two walls that help each other, and a mass that is a sum."""
    both = sheet.sidewall_mm * sheet.hook_lip_mm
    return {**dict.fromkeys(TOLD, 0.0), "yield_N": both, "mass_g": 10 * sheet.sidewall_mm}


def test_the_mean_of_both_ends_is_told_and_the_parts_make_the_whole(rim, by_hand):
    by_hand(product)
    base, other = (
        rim(sidewall_mm=1.5, hook_lip_mm=2.6),
        rim(sidewall_mm=2.0, hook_lip_mm=3.0),
    )
    found = swaps(base, other, MOOR, End.REAR, processes=1)
    sides = {swap.piece: swap for swap in found.swaps}
    assert set(sides) == {Piece.HOOK, Piece.SIDEWALL}
    assert not any(swap.clashes for swap in found.swaps)
    wall = sides[Piece.SIDEWALL]
    assert (wall.gives["yield_N"], wall.takes["yield_N"]) == pytest.approx((1.3, 1.5))
    assert wall.change("yield_N") == pytest.approx(1.4)
    for key in ("yield_N", "mass_g"):
        parts = sum(swap.change(key) for swap in found.swaps) + found.together(key)
        assert parts == pytest.approx(found.whole(key))
    assert found.whole("yield_N") == pytest.approx(6.0 - 3.9)


def test_three_pieces_leave_something_that_they_do_only_together(rim, by_hand):
    """a b c from 1 to 2 each: alone ((2-1) + (8-4)) / 2 each, of 7 in all."""

    def cubic(sheet):
        done = sheet.sidewall_mm * sheet.bead_seat_mm * sheet.flank_mm
        return {**dict.fromkeys(TOLD, 0.0), "yield_N": done}

    by_hand(cubic)
    walls = ("sidewall_mm", "bead_seat_mm", "flank_mm")
    rims = [rim(**dict.fromkeys(walls, mm), hook_lip_mm=3.0, tyre_well_mm=1.0) for mm in (1, 2)]
    found = swaps(*rims, MOOR, End.REAR, processes=1)
    assert [swap.change("yield_N") for swap in found.swaps] == pytest.approx([2.5] * 3)
    assert found.together("yield_N") == pytest.approx(7 - 7.5)


def test_a_piece_that_fits_one_rim_only_is_told_from_there_and_why(sheet_of, by_hand):
    by_hand(product)
    base = sheet_of(inner_width_mm=17)
    other = sheet_of(inner_width_mm=40, tyre_well_width_mm=34)
    found = swaps(base, other, MOOR, End.REAR, processes=1)
    well = next(swap for swap in found.swaps if swap.piece is Piece.TYRE_WELL)
    assert well.clashes
    assert all(map(isnan, well.gives.values()))
    assert isfinite(well.change("mass_g"))


def test_a_rim_that_has_no_answer_is_left_out_and_its_share_counts_as_together(rim, by_hand):
    base, other = rim(), rim(sidewall_mm=2.0, hook_lip_mm=3.0)

    def some(sheet):
        mixed = (sheet.sidewall_mm, sheet.hook_lip_mm) in ((2.0, 2.6), (1.5, 3.0))
        return {} if mixed else product(sheet)

    by_hand(some)
    found = swaps(base, other, MOOR, End.REAR, processes=1)
    assert all(isnan(swap.change("mass_g")) for swap in found.swaps)
    assert found.swaps[0].clashes == (asking.FAILS,)
    assert found.together("yield_N") == found.whole("yield_N")


def test_one_end_alone_is_not_halved():
    known, unknown = dict.fromkeys(TOLD, 4.0), dict.fromkeys(TOLD, float("nan"))
    assert Swap(Piece.HOOK, known, unknown).change("yield_N") == 4.0
    assert Swap(Piece.HOOK, unknown, known).change("yield_N") == 4.0


def test_rims_of_two_families_swap_nothing_and_solve_nothing(sheet_of, by_hand):
    by_hand(lambda _sheet: pytest.fail("nothing is to be solved"))
    found = swaps(sheet_of(), sheet_of(Family.SINGLE), MOOR, End.REAR, processes=1)
    assert "do not have the same pieces" in found.refused
    assert not found.swaps
    assert not found.outcomes


def test_every_rim_that_is_solved_is_followed(rim, by_hand):
    by_hand(product)
    seen = []

    def follow(found, count):
        seen.append(count)
        return found

    swaps(rim(), rim(sidewall_mm=2.0), MOOR, End.REAR, processes=1, follow=follow)
    assert seen == [4]


@pytest.mark.long
def test_a_swapped_rim_answers_as_one_that_is_analysed(sheet_of, monkeypatch):
    """The spokes go along with it, and so does the metal."""

    def coarse(*given, coarseness, **also):
        return mesh_outline(*given, coarseness=2.5 * coarseness, **also)

    monkeypatch.setattr("rimfea.study.analysis.mesh_outline", coarse)
    base, other = sheet_of(), sheet_of(name="ruff", spoke_count=28, spoke_tension_N=1200)
    found = swaps(base, other, MOOR, End.REAR, processes=1)
    whole = ride(wheel_of(other, MOOR, End.REAR), MOOR, End.REAR)
    (spokes,) = found.swaps
    assert spokes.piece is Piece.SPOKES
    for key in ("mass_g", "yield_N", "most_tension_N"):
        ours = found.of_base[key] + spokes.gives[key]
        assert ours == pytest.approx(BY_KEY[key].of(whole), rel=1e-6)
        assert found.together(key) == pytest.approx(0, abs=1e-6)
    assert inspect(base).hoop.mass_g == pytest.approx(found.of_base["mass_g"])
    assert isnan(found.of_base["dent_N"])
