"""What carries a blow: the free bodies of a struck rim must balance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.ask.why import ALL_ROUND, Work, _Blow, carried
from rimfea.elastic.ring_field import solve_loads
from rimfea.errors import LoadError
from rimfea.profile.pieces import Piece
from rimfea.stress.passed import resultant
from rimfea.study.analysis import analyse_slice

THETA = np.linspace(-np.pi, np.pi, ALL_ROUND, endpoint=False)


@pytest.fixture(scope="module")
def found(whimbrel):
    return carried(whimbrel)


@pytest.fixture(scope="module")
def blow(whimbrel):
    answer = whimbrel.governing
    return _Blow(whimbrel, answer.field, answer.case.loads[0], answer.landing)


def around(blow, name):
    """All that comes through a cut, summed all around (3,)."""
    return resultant(blow.force(name, THETA), THETA)


def test_all_of_a_blow_comes_through_the_struck_sidewall(found, blow):
    """The head above the cut rests on nothing else: across, outward, around."""
    for name in ("top", "foot"):
        through = around(blow, name) / blow.strike.force_N
        print(f"{name}: {through[1] + 1:+.4f} of the blow is missing")
        assert through == pytest.approx([0, -1, 0], abs=0.02)
    assert found.unbalanced == pytest.approx(np.hypot(through[0], through[1] + 1), abs=1e-3)


def test_what_comes_into_the_bead_seat_goes_out_by_the_flank_and_the_tyre_well(blow):
    """Balance of the corner between three cuts, whatever goes round the chamber."""
    out = around(blow, "flank") + around(blow, "well")
    assert out == pytest.approx(around(blow, "foot"), abs=0.03 * blow.strike.force_N)


def test_a_blow_that_leans_comes_through_with_its_lean(whimbrel, blow):
    leant = replace(blow.strike, angle=np.radians(30) * (-1 if blow.landing.mirrored else 1))
    (field,) = solve_loads(blow.field.ring, [[leant]])
    again = _Blow(whimbrel, field, leant, blow.landing)
    assert again.unbalanced() < 0.05
    assert again.inward_N == pytest.approx(np.cos(np.radians(30)) * leant.force_N)


def test_the_walls_shares_of_a_blow_are_the_whole_of_it(found):
    assert sum(step.carries for step in found.steps) == pytest.approx(1.0)
    assert [step.piece for step in found.steps] == [
        Piece.HOOK, Piece.SIDEWALL, Piece.BEAD_SEAT, Piece.TYRE_WELL, Piece.FLANK, Piece.SPOKE_BED,
    ]  # fmt: skip
    assert found.carrier.carries == max(step.carries for step in found.steps)


def test_a_blow_gets_weaker_and_spreads_on_its_way_in(found):
    way = [step for step in found.steps if step.piece is not Piece.TYRE_WELL]
    shares, lengths = ([getattr(step, key) for step in way] for key in ("enters", "length_mm"))
    assert shares[0] == pytest.approx(1.0)
    assert shares == sorted(shares, reverse=True)
    assert lengths[0] == pytest.approx(found.answer.landing_mm)
    assert lengths == sorted(lengths)


def test_the_share_of_rim_at_the_sidewalls_foot_is_that_which_the_slice_finds(found):
    """The slice finds it from membrane stress alone, within its own tenth."""
    seat = next(step for step in found.steps if step.piece is Piece.BEAD_SEAT)
    assert seat.length_mm == pytest.approx(found.answer.share_of_rim_mm, rel=0.1)


def test_the_spokes_that_lose_most_are_told_in_order(found):
    change = np.sort(found.answer.field.tension_change)
    assert found.spokes_N == pytest.approx(-change[:3])


def test_a_struck_hook_is_bent_along_the_rim(found):
    assert found.steps[0].work is Work.ALONG


@pytest.mark.long
def test_a_single_wall_passes_the_blow_on_through_its_well(demo):
    found = carried(demo["wheatear"])
    assert Piece.FLANK not in [step.piece for step in found.steps]
    assert Piece.TYRE_WELL in [step.piece for step in found.steps]
    assert sum(step.carries for step in found.steps) == pytest.approx(1.0)
    assert found.unbalanced < 0.02


def test_a_slice_has_nothing_beside_it_to_carry_a_blow(sheet_of):
    with pytest.raises(LoadError, match="no slice"):
        carried(analyse_slice(sheet_of()))
