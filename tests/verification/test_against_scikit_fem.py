"""The same problem solved by scikit-fem on the same six-node triangles."""

from __future__ import annotations

import numpy as np
import pytest
import skfem
from scipy.sparse.linalg import splu
from skfem.models.elasticity import linear_elasticity

from rimfea.fem.assemble import matrix, vector
from rimfea.fem.elements import elements, sides
from rimfea.fem.forms import stiffness, traction_load
from rimfea.fem.material import plane_strain
from rimfea.fem.shape import SIX_POINTS
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline

YOUNGS, POISSON = 70e3, 0.33
LAMBDA = YOUNGS * POISSON / ((1 + POISSON) * (1 - 2 * POISSON))
MU = YOUNGS / (2 * (1 + POISSON))


def bracket():
    """A rounded plate with a round hole."""
    corners = [Corner(0, 0, "held", 0.8), Corner(12, 0, "rest", 1.5), Corner(10, 6, "pulled", 0.5),
               Corner(0, 5, "rest", 1.0)]  # fmt: skip
    hole = Ring(np.array([[2.5, 2.6], [5.5, 2.6]]), np.ones(2), ("hole", "hole"))
    return Outline(rounded(corners), (hole,))


@pytest.fixture(scope="module")
def mesh():
    return mesh_outline(bracket())


def straightened(mesh):
    """Nodes with every middle node halfway between its corners."""
    nodes = mesh.nodes.copy()
    for a, b, middle in [(0, 1, 3), (1, 2, 4), (2, 0, 5)]:
        nodes[mesh.triangles[:, middle]] = mesh.nodes[mesh.triangles[:, [a, b]]].mean(axis=1)
    return nodes


def their_basis(nodes, mesh, *, curved):
    """Their basis with our quadrature, and for each of our unknowns the number of theirs."""
    corners = np.unique(mesh.triangles[:, :3])
    number = np.full(len(nodes), -1)
    number[corners] = np.arange(len(corners))
    theirs = skfem.MeshTri1(nodes[corners].T, number[mesh.triangles[:, :3]].T)
    places = skfem.Basis(theirs, skfem.ElementTriP2()).doflocs.T
    ours_of = _matching(places, straightened(mesh))
    if curved:
        theirs = skfem.MeshTri2(nodes[ours_of].T, skfem.MeshTri2.from_mesh(theirs).t)
    element = skfem.ElementVector(skfem.ElementTriP2())
    quadrature = (SIX_POINTS.places.T, SIX_POINTS.weights)
    basis = skfem.Basis(theirs, element, quadrature=quadrature)
    return basis, _unknowns(basis, nodes)


def _matching(places, nodes):
    """For each place the node there."""
    gap = np.linalg.norm(places[:, None] - nodes[None], axis=2)
    assert gap.min(axis=1).max() < 1e-9
    return gap.argmin(axis=1)


def _unknowns(basis, nodes):
    """Their number (2n,) of each of our unknowns."""
    blocks = [basis.nodal_dofs, basis.facet_dofs]
    first, second = (np.concatenate([block[k] for block in blocks]) for k in (0, 1))
    ours = _matching(basis.doflocs[:, first].T, nodes)
    numbers = np.empty(2 * len(nodes), dtype=int)
    numbers[2 * ours], numbers[2 * ours + 1] = first, second
    return numbers


def our_load_and_held(nodes, mesh):
    pulled = mesh.sides[mesh.side_label == mesh.names.index("pulled")]
    below = np.unique(mesh.sides[mesh.side_label == mesh.names.index("held")])
    side = sides(nodes, pulled)
    pull = np.broadcast_to(np.array([3.0, 20.0]), side.points.shape)
    load = vector(pulled, traction_load(side, pull), len(nodes))
    return load, np.concatenate([2 * below, 2 * below + 1])


@pytest.mark.parametrize("curved", [False, True], ids=["straight sides", "curved sides"])
def test_the_stiffness_is_theirs(mesh, curved):
    nodes = mesh.nodes if curved else straightened(mesh)
    basis, theirs = their_basis(nodes, mesh, curved=curved)
    expected = linear_elasticity(LAMBDA, MU).assemble(basis).tocsr()[theirs][:, theirs]
    blocks = stiffness(elements(nodes, mesh.triangles), plane_strain(YOUNGS, POISSON))
    gap = abs(matrix(mesh.triangles, blocks, len(nodes)) - expected).max()
    assert gap < 1e-10 * abs(expected).max()


@pytest.mark.parametrize("curved", [False, True], ids=["straight sides", "curved sides"])
def test_the_displacement_is_theirs(verified, mesh, solved, curved):
    nodes = mesh.nodes if curved else straightened(mesh)
    load, held = our_load_and_held(nodes, mesh)
    ours, _ = solved(nodes, mesh.triangles, plane_strain(YOUNGS, POISSON), held, 0.0, load)

    basis, theirs = their_basis(nodes, mesh, curved=curved)
    K = linear_elasticity(LAMBDA, MU).assemble(basis)
    f = np.zeros(K.shape[0])
    f[theirs] = load
    inner, right, x, free = skfem.condense(K, f, D=theirs[held])
    x[free] = splu(inner.tocsc()).solve(right)
    expected = x[theirs].reshape(-1, 2)

    assert np.abs(ours - expected).max() < 1e-8 * np.abs(expected).max()
    largest = np.unravel_index(np.abs(expected).argmax(), expected.shape)
    kind = "curved" if curved else "straight"
    verified(f"bracket with {kind} sides, largest displacement", expected[largest], ours[largest],
             "scikit-fem, ElementTriP2 on the same mesh", within=1e-8)  # fmt: skip


def test_the_pull_on_curved_sides_is_theirs(mesh):
    basis, theirs = their_basis(mesh.nodes, mesh, curved=True)
    hole = mesh.sides[mesh.side_label == mesh.names.index("hole")]
    side = sides(mesh.nodes, hole)
    ours = vector(hole, traction_load(side, side.normal), len(mesh.nodes))

    def on_the_hole(p):
        return np.hypot(p[0] - 4.0, p[1] - 2.6) < 1.6

    facets = basis.mesh.facets_satisfying(on_the_hole, boundaries_only=True)
    edge = skfem.FacetBasis(basis.mesh, basis.elem, facets=facets, intorder=7)
    pressure = skfem.LinearForm(lambda v, w: w.n[0] * v[0] + w.n[1] * v[1])
    np.testing.assert_allclose(ours, pressure.assemble(edge)[theirs], atol=1e-12)
