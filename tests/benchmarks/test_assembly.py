"""Assembly against scikit-fem's: the ratio is told, the matrices must agree."""

from __future__ import annotations

from time import perf_counter

import numpy as np
import pytest
import skfem
from skfem.models.elasticity import linear_elasticity

from rimfea.fem.assemble import matrix
from rimfea.fem.elements import elements
from rimfea.fem.forms import stiffness
from rimfea.fem.material import plane_strain
from rimfea.fem.shape import SIX_POINTS

pytestmark = pytest.mark.long

YOUNGS, POISSON = 70e3, 0.33
LAMBDA = YOUNGS * POISSON / ((1 + POISSON) * (1 - 2 * POISSON))
MU = YOUNGS / (2 * (1 + POISSON))
ROUNDS = 7


@pytest.fixture(scope="module")
def theirs():
    """A quarter ring of 3042 curved six-node triangles, as scikit-fem holds it."""
    line = np.linspace(0, 1, 40)
    mesh = skfem.MeshTri2.from_mesh(skfem.MeshTri1.init_tensor(line, line))
    radius, angle = 1 + mesh.doflocs[0], mesh.doflocs[1] * np.pi / 2
    places = np.stack([radius * np.cos(angle), radius * np.sin(angle)])
    return skfem.MeshTri2(places, mesh.t)


def counter_clockwise(nodes, triangles):
    """Theirs have our order of nodes (sides 0-1, 1-2, 0-2), but may run clockwise."""
    a, b, c = (nodes[triangles[:, k]] for k in range(3))
    u, v = b - a, c - a
    clockwise = u[:, 0] * v[:, 1] < u[:, 1] * v[:, 0]
    turned = triangles[:, [0, 2, 1, 5, 4, 3]]
    return np.ascontiguousarray(np.where(clockwise[:, None], turned, triangles))


def best(work):
    """Shortest time of several, in seconds, and the result."""
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        result = work()
        times.append(perf_counter() - start)
    return min(times), result


def test_assembly_gives_the_matrix_of_scikit_fem_and_tells_how_much_faster(theirs, measured):
    vector_element = skfem.ElementVector(skfem.ElementTriP2())
    quadrature = (SIX_POINTS.places.T, SIX_POINTS.weights)
    basis = skfem.Basis(theirs, vector_element, quadrature=quadrature)
    scalar = basis.with_element(skfem.ElementTriP2())
    nodes = np.ascontiguousarray(scalar.doflocs.T)
    triangles = counter_clockwise(nodes, scalar.element_dofs.T.astype(np.int64))
    D = plane_strain(YOUNGS, POISSON)

    def ours():
        return matrix(triangles, stiffness(elements(nodes, triangles), D), len(nodes))

    def form():
        return linear_elasticity(LAMBDA, MU).assemble(basis)

    def mapped_form():
        fresh = skfem.Basis(theirs, vector_element, quadrature=quadrature)
        return linear_elasticity(LAMBDA, MU).assemble(fresh)

    our_time, K = best(ours)
    form_time, expected = best(form)
    mapped_time, _ = best(mapped_form)

    x, y = (np.concatenate([basis.nodal_dofs[k], basis.facet_dofs[k]]) for k in (0, 1))
    both = np.column_stack([x, y]).ravel()
    same = expected.tocsr()[both][:, both]
    assert abs(K - same).max() < 1e-10 * abs(same).max()
    work = f"putting together {len(triangles)} six-node triangles by scikit-fem"
    measured(f"{work}, its basis at hand", form_time, "ours", form_time / our_time)
    measured(f"{work}, with its basis", mapped_time, "ours", mapped_time / our_time)
