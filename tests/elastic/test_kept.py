"""What is kept of a solved ring serves those much like it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimfea.elastic.kept import keep, rigid_motions
from rimfea.elastic.ring import solve_ring
from rimfea.elastic.spokes import Lacing, spokes
from rimfea.fem.elements import elements
from rimfea.fem.revolution import isotropic, stiffnesses
from rimfea.fem.solve import factorised
from rimfea.files.sheet_toml import read_sheet
from rimfea.study.analysis import inspect

PROFILES = Path(__file__).parents[2] / "profiles"
NOTHING_HELD = np.array([], dtype=np.int64)
WAVES = (1, 3, 12, 40)
ROUND_OFF = 1e-5  # of a stiff ring on soft spokes


@pytest.fixture(scope="module")
def ring():
    """A coarse rim on its spokes."""
    sheet = read_sheet(PROFILES / "ouzel.toml")
    mesh = inspect(sheet, coarseness=2.5).mesh
    laced = spokes(Lacing(count=sheet.spoke_count), sheet.seat_radius_mm - 12.0)
    bearing = (sheet.spoke_hole_mm, sheet.bearing_diameter_mm)
    return solve_ring(mesh, sheet.metal, sheet.seat_radius_mm, laced, bearing, 96)


@pytest.fixture(scope="module")
def kept(ring):
    return keep(ring.body, ring.F, WAVES)


def stiffer(body, by):
    """The body, all its stiffness grown by a share: it moves as much less."""
    return replace(body, data=tuple((1 + by) * K for K in body.data))


def true_answer(body, F, n):
    return factorised(body.at(n), NOTHING_HELD).solve(F)


def worst(found, expected):
    """Largest gap over the loads, relative to the answer to each."""
    gap = np.linalg.norm(found - expected, axis=0)
    return float((gap / np.linalg.norm(expected, axis=0)).max())


def test_slopes_in_n_are_kept_behind_the_answers_and_follow_a_change(ring):
    """As differences over a hundredth of a harmonic tell, and of a body that is softer by a
    thousandth within the square of that.
    """
    n, step, count = 12, 0.01, ring.F.shape[1]
    both = keep(ring.body, ring.F, [n], slopes=True)
    before, after = (true_answer(ring.body, ring.F, n + by) for by in (-step, step))
    assert worst(both.answers[0][:, count:], (after - before) / (2 * step)) < 1e-4
    softer = stiffer(ring.body, -1e-3)
    (corrected,) = both.corrected(softer, ring.F)
    assert worst(corrected[:, count:], both.answers[0][:, count:] / (1 - 1e-3)) < 1e-5


def test_what_is_kept_are_the_answers_in_full(ring, kept):
    assert kept.n == WAVES
    for n, answer in zip(kept.n, kept.answers, strict=True):
        assert worst(answer, true_answer(ring.body, ring.F, n)) < ROUND_OFF


def test_the_same_body_needs_no_correction(ring, kept):
    for found, answer in zip(kept.corrected(ring.body, ring.F), kept.answers, strict=True):
        assert worst(found, answer) < ROUND_OFF


def test_other_loads_on_the_same_body_are_answered_exactly(ring, kept):
    """The correction is one step of a solution, and for the body itself the whole of it."""
    F = ring.F[:, ::-1].copy()
    for found, n in zip(kept.corrected(ring.body, F), kept.n, strict=True):
        assert worst(found, true_answer(ring.body, F, n)) < ROUND_OFF


@pytest.mark.parametrize("by", [0.1, 0.01, -0.01])
def test_what_a_correction_leaves_is_the_square_of_the_change(ring, kept, by):
    """A body stiffer by b moves 1/(1 + b) times as far; one step says 1 − b, which is b² less."""
    found = kept.corrected(stiffer(ring.body, by), ring.F)
    for answer, U in zip(found, kept.answers, strict=True):
        true = U / (1 + by)
        assert worst(answer, true) == pytest.approx(by**2, rel=0.02)
        assert worst(U, true) == pytest.approx(abs(by))


def test_rigid_motions_do_not_strain_the_ring(ring):
    """But for the spokes, neither a shift in its plane nor a tilt costs energy in harmonic 1."""
    mesh = ring.mesh
    D = isotropic(ring.metal.youngs_MPa, ring.metal.poisson)
    K0, K1, K2 = stiffnesses(elements(mesh.nodes, mesh.triangles), D, ring.radius)
    dof = (3 * mesh.triangles[..., None] + np.arange(3)).reshape(len(mesh.triangles), -1)
    bent = np.random.default_rng(1).normal(size=3 * len(mesh.nodes))
    for motion in rigid_motions(mesh.nodes, ring.radius).T:
        rigid, other = (
            np.einsum("ea,eab,eb->", u[dof], K0 + K1 + K2, u[dof])
            for u in (motion / np.linalg.norm(motion), bent / np.linalg.norm(bent))
        )
        assert abs(rigid) < 1e-10 * other


def test_the_two_rigid_motions_are_not_one(ring):
    both = rigid_motions(ring.mesh.nodes, ring.radius)
    assert np.linalg.matrix_rank(both / np.linalg.norm(both, axis=0)) == 2


def test_to_another_process_go_the_answers_without_the_factors(kept):
    travelling = kept.__getstate__()
    assert travelling["factors"] == ()
    assert travelling["answers"] is kept.answers
    assert len(kept.factors) == len(WAVES)
