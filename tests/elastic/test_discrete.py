"""Real spokes on the ring's own compliance."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from rimfea.elastic import patches
from rimfea.elastic.discrete import held, pulls
from rimfea.elastic.loads import WheelLoad
from rimfea.elastic.ring import COLUMNS, Column, amplitudes, freed, solve_ring
from rimfea.elastic.ring_field import load_amplitudes, resultant
from rimfea.elastic.spokes import Lacing, spokes
from rimfea.files.sheet_toml import read_sheet
from rimfea.study.analysis import inspect

PROFILES = Path(__file__).parents[2] / "profiles"
HIGHEST = 80
ROAD = WheelLoad(force_N=700.0, patch_mm=60.0)


@pytest.fixture(scope="module")
def ring():
    """A coarse rim on 24 crossed spokes, dished."""
    sheet = read_sheet(PROFILES / "plover.toml")
    mesh = inspect(sheet, coarseness=2.5).mesh
    laced = spokes(Lacing(count=24, crossings=2, right_mm=22.0), sheet.seat_radius_mm - 12.0)
    bearing = (sheet.spoke_hole_mm, sheet.bearing_diameter_mm)
    return solve_ring(mesh, sheet.metal, sheet.seat_radius_mm, laced, bearing, HIGHEST)


@pytest.fixture(scope="module")
def load(ring):
    return load_amplitudes(ring, ROAD)


def test_pulls_on_the_seats_have_the_resultant_of_their_forces(ring):
    force = np.random.default_rng(2).normal(size=(24, 3))
    c, s = np.cos(ring.spokes.angle), np.sin(ring.spokes.angle)
    x, y, z = force.T
    expected = [x.sum(), (y * c - z * s).sum(), (y * s + z * c).sum()]
    np.testing.assert_allclose(resultant(ring, pulls(ring, force)), expected, rtol=1e-4)


def test_a_pull_on_one_seat_is_a_small_smooth_patch_there(ring):
    force = np.zeros((24, 3))
    force[3, 1] = -5.0
    q = patches.smooth(ring.n, ring.bearing / 2 / ring.seat_radius)
    there = patches.turned(ring.n, ring.spokes.angle[3])
    expected = amplitudes(ring, {Column("seat", 1): -5.0 * q * there})
    np.testing.assert_allclose(pulls(ring, force), expected, atol=1e-14)


def test_load_and_spokes_on_the_free_ring_move_the_seats_as_told(ring, load):
    """The amplitudes of the answer, on the ring with its foundation, give its displacement."""
    (answer,) = held(ring, [load])
    d = np.einsum("nil,nl->ni", ring.seen[:, :3], answer.amplitudes)
    q = patches.smooth(ring.n, ring.bearing / 2 / ring.seat_radius)
    d *= (q * np.where(ring.n == 0, 2 * np.pi, np.pi))[:, None]
    wave = np.exp(1j * np.outer(ring.spokes.angle, ring.n)) @ d
    ours = np.column_stack([wave[:, :2].real, wave[:, 2].imag])
    close = 1e-8 * np.abs(ours).max()
    np.testing.assert_allclose(ours, answer.displacement, atol=close)


def test_a_spoke_loses_tension_as_its_seat_nears_the_hub(ring, load):
    (answer,) = held(ring, [load])
    nearer = np.einsum("ja,ja->j", ring.spokes.direction, answer.displacement)
    np.testing.assert_allclose(answer.tension_change, -ring.spokes.stiffness * nearer)
    assert answer.tension_change[0] == answer.tension_change.min() < 0


def test_cases_do_not_touch_each_other_and_add_up(ring, load):
    other = load_amplitudes(ring, WheelLoad(0.0, 30.0, side_N=200.0))
    both, single, side = held(ring, [load + other, load, other])
    (alone,) = held(ring, [load])
    np.testing.assert_allclose(single.tension_change, alone.tension_change)
    summed = single.tension_change + side.tension_change
    np.testing.assert_allclose(both.tension_change, summed, atol=1e-9)


def test_a_load_turned_by_the_pattern_turns_what_the_spokes_do(ring, load):
    once, turned = held(ring, [load, load * patches.turned(ring.n, ring.spokes.angle[4])[:, None]])
    np.testing.assert_allclose(
        turned.tension_change, np.roll(once.tension_change, 4), atol=1e-8 * ROAD.force_N
    )


def test_seat_a_moves_under_a_pull_on_b_as_b_under_one_on_a(ring):
    """Betti's reciprocal theorem, for seats of both sides and all directions."""
    places = [(0, 0), (5, 1), (10, 2), (17, 1)]
    cases = []
    for j, i in places:
        force = np.zeros((24, 3))
        force[j, i] = 1.0
        cases.append(pulls(ring, force))
    moved = [answer.displacement for answer in held(ring, cases)]
    compliance = np.array([[d[j, i] for j, i in places] for d in moved])
    np.testing.assert_allclose(compliance, compliance.T, atol=1e-7 * np.abs(compliance).max())
    assert (np.diag(compliance) > 0).all()


def test_freed_takes_the_foundation_away(ring):
    """Under an even pull on the free ring only the hoop resists, but for the share kept."""
    once = amplitudes(ring, {Column("seat", 1): np.where(ring.n == 0, 1.0, 0.0)})
    with_springs = ring.seen[0, 1] @ once[0].real
    free = ring.seen[0, 1] @ freed(ring, once)[0].real
    kept = ring.seen[0, 1] @ once[0].real
    assert kept == pytest.approx(with_springs)
    assert free > with_springs
    k = ring.spokes.smeared
    d = ring.seen[0, :3] @ freed(ring, once)[0].real
    push = once[0, :3].real + k @ d * (1 - 1e-6)
    np.testing.assert_allclose(freed(ring, once)[0, :3].real, push, rtol=1e-9)


def test_every_column_has_a_share_in_the_answer(ring):
    assert ring.seen.shape[2] == len(COLUMNS)
    assert (np.abs(ring.seen[0]).max(axis=0) > 0).all()
