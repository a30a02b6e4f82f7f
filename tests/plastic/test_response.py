"""What points of a window answer: flow, stress and energy."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.plastic.metal import Linear, ramberg_osgood
from rimfea.plastic.response import SIX, Window, solid, symmetric
from rimfea.plastic.sector import EVEN, ODD

ROWS = [*EVEN, *ODD]
METAL = solid(70e3, 0.33, ramberg_osgood(160.0, 195.0))
POINTS = (4, 3)


def full(six):
    """Symmetric tensors (p, t, 3, 3) of six rows."""
    tensor = np.zeros((*six.shape[1:], 3, 3))
    for row, (i, j) in zip(six, SIX, strict=True):
        tensor[..., i, j] = tensor[..., j, i] = row
    return tensor


def square(H):
    """Gradients (p, t, 3, 3) of nine rows."""
    tensor = np.zeros((*H.shape[1:], 3, 3))
    for row, (i, j) in zip(H, ROWS, strict=True):
        tensor[..., i, j] = row
    return tensor


def nine(tensor):
    """Nine rows of tensors (p, t, 3, 3)."""
    return np.stack([tensor[..., i, j] for i, j in ROWS])


def mises(six):
    s = full(six)
    s = s - np.trace(s, axis1=-2, axis2=-1)[..., None, None] * np.eye(3) / 3
    return np.sqrt(1.5 * (s**2).sum(axis=(-2, -1)))


def green(window, H):
    """Strain (p, t, 3, 3) as the window takes it, by tensors."""
    H = square(H)
    T = np.swapaxes(H, -1, -2)
    return (H + T + (T @ H if window.large else 0)) / 2


def stress(window, H, flowed):
    """Stress (6, p, t) that is there, what stood by included."""
    strain = green(window, H)
    six = np.stack([strain[..., i, j] for i, j in SIX])
    return window.metal.stress(six - flowed.strain) + window.still


@pytest.fixture(params=["large", "small"])
def window(request):
    """Points that are under stress already, 60 MPa and less, 15 MPa of hoop stress known."""
    still = np.random.default_rng(3).uniform(-35, 35, (6, *POINTS))
    return Window(METAL, still, softened=15.0, large=request.param == "large")


@pytest.fixture
def before(window):
    """Metal that has flowed, most of it."""
    made = window.respond(gradients(1, 6e-3), window.untouched()).flowed
    assert (made.amount > 0).sum() > 4
    return made


def gradients(number, size):
    """Random gradients (9, p, t), from hardly any at the first point to ``size`` at the last."""
    share = np.geomspace(0.02, 1.0, POINTS[0] * POINTS[1]).reshape(POINTS)
    return share * np.random.default_rng(number).normal(0, size, (9, *POINTS))


def test_hookes_law_is_that_of_the_moduli():
    strain = np.random.default_rng(0).normal(0, 1e-3, (6, *POINTS))
    e, nu = full(strain), 0.33
    trace = np.trace(e, axis1=-2, axis2=-1)[..., None, None]
    expected = 70e3 / (1 + nu) * (e + nu / (1 - 2 * nu) * trace * np.eye(3))
    np.testing.assert_allclose(full(METAL.stress(strain)), expected, rtol=1e-12)


def test_small_strain_is_the_symmetric_part():
    H = gradients(0, 1.0)
    whole = square(H)
    np.testing.assert_allclose(full(symmetric(H)), (whole + np.swapaxes(whole, -1, -2)) / 2)


def test_stress_ends_on_what_hardening_allows_or_below(window, before):
    H = gradients(2, 6e-3)
    after = window.respond(H, before).flowed
    limit, _ = METAL.hardening.flow(after.amount)
    there = mises(stress(window, H, after))
    more = after.amount > before.amount
    assert more.any()
    assert not more.all()
    np.testing.assert_allclose(there[more], limit[more], rtol=1e-8)
    assert (there[~more] <= limit[~more]).all()


def test_metal_flows_along_its_stress_and_swallows_work(window, before):
    H = gradients(2, 6e-3)
    after = window.respond(H, before).flowed
    step, amount = after.strain - before.strain, after.amount - before.amount
    assert (amount >= 0).all()
    np.testing.assert_allclose(step[:3].sum(axis=0), 0, atol=1e-15)
    np.testing.assert_allclose(np.sqrt(2 / 3 * (full(step) ** 2).sum(axis=(-2, -1))), amount)
    limit, _ = METAL.hardening.flow(after.amount)
    work = (full(stress(window, H, after)) * full(step)).sum(axis=(-2, -1))
    np.testing.assert_allclose(work, limit * amount, rtol=1e-8, atol=1e-12)


def test_a_point_within_the_limit_does_not_flow(window):
    H = gradients(4, 1e-5)
    answer = window.respond(H, window.untouched())
    assert (answer.flowed.amount == 0).all()
    assert (answer.flowed.strain == 0).all()
    if not window.large:
        assert np.abs(answer.T).max() < 1e-12
        assert np.abs(answer.beyond).max() < 1e-12


def test_what_has_flowed_stays_when_it_is_let_go_a_little(window, before):
    back = window.respond(0.97 * gradients(1, 6e-3), before)
    np.testing.assert_array_equal(back.flowed.amount, before.amount)
    np.testing.assert_array_equal(back.flowed.strain, before.strain)


def test_the_stress_is_the_slope_of_the_energy(window, before):
    H, d = gradients(2, 6e-3), 1e-7
    T = window.respond(H, before).T
    for k in range(9):
        step = np.zeros((9, 1, 1))
        step[k] = d
        more, less = (window.respond(H + s * step, before).beyond for s in (1, -1))
        np.testing.assert_allclose(T[k], (more - less) / (2 * d), rtol=1e-5, atol=1e-3)


def test_the_answer_is_what_is_beyond_small_elastic_movements(window, before):
    H = gradients(2, 6e-3)
    answer = window.respond(H, before)
    straight = nine(full(METAL.stress(symmetric(H))))
    there = full(stress(window, H, answer.flowed))
    first = nine(there - full(window.still)) - straight
    if window.large:
        there = there - 15.0 * np.diag([0, 0, 1])
        first = first + nine(square(H) @ there)
    np.testing.assert_allclose(answer.T, first, rtol=1e-9, atol=1e-9)


def turned(angle):
    """Gradients of a turn about a skew axis."""
    axis = np.array([1.0, -2.0, 2.0]) / 3
    K = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    H = np.sin(angle) * K + (1 - np.cos(angle)) * K @ K
    return nine(np.broadcast_to(H, (*POINTS, 3, 3)))


def test_turned_metal_has_no_stress_of_its_turn_where_movements_are_large(window):
    bare = replace(window, still=np.zeros_like(window.still), softened=0.0)
    H = turned(0.3)
    answer = bare.respond(H, bare.untouched())
    whole = answer.T + nine(full(METAL.stress(symmetric(H))))
    if bare.large:
        assert answer.flowed.amount.max() == 0
        np.testing.assert_allclose(whole, 0, atol=1e-9)
    else:
        assert answer.flowed.amount.min() > 0
        assert np.abs(whole).max() > 100


def test_stress_that_stands_by_turns_with_the_metal(window):
    """First Piola-Kirchhoff stress F S, less what was there at rest."""
    if not window.large:
        return
    known = replace(window, softened=0.0)
    H = turned(0.3)
    whole = known.respond(H, known.untouched()).T + nine(full(METAL.stress(symmetric(H))))
    np.testing.assert_allclose(whole, nine(square(H) @ full(known.still)), atol=1e-9)


def test_first_yield_is_where_the_first_point_flows(window):
    H = gradients(5, 1e-3)
    small = replace(window, large=False)
    factor = small.first_yield(H)
    below, above = (
        small.respond(share * factor * H, small.untouched()).flowed.amount
        for share in (0.9999, 1.0001)
    )
    assert (below == 0).all()
    assert (above > 0).sum() == 1


def test_metal_that_flows_by_what_stands_by_yields_at_once(window):
    loud = replace(window, still=6 * window.still)
    assert loud.first_yield(gradients(5, 1e-3)) == 0.0


def test_metal_that_does_not_harden_stays_at_its_proof_stress(window):
    soft = replace(window, metal=solid(70e3, 0.33, Linear(160.0)))
    H = np.random.default_rng(2).normal(0, 2e-2, (9, *POINTS))
    flowed = soft.respond(H, soft.untouched()).flowed
    assert (flowed.amount > 0).all()
    np.testing.assert_allclose(mises(stress(soft, H, flowed)), 160.0, rtol=1e-8)
