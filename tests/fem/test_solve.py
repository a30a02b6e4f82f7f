"""One factorisation, many loads, and the evidence."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import sparse
from scipy.sparse.linalg import ArpackError

from rimfea.errors import SolveError
from rimfea.fem.assemble import matrix, vector
from rimfea.fem.elements import elements
from rimfea.fem.forms import body_load, stiffness
from rimfea.fem.material import plane_strain
from rimfea.fem.solve import condensed, elimination_order, factor, factorised, solvable
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring
from rimfea.mesh.build import mesh_outline


@pytest.fixture(scope="module")
def K(plate):
    blocks = stiffness(elements(plate.nodes, plate.triangles), plane_strain(70e3, 0.33))
    return matrix(plate.triangles, blocks, len(plate.nodes))


@pytest.fixture(scope="module")
def held(plate):
    """All unknowns on the left edge."""
    left = np.flatnonzero(plate.nodes[:, 0] < 1e-9)
    return np.concatenate([2 * left, 2 * left + 1])


@pytest.fixture(scope="module")
def weight(plate):
    el = elements(plate.nodes, plate.triangles)
    pull = np.broadcast_to([0.2, -1.0], (*el.w.shape, 2))
    return vector(plate.triangles, body_load(el, pull), len(plate.nodes))


def test_the_solution_satisfies_the_equations_and_holds_what_is_held(K, held, weight):
    U = factorised(K, held).solve(weight)
    free = np.setdiff1d(np.arange(len(U)), held)
    np.testing.assert_allclose((K @ U)[free], weight[free], atol=1e-9)
    assert (U[held] == 0).all()
    assert np.abs(U[free]).max() > 0


def test_many_loads_at_once_are_the_single_ones(K, held, weight):
    equations = factorised(K, held)
    other = np.roll(weight, 2)
    both = equations.solve(np.column_stack([weight, other]))
    np.testing.assert_allclose(both[:, 0], equations.solve(weight), rtol=1e-12, atol=1e-18)
    np.testing.assert_allclose(both[:, 1], equations.solve(other), rtol=1e-12, atol=1e-18)


def test_reactions_balance_the_loads_in_force_and_moment(plate, K, held, weight):
    equations = factorised(K, held)
    R = equations.reactions(equations.solve(weight), weight)
    whole = (R + weight).reshape(-1, 2)
    np.testing.assert_allclose(whole.sum(axis=0), 0, atol=1e-9)
    turning = plate.nodes[:, 0] * whole[:, 1] - plate.nodes[:, 1] * whole[:, 0]
    np.testing.assert_allclose(turning.sum(), 0, atol=1e-8)
    free = np.setdiff1d(np.arange(len(R)), held)
    assert (R[free] == 0).all()


def test_the_residual_is_small_for_the_solution_and_large_for_another(K, held, weight):
    equations = factorised(K, held)
    U = equations.solve(weight)
    assert equations.residual(U, weight) < 1e-12
    assert equations.residual(0.9 * U, weight) > 1e-7
    assert equations.residual(np.zeros_like(U), np.zeros_like(U)) == 0.0


@pytest.mark.parametrize("supports", [[], [0], [0, 1]])
def test_a_body_free_to_move_is_refused(K, weight, supports):
    with pytest.raises(SolveError, match="free to move"):
        factorised(K, np.array(supports, dtype=int)).solve(weight)


def test_a_slender_bow_held_at_one_end_is_solved():
    """The softest body that is still held must not be taken for a free one."""
    a, bulge = np.radians(10), np.tan(np.radians(340) / 4)
    c, s = np.cos(a), np.sin(a)
    corners = np.array([[40 * c, 40 * s], [40 * c, -40 * s], [39.5 * c, -39.5 * s],
                        [39.5 * c, 39.5 * s]])  # fmt: skip
    ring = Ring(corners, np.array([bulge, 0, -bulge, 0]), ("bow", "end", "bow", "held"))
    mesh = mesh_outline(Outline(ring), coarseness=2)
    blocks = stiffness(elements(mesh.nodes, mesh.triangles), plane_strain(70e3, 0.33))
    end = np.unique(mesh.sides[mesh.side_label == mesh.names.index("held")])
    load = np.zeros(2 * len(mesh.nodes))
    load[2 * int(mesh.nodes[:, 1].argmin()) + 1] = 1.0
    K = matrix(mesh.triangles, blocks, len(mesh.nodes))
    U = factorised(K, np.concatenate([2 * end, 2 * end + 1])).solve(load)
    assert 0 < U @ load < np.inf


def test_an_empty_row_is_refused_with_a_remedy():
    blocks = np.zeros((1, 12, 12))
    empty = matrix(np.arange(6)[None], blocks, 6)
    with pytest.raises(SolveError, match="free to move"):
        factorised(empty, np.array([0]))


@pytest.fixture(scope="module")
def springs():
    """A random grid of springs, every unknown on one of its own, in a good order of elimination."""
    draw = np.random.default_rng(0)
    line = sparse.random_array((60, 60), density=0.05, rng=draw)
    K = (line + line.T + sparse.diags_array(draw.uniform(3, 9, 60))).tocsc()
    order = elimination_order(K)
    return K[order][:, order].tocsc()


@pytest.mark.parametrize("first", [0, 1, 20, 47, 59])
def test_condensed_unknowns_feel_the_rest(springs, first):
    A = springs.toarray()
    own, other, between = A[first:, first:], A[:first, :first], A[:first, first:]
    schur = own - between.T @ np.linalg.solve(other, between) if first else own
    f = np.random.default_rng(1).normal(size=60 - first)
    np.testing.assert_allclose(
        factor(condensed(springs, first)).solve(f), np.linalg.solve(schur, f)
    )


@pytest.mark.parametrize("first", [9, 44])
def test_condensed_in_any_order_the_answer_is_that_of_the_whole(K, held, weight, first):
    """The unknowns of a body, those of the window last, each in a good order for itself."""
    free = np.setdiff1d(np.arange(K.shape[0]), held)
    part = np.random.default_rng(2).permutation(free)[-first:]
    groups = [np.setdiff1d(free, part), np.sort(part)]
    order = np.concatenate([g[elimination_order(K[g][:, g].tocsc())] for g in groups])
    load = np.where(np.isin(np.arange(len(weight)), part), weight, 0.0)
    whole = factorised(K, held).solve(load)
    taken = K[order][:, order].tocsc()
    taken.sort_indices()
    small = factor(condensed(taken, len(groups[0]))).solve(weight[order[-first:]])
    np.testing.assert_allclose(small, whole[order[-first:]], rtol=1e-8, atol=1e-16)


def test_a_body_free_to_move_is_not_condensed(K):
    order = elimination_order((K + sparse.eye_array(K.shape[0])).tocsc())
    with pytest.raises(SolveError, match="free to move"):
        condensed(K[order][:, order].tocsc(), 10)


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (MemoryError(), "need more memory than there is"),
        (np.linalg.LinAlgError("Singular matrix"), "no trustworthy answer .Singular matrix."),
        (ArpackError(-9999), "no trustworthy answer"),
    ],
)
def test_what_a_library_gives_up_on_is_an_error_of_ours(error, told):
    @solvable()
    def asked():
        raise error

    with pytest.raises(SolveError, match=told):
        asked()
