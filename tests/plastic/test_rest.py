"""A body at rest: under forces, let go, bowed, or come to no rest."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.errors import SolveError
from rimfea.plastic import rest
from rimfea.plastic.descent import Memory
from rimfea.plastic.metal import Linear
from rimfea.plastic.rest import at_rest, moved, under


@pytest.mark.parametrize("large", [True, False])
def test_a_load_at_which_nothing_yields_leaves_nothing(struck, large, first_force):
    body = struck(large=large)
    start = at_rest(body)
    memory = Memory()
    loaded = under(body, start, np.array([0.9 * first_force(body)]), memory)
    left = under(body, loaded, np.zeros(1), memory)
    assert loaded.flowed.amount.max() == 0
    elastic = loaded.load @ body.own
    np.testing.assert_allclose(loaded.movement, elastic, rtol=0.02 if large else 1e-9)
    assert abs(left.movement[0]) < 1e-3 * elastic[0]
    assert abs(left.energy) < 1e-3 * loaded.energy


def test_the_first_force_that_makes_metal_flow_is_foretold(struck, first_force):
    body = struck(large=False)
    force, start = first_force(body), at_rest(body)
    below, above = (
        under(body, start, np.array([share * force]), Memory()).flowed.amount.max()
        for share in (0.999, 1.001)
    )
    assert below == 0 < above


def test_a_body_that_bows_besides_moves_by_so_much_more(struck):
    """A bow that strains as the sector itself does: as two springs in a row, without yielding."""
    body = struck(large=False, metal=(70e3, 0.3, Linear(1e6)))
    soft = replace(body, bow=0.5 * body.unit, softer=0.5 * body.own)
    state = under(soft, at_rest(soft), np.array([1000.0]), Memory())
    np.testing.assert_allclose(state.movement, 1.5 * 1000 * body.own[0])
    np.testing.assert_allclose(state.bowed, 1000)


@pytest.fixture
def bows(monkeypatch):
    """A list of how a body was taken to be bowed and how it then was (N), one pair a descent."""
    taken, descended = [], rest._descended

    def told(body, state, memory, guess, load_of):
        found = descended(body, state, memory, guess, load_of)
        taken.append((guess.bowed[0], found.bowed[0]))
        return found

    monkeypatch.setattr(rest, "_descended", told)
    return taken


def test_a_body_that_answers_the_other_way_than_it_bows_is_found_by_a_secant(
    struck, bows, first_force
):
    """Taken to be bowed as it last turned out to be, this one would swing wider and wider."""
    body = struck()
    far = 1.5 * first_force(body) * body.own[0, 0]
    soft = replace(body, bow=1.5 * body.unit, softer=10 * body.own)
    before = at_rest(soft)
    for way, most in ((far, 3), (1.2 * far, 2)):  # what it answers is remembered
        del bows[:]
        before = moved(soft, before, way, Memory(), before)
        taken, was = bows[-1]
        assert was == pytest.approx(taken, rel=rest.NEAR)
        assert len(bows) <= most
        assert before.echo < -1


def test_what_stands_by_may_have_made_the_metal_flow_already(struck, first_force):
    body = struck()
    still = np.zeros_like(body.window.still)
    still[2] = 260.0
    tense = replace(body, window=replace(body.window, still=still))
    assert at_rest(tense).flowed.amount.max() > 0
    assert at_rest(body).flowed.amount.max() == 0
    still[2] = 200.0
    near = replace(body, window=replace(body.window, still=still))
    assert at_rest(near).flowed.amount.max() == 0
    assert first_force(near) < first_force(body)


def test_metal_that_comes_to_no_rest_is_said(struck, monkeypatch, first_force):
    body = struck()
    monkeypatch.setattr(rest, "MOST", 2)
    with pytest.raises(SolveError, match="did not come to rest"):
        under(body, at_rest(body), np.array([2 * first_force(body)]), Memory())
