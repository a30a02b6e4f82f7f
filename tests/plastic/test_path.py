"""A body pushed further and further, and let go."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.plastic import path, rest
from rimfea.plastic.descent import Memory
from rimfea.plastic.path import followed
from rimfea.plastic.rest import at_rest, under


@pytest.fixture
def fine(monkeypatch):
    """Small errors and short steps."""
    monkeypatch.setattr(rest, "SMALL", 1e-4)
    monkeypatch.setattr(path, "WIDEST", 2e-3)
    monkeypatch.setattr(path, "SHORTEST", 1e-3)


@pytest.mark.usefixtures("fine")
@pytest.mark.parametrize("large", [True, False])
def test_work_is_in_the_sector_and_in_the_metal(struck, large):
    """∫ F du, with short steps, is what the state says is stored or swallowed."""
    body = struck(large=large)
    gone = followed(body, set_mm=1.0, farthest=0.05)
    last = gone.steps[-1]
    assert last.flowed > 0.002
    assert last.swallowed > 0.2 * last.work
    assert gone.states[-1].energy == pytest.approx(last.work, rel=1e-3)
    # What is left in it: what the metal took, and the stress that its set leaves.
    assert 0 < gone.left.energy < gone.states[-1].energy
    assert gone.left.energy == pytest.approx(last.swallowed, rel=0.02)


@pytest.mark.usefixtures("fine")
def test_a_movement_and_its_force_are_one_state(struck):
    """The force that a prescribed movement takes makes that movement when it is given."""
    body = struck()
    gone = followed(body, set_mm=1.0, farthest=0.03)
    assert gone.states[-1].flowed.amount.max() > 1e-3
    state, memory = at_rest(body), Memory()
    for step in gone.steps:
        state = under(body, state, np.array([step.force]), memory)
    np.testing.assert_allclose(state.movement, gone.states[-1].movement, rtol=2e-3)
    np.testing.assert_allclose(
        state.flowed.amount, gone.states[-1].flowed.amount, atol=0.02 * state.flowed.amount.max()
    )


@pytest.mark.usefixtures("fine")
def test_usual_steps_and_errors_come_near_the_fine_ones(struck, monkeypatch):
    body = struck()
    near = followed(body, set_mm=1.0, farthest=0.05)
    monkeypatch.undo()
    usual = followed(body, set_mm=1.0, farthest=0.05)
    assert usual.of("asked").sum() < near.of("asked").sum() / 1.5
    for what in ("force", "set_mm", "work"):
        there = np.interp(0.05, usual.of("movement"), usual.of(what))
        assert there == pytest.approx(np.interp(0.05, near.of("movement"), near.of(what)), rel=0.03)


def test_set_and_work_never_shrink_and_force_hardens(struck):
    gone = followed(struck(large=False), set_mm=0.02)
    for what in ("force", "movement", "set_mm", "work", "swallowed", "flowed"):
        assert (np.diff(gone.of(what)) >= -1e-3 * gone.of(what).max()).all(), what
    assert gone.steps[-1].set_mm >= 0.02 > gone.steps[-2].set_mm


def test_the_first_step_is_the_last_that_is_elastic(struck, first_force):
    body = struck(large=False)
    first = followed(body, set_mm=1e-9).steps[0]
    assert first.force == pytest.approx(first_force(body), rel=1e-6)
    assert first.set_mm == pytest.approx(0, abs=1e-6)
    assert first.work == pytest.approx(first.force * first.movement / 2)
    assert first.swallowed == pytest.approx(0, abs=1e-6 * first.work)


def test_work_and_what_is_swallowed_follow_from_force_and_movement(struck):
    gone = followed(struck(), set_mm=0.02)
    force, movement = (np.r_[0, gone.of(what)] for what in ("force", "movement"))
    work = np.cumsum(np.diff(movement) * (force[1:] + force[:-1]) / 2)
    np.testing.assert_allclose(gone.of("work"), work)
    sprung = gone.of("force") * (gone.of("movement") - gone.of("set_mm")) / 2
    np.testing.assert_allclose(gone.of("swallowed"), work - sprung)


def test_it_goes_no_further_than_asked(struck, first_force):
    body = struck()
    far = followed(body, set_mm=1.0, farthest=0.03)
    assert far.steps[-1].movement >= 0.03 > far.steps[-2].movement
    early = followed(body, set_mm=1.0, enough=lambda state: state.load[0] > 1.2 * first_force(body))
    assert early.steps[-1].force > 1.2 * first_force(body) >= early.steps[-2].force


def test_a_place_that_is_held_does_not_slide_and_bears_a_force(struck):
    body = struck(aside=True)
    gone = followed(body, set_mm=0.02)
    np.testing.assert_allclose(
        gone.states[-1].movement[1], 0, atol=2e-3 * gone.states[-1].movement[0]
    )
    assert abs(gone.steps[-1].side) > 0.05 * gone.steps[-1].force
    assert gone.steps[-1].side == gone.states[-1].load[1]
    np.testing.assert_array_equal(gone.left.load, 0)


def test_a_held_place_is_stiffer_than_one_that_slides(struck):
    held, free = (followed(struck(aside=aside), set_mm=0.02) for aside in (True, False))
    at = 0.9 * min(held.of("movement")[-1], free.of("movement")[-1])
    one, other = (np.interp(at, gone.of("movement"), gone.of("force")) for gone in (held, free))
    assert one > 1.02 * other


@pytest.mark.usefixtures("fine")
def test_what_bows_the_body_is_the_load_and_what_the_window_answers(struck):
    """The bow moves the places by its own work on the window's answer (Betti)."""
    body = struck(large=False)
    soft = replace(body, bow=0.1 * body.unit, softer=0.1 * body.own)
    gone = followed(soft, set_mm=0.01)
    state = gone.states[-1]
    assert state.flowed.amount.max() > 1e-3
    assert state.bowed[0] > state.load[0]
    sector_alone = body.own @ state.load + state.forces.p
    np.testing.assert_allclose(state.movement - sector_alone, soft.softer @ state.bowed)
