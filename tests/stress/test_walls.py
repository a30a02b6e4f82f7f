"""Utilisation against roots found by trial, reach, and which cut counts as the worst."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from rimfea.fem.material import von_mises
from rimfea.stress.cuts import Cuts, Linearised
from rimfea.stress.walls import (
    along_wall,
    section_utilisation,
    wall_stresses,
    worst_around,
    yield_utilisation,
)

S = 240.0
RANDOM = np.random.default_rng(4)
GROWING = RANDOM.normal(0, 100, (60, 6))
STANDING = RANDOM.normal(0, 40, (60, 6))
NOTHING = np.zeros(6)
M, B = RANDOM.normal(0, 80, (2, 60, 6))
M_0, B_0 = RANDOM.normal(0, 30, (2, 60, 6))
ALONG_X = np.array([[1.0, 0.0]])


def filled(m, b, m_0=NOTHING, b_0=NOTHING):
    """Utilisation of a level wall, filled with yielding metal by these stresses (6,)."""
    lines = (
        Linearised(each[None, None], other[None, None]) for each, other in ((m, b), (m_0, b_0))
    )
    return float(section_utilisation(*lines, ALONG_X, S)[0, 0])


def alone(xx):
    """Stress (6,) along a level wall and no other."""
    return np.array([xx, 0, 0, 0, 0, 0.0])


def first_root(f):
    """The first λ > 0 at which f, negative at 0, is no longer, found by trial."""
    steps = np.linspace(0, 200, 400_001)
    beyond = np.flatnonzero(f(steps) >= 0)
    return brentq(f, steps[beyond[0] - 1], steps[beyond[0]], xtol=1e-14)


@pytest.mark.parametrize("k", range(60))
def test_first_yield_is_where_von_mises_meets_the_proof_stress(k):
    def over(factor):
        return von_mises(np.multiply.outer(factor, GROWING[k]) + STANDING[k]) - S

    use = yield_utilisation(GROWING[k], STANDING[k], S)
    expected = np.inf if over(0.0) >= 0 else 1 / first_root(over)
    assert use == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("k", range(60))
def test_a_section_is_full_where_the_published_surface_of_a_plate_is_met(k):
    """Ilyushin 1956 (citation from memory) with forces and moments of a plate 2 mm thick."""
    thick = 2.0
    force_0, moment_0 = S * thick, S * thick**2 / 4

    def form(one, other):  # along x, around z, shear zx
        (x, z, q), (x_2, z_2, q_2) = one[[0, 2, 4]], other[[0, 2, 4]]
        return x * x_2 - (x * z_2 + z * x_2) / 2 + z * z_2 + 3 * q * q_2

    def over(factor):
        N = np.multiply.outer(M[k], factor) * thick + (M_0[k] * thick)[:, None]
        bent = np.multiply.outer(B[k], factor) + B_0[k][:, None]
        moment = bent * thick**2 / 6
        mixed = np.abs(form(N, moment)) / (np.sqrt(3) * force_0 * moment_0)
        return form(N, N) / force_0**2 + form(moment, moment) / moment_0**2 + mixed - 1

    def at(factor):
        return (
            over(np.atleast_1d(factor)) if np.ndim(factor) else float(over(np.array([factor]))[0])
        )

    use = filled(M[k], B[k], M_0[k], B_0[k])
    expected = np.inf if at(0.0) >= 0 else 1 / first_root(at)
    assert use == pytest.approx(expected, rel=1e-9)


def test_pull_and_bending_along_a_wall_come_near_the_exact_limit_of_a_rectangle():
    """Exact for perfectly plastic metal: (N/N₀)² + M/M₀ = 1 (any text on plasticity)."""
    gaps = []
    for share in np.linspace(0, 1, 11):
        exact = alone(share * S), alone(1.5 * S * (1 - share**2))
        gaps.append(filled(*exact) - 1)
    print(f"beyond the exact limit by {max(gaps):.3f} at most, below by {-min(gaps):.3f}")
    assert max(np.abs(gaps)) < 0.04


def test_a_wall_pulled_around_the_rim_fills_though_nothing_acts_along_it():
    around = np.array([0, 0, S, 0, 0, 0.0])
    assert filled(around, NOTHING) == pytest.approx(1)
    sheared = np.array([0, 0, 0, 0, S / np.sqrt(3), 0.0])
    assert filled(sheared, NOTHING) == pytest.approx(1)


def test_with_nothing_standing_utilisation_is_stress_by_strength():
    use = yield_utilisation(GROWING, NOTHING, S)
    np.testing.assert_allclose(use, von_mises(GROWING) / S, rtol=1e-12)
    assert filled(alone(S), NOTHING) == pytest.approx(1)
    assert filled(NOTHING, alone(-1.5 * S)) == pytest.approx(1)


def test_what_stands_may_be_too_much_alone():
    pulled = np.array([S, 0, 0, 0, 0, 0.0])
    assert yield_utilisation(GROWING[0], pulled, S) == np.inf
    assert yield_utilisation(NOTHING, 1.1 * pulled, S) == np.inf
    assert filled(alone(1.0), alone(1.0), alone(1.1 * S)) == np.inf
    assert filled(alone(1.0), alone(1.0), NOTHING, alone(-1.6 * S)) == np.inf


def test_a_load_that_does_nothing_uses_nothing():
    assert yield_utilisation(NOTHING, STANDING[0], S) == 0
    assert filled(NOTHING, NOTHING, alone(20.0), alone(10.0)) == 0


def test_a_load_that_relieves_what_stands_yields_on_the_other_side():
    """200 MPa of pull stand; a push of 100 MPa a unit yields once it has passed −240 MPa."""
    pull = np.array([200.0, 0, 0, 0, 0, 0])
    assert 1 / yield_utilisation(-pull / 2, pull, S) == pytest.approx(4.4)


def cuts_of(*walls):
    """Upright cuts of 2 mm through level walls, so that xx is along the wall."""
    n = len(walls)
    start = np.column_stack([np.arange(n, dtype=float), np.full(n, -3.0)])
    names = tuple(dict.fromkeys(walls))
    label = np.array([names.index(wall) for wall in walls])
    end = start + np.array([0.0, 2.0])
    return Cuts(start, end, np.full(n, 2.0), label, (*names, "unused"), along=None)


def stress(c, t, component=0):
    """Empty stress (c, t, 6) and a view on one component."""
    whole = np.zeros((c, t, 6))
    return whole, whole[..., component]


def judged(across, membrane, bending, theta, **more):
    line = Linearised(membrane, bending)
    return wall_stresses(across, line, S, theta=theta, radius=303.0, **more)


def test_each_wall_with_cuts_tells_its_worst_cut_and_angle():
    across, theta = cuts_of("flank", "flank", "sidewall"), np.array([-0.1, 0.0, 0.2])
    membrane, along = stress(3, 3)
    bending, bent = stress(3, 3)
    along[1, 2], bent[1, 2] = -60.0, 90.0
    along[2, 0] = 30.0
    flank, sidewall = judged(across, membrane, bending, theta)
    assert (flank.wall, sidewall.wall) == ("flank", "sidewall")
    assert (flank.start, flank.end, flank.theta) == ((1.0, -3.0), (1.0, -1.0), 0.2)
    assert (flank.membrane_MPa, abs(flank.bending_MPa)) == (-60, 90)
    assert flank.peak_MPa == flank.growing_MPa == pytest.approx(150)
    assert flank.first_yield == pytest.approx(150 / S)
    assert flank.hinge == pytest.approx(filled(alone(60.0), alone(90.0)))
    assert sidewall.theta == -0.1


def test_what_stands_counts_in_the_stress_as_given_but_not_in_what_grows():
    across = cuts_of("flank", "sidewall")
    membrane, along = stress(2, 1)
    still, stood = stress(2, 1)
    none, _ = stress(2, 1)
    along[:], stood[:] = 50.0, 100.0
    flank, _ = judged(across, membrane, none, np.zeros(1), standing=Linearised(still, none))
    assert (flank.membrane_MPa, flank.peak_MPa, flank.growing_MPa) == pytest.approx((150, 150, 50))
    assert 1 / flank.first_yield == pytest.approx((S - 100) / 50)


def test_the_stress_around_the_rim_is_the_larger_of_the_two_faces_with_its_sign():
    across = cuts_of("flank", "sidewall")
    membrane, around = stress(2, 1, component=2)
    bending, bent = stress(2, 1, component=2)
    around[0], bent[0] = -50.0, 20.0
    flank, _ = judged(across, membrane, bending, np.zeros(1))
    assert flank.hoop_MPa == pytest.approx(-70)


def test_reach_is_the_arc_above_half_of_the_worst_at_the_height_of_the_cut():
    across = cuts_of("flank", "sidewall")
    theta = np.linspace(-0.5, 0.5, 1001)
    membrane, along = stress(2, 1001)
    bending, _ = stress(2, 1001)
    along[0] = 80 * np.maximum(0, 1 - np.abs(theta) / 0.2)
    along[1] = 10.0
    flank, sidewall = judged(across, membrane, bending, theta)
    assert flank.reach_mm == pytest.approx(0.2 * 301, abs=0.7)
    assert sidewall.reach_mm == pytest.approx(1.0 * 301)


def test_a_second_hump_elsewhere_is_no_part_of_the_reach():
    across = cuts_of("flank", "sidewall")
    theta = np.linspace(-1, 1, 2001)
    membrane, along = stress(2, 2001)
    bending, _ = stress(2, 2001)
    along[0] = 80 * (np.abs(theta) < 0.05) + 70 * (np.abs(theta - 0.6) < 0.1)
    assert judged(across, membrane, bending, theta)[0].reach_mm == pytest.approx(0.1 * 301, abs=1)


def test_the_worst_around_is_that_of_each_walls_cuts_at_every_angle():
    across = cuts_of("flank", "flank", "sidewall")
    membrane, along = stress(3, 2)
    bending, bent = stress(3, 2)
    along[:] = [[10, 40], [-30, 5], [1, 2]]
    bent[1, 0] = 15.0
    names, worst = worst_around(across, Linearised(membrane, bending))
    assert names == ("flank", "sidewall")
    np.testing.assert_allclose(worst, [[45, 40], [1, 2]])


def test_stress_along_a_wall_is_that_of_its_own_direction():
    """A pull of 100 MPa at 30° is seen whole along 30°, not at all across it."""
    angle = np.radians(30)
    c, s = np.cos(angle), np.sin(angle)
    pulled = 100 * np.array([c * c, s * s, 0, 0, 0, c * s])[None, None]
    assert along_wall(np.array([[c, s]]), pulled) == pytest.approx(100)
    assert along_wall(np.array([[-s, c]]), pulled) == pytest.approx(0, abs=1e-12)
