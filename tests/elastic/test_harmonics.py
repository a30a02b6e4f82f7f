"""Few harmonics solved, all used."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import sparse

from rimfea.elastic.harmonics import solve_harmonics
from rimfea.errors import SolveError
from rimfea.fem.elements import elements
from rimfea.fem.revolution import isotropic, stiffnesses
from rimfea.fem.revolved import revolved
from rimfea.fem.solve import factorised
from rimfea.geometry.outline import Outline
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline

RADIUS = 30.0
HIGHEST = 120
NONE = np.array([], dtype=np.int64)


@pytest.fixture(scope="module")
def mesh():
    """An angle section of 6 by 5 mm: nothing about it is symmetric."""
    corners = [Corner(0, 0, "rim"), Corner(6, 0, "rim"), Corner(6, 1.5, "rim"),
               Corner(1.5, 1.5, "rim"), Corner(1.5, 5, "rim"), Corner(0, 5, "rim")]  # fmt: skip
    return mesh_outline(Outline(rounded(corners), ()), coarseness=0.8)


def body(mesh, springs):
    """The section as a ring whose every node is held by springs (x, y, z) per radian."""
    blocks = stiffnesses(elements(mesh.nodes, mesh.triangles), isotropic(70e3, 0.3), RADIUS)
    held = sparse.diags_array(np.tile(np.asarray(springs, float), len(mesh.nodes))).tocsc()
    return revolved(mesh.triangles, blocks, len(mesh.nodes), held)


@pytest.fixture(scope="module")
def held(mesh):
    return body(mesh, (0.5, 5.0, 1.0))


@pytest.fixture(scope="module")
def loads(mesh):
    """Unit forces on the tip of each leg, across, outward and around; and one without load."""
    tip, end = (np.abs(mesh.nodes - place).sum(axis=1).argmin() for place in ([0, 5], [6, 0]))
    F = np.zeros((3 * len(mesh.nodes), 5))
    F[[3 * tip, 3 * tip + 1, 3 * end + 1, 3 * end + 2], range(4)] = 1.0
    return F


@pytest.fixture(scope="module")
def still(mesh):
    F = np.zeros((3 * len(mesh.nodes), 1))
    F[1::3, 0] = 1.0
    return F


def real_error(held, answer, F, n):
    """Largest error over the loads of harmonic n, relative in the energy norm."""
    K = held.at(n)
    true = factorised(K, NONE).solve(F)
    gap = answer.basis @ answer.weights[n, :, : F.shape[1]] - true
    share = np.einsum("dl,dl->l", gap, K @ gap) / np.einsum("dl,dl->l", true, K @ true)
    return np.sqrt(np.abs(share).max())


@pytest.mark.parametrize(("tolerance", "factor"), [(1e-2, 1), (1e-3, 1), (1e-5, 10)])
def test_no_harmonic_is_further_off_than_the_error_reported(held, loads, still, tolerance, factor):
    """Close to round-off it may be by a few times, but stays below the tolerance."""
    loaded = loads[:, :4]
    answer = solve_harmonics(held, loaded, still, HIGHEST, tolerance)
    real = max(real_error(held, answer, loaded, n) for n in range(1, HIGHEST + 1))
    assert answer.error < tolerance
    assert real <= min(factor * answer.error, tolerance)
    assert len(answer.solved) < HIGHEST / 3


def test_the_slope_of_the_stiffness_is_what_it_grows_by(held):
    """K is a square in n: half of what it grows by from one before to one after is exact."""
    grown = (held.at(8) - held.at(6)) / 2
    assert abs(grown - held.slope(7)).max() < 1e-9 * abs(grown).max()


def test_springs_under_the_loads_leave_the_answers_in_the_basis(mesh, held, loads, still):
    """A body on other springs starts from the basis of the first, factorises a third as often, and
    is as good, as real errors tell: (K + F k Fᵀ)⁻¹ F are combinations of K⁻¹ F (Woodbury).
    """
    F = loads[:, :4]
    first = solve_harmonics(held, F, still, HIGHEST)
    added = sparse.csc_array(F) @ sparse.csc_array(np.diag([3.0, 40.0, 20.0, 5.0]) @ F.T)
    blocks = stiffnesses(elements(mesh.nodes, mesh.triangles), isotropic(70e3, 0.3), RADIUS)
    springs = sparse.diags_array(np.tile([0.5, 5.0, 1.0], len(mesh.nodes))).tocsc()
    other = revolved(mesh.triangles, blocks, len(mesh.nodes), (springs + added).tocsc())
    near = solve_harmonics(other, F, still, HIGHEST, guess=first.near)
    assert near.solved == first.solved
    assert near.error < 1e-3
    for n in (1, 2, 7, 40, HIGHEST):
        assert real_error(other, near, F, n) < 1e-3
    apart = np.abs(first.weights[1] - near.weights[1, : len(first.weights[1])]).max()
    assert apart > 1e-3 * np.abs(first.weights[1]).max()


def test_a_start_that_is_far_off_is_found_out(mesh, held, loads, still):
    """Ten times softer in one direction: the checks add what is missing."""
    F = loads[:, :4]
    far = body(mesh, (5.0, 0.5, 0.1))
    near = solve_harmonics(
        far, F, still, HIGHEST, guess=solve_harmonics(held, F, still, HIGHEST).near
    )
    alone = solve_harmonics(far, F, still, HIGHEST)
    assert len(near.solved) > len(alone.solved)
    assert max(real_error(far, near, F, n) for n in range(1, HIGHEST + 1)) < 1e-3


def test_harmonic_nought_is_solved_in_full_and_alone_has_the_still_loads(held, loads, still):
    answer = solve_harmonics(held, loads, still, HIGHEST)
    all_loads = np.hstack([loads, still])
    true = factorised(held.at(0), NONE).solve(all_loads)
    close = 1e-9 * np.abs(true).max()
    np.testing.assert_allclose(answer.basis @ answer.weights[0], true, atol=close)
    assert not answer.weights[1:, :, loads.shape[1] :].any()


def test_a_place_without_load_stays_at_rest(held, loads, still):
    answer = solve_harmonics(held, loads, still, 20)
    assert not np.abs(answer.basis @ answer.weights[:, :, 4].T).any()


@pytest.mark.parametrize("highest", [1, 2, 3])
def test_few_harmonics_are_all_solved(held, loads, still, highest):
    answer = solve_harmonics(held, loads, still, highest)
    assert list(answer.solved) == answer.n.tolist() == list(range(highest + 1))
    assert answer.error == 0


def test_the_basis_stays_independent_when_solutions_nearly_repeat(held, loads, still):
    """Ten loads side by side add few vectors, and the answers keep their accuracy."""
    copies = loads[:, :1] + 1e-11 * loads[:, 1:4]
    answer = solve_harmonics(held, np.hstack([loads[:, :1], copies]), still, HIGHEST)
    once = solve_harmonics(held, loads[:, :1], still, HIGHEST)
    assert answer.basis.shape[1] <= once.basis.shape[1] + 3 + len(answer.solved)
    assert real_error(held, answer, loads[:, :1], 50) < 1e-3


def test_the_three_parts_add_up_to_the_stiffness_of_every_harmonic(held):
    K0, K1, K2 = held.parts()
    for n in (0, 1, 7):
        gap = abs(held.at(n) - (K0 + n * K1 + n * n * K2)).max()
        assert gap < 1e-12 * abs(K0 + n * n * K2).max()


@pytest.mark.parametrize(
    ("springs", "named"),
    [((0, 0, 0), "harmonic 1: "), ((0, 5, 0), "harmonic 0: "), ((1, 5, 0), "harmonic 0: ")],
)
def test_a_ring_that_can_move_freely_names_the_harmonic_that_does(
    mesh, loads, still, springs, named
):
    """Without springs it can shift and tilt; on radial ones slide along the axle, or spin."""
    with pytest.raises(SolveError, match=f"{named}.*free to move"):
        solve_harmonics(body(mesh, springs), loads, still, 20)


def test_a_ring_that_can_spin_is_solved_where_no_load_spins_it(mesh, loads, still):
    answer = solve_harmonics(body(mesh, (1, 5, 0)), loads[:, :3], still, 20)
    assert np.isfinite(answer.weights).all()
