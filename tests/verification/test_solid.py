"""The ring against hexahedra in space: a different discretisation, solver and program."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
import skfem
from scipy import sparse
from skfem.models.elasticity import linear_elasticity

from rimfea.elastic import patches
from rimfea.fem.assemble import vector
from rimfea.fem.elements import elements, sides
from rimfea.fem.forms import traction_load
from rimfea.fem.interpolate import places
from rimfea.fem.recover import recovery
from rimfea.fem.revolution import COSINE, isotropic, stiffnesses, strains
from rimfea.fem.revolved import revolved
from rimfea.fem.shape import THREE_POINTS
from rimfea.fem.solve import factorised
from rimfea.geometry.outline import Outline
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline

HEXAHEDRA = "27-node hexahedra of scikit-fem"
YOUNGS, POISSON = 70e3, 0.3
SHEAR = YOUNGS / (2 * (1 + POISSON))
LAME = YOUNGS * POISSON / ((1 + POISSON) * (1 - 2 * POISSON))

# A flange 8 mm wide and 2 mm thick, held on its inner face at 20 mm from the axis, and on it a
# wall 2 mm thick that stands up to 30 mm; the load is repeated, so a sector is enough.
RADIUS, HEIGHT, FLANGE, THICK = 20.0, 10.0, 8.0, 2.0
TIMES = 6
HALF_SECTOR = np.pi / TIMES
HALF_PATCH = 5.0 / (RADIUS + HEIGHT)
FORCE = np.array([60.0, -100.0])  # across and outward, N


@dataclass(frozen=True)
class Answer:
    """Displacement (p, 2) of the crown at angles (p,), x and outward, in the middle of the wall;
    stress (k, 6) at the sampling points in the wall; and the number of unknowns.
    """

    crown: np.ndarray
    stress: np.ndarray
    unknowns: int


# Cells of the angle section: small ones at the notch and at the ends of the held face.
X = np.array([0, 0.3, 1, 1.7, 2, 2.3, 3.2, 5, 7.5, 8])
Y = np.array([0, 0.3, 1, 1.7, 2, 2.3, 3, 4.2, 5, 6, 7.2, 8.6, 10])
SAMPLED_ROW = (5.0, 6.0)
CROWN_ANGLES = np.array([0.0, HALF_SECTOR / 4, HALF_SECTOR / 2])


def solid(cells_around=8):
    """The sector in hexahedra, and the points (k, 4) where it gives stress: x, y, θ, weight."""
    mesh = _hexahedra(cells_around)
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementHex2()), intorder=5)
    K = linear_elasticity(LAME, SHEAR).assemble(basis)
    on_crown = np.isclose(np.hypot(*mesh.p[1:]) - RADIUS, HEIGHT)[mesh.facets].all(axis=0)
    top = skfem.FacetBasis(mesh, basis.elem, facets=np.flatnonzero(on_crown), intorder=5)
    f = _push.assemble(top)
    _, y, z = basis.doflocs
    component = _components(basis)
    theta = np.arctan2(z, y)
    still = np.isclose(np.hypot(y, z), RADIUS)
    # Symmetry: the first plane is z = 0; the last is turned, its unknowns are tied by a stiff
    # spring across it.
    first = np.isclose(theta, 0.0) & (component == 2)
    K = K + _across_last_plane(basis, theta, component, K.diagonal().max())
    u = skfem.solve(*skfem.condense(K, f, D=np.flatnonzero(still | first)))
    crown = np.array([_at(basis, component, u, angle) for angle in CROWN_ANGLES])
    where, stress = _sampled(basis, u)
    return Answer(crown, stress, K.shape[0]), where


def _hexahedra(cells_around):
    """Curved hexahedra: the angle section, swept from θ = 0 to the middle between two loads."""
    block = skfem.MeshHex.init_tensor(X, Y, np.linspace(0, HALF_SECTOR, cells_around + 1))
    middle = block.p[:, block.t].mean(axis=1)
    metal = (middle[0] < THICK) | (middle[1] < THICK)
    flat = skfem.MeshHex2.from_mesh(block.restrict(np.flatnonzero(metal)))
    x, y, theta = flat.doflocs
    r = RADIUS + y
    # x, r cos θ, r sin θ is a right-handed set as x, y, θ is.
    return skfem.MeshHex2(np.stack([x, r * np.cos(theta), r * np.sin(theta)]), flat.t)


@skfem.LinearForm
def _push(v, w):
    """The smooth patch on the crown: FORCE over its width and its length."""
    theta = np.arctan2(w.x[2], w.x[1])
    per_radian = np.where(
        np.abs(theta) < HALF_PATCH, (1 + np.cos(np.pi * theta / HALF_PATCH)) / (2 * HALF_PATCH), 0
    )
    p = per_radian / (THICK * (RADIUS + HEIGHT))
    outward = np.cos(theta) * v[1] + np.sin(theta) * v[2]
    return p * (FORCE[0] * v[0] + FORCE[1] * outward)


def _components(basis):
    component = np.empty(basis.N, int)
    for dofs in (basis.nodal_dofs, basis.edge_dofs, basis.facet_dofs, basis.interior_dofs):
        for k in range(3):
            component[dofs[k::3]] = k
    return component


def _across_last_plane(basis, theta, component, stiff):
    """Springs that hold the last plane's motion at right angles to it."""
    last = np.flatnonzero(np.isclose(theta, HALF_SECTOR))
    y, z = (last[component[last] == k] for k in (1, 2))
    order = [np.lexsort(np.round(basis.doflocs[:, dofs], 6)) for dofs in (y, z)]
    y, z = y[order[0]], z[order[1]]
    s, c = np.sin(HALF_SECTOR), np.cos(HALF_SECTOR)
    pairs = [(y, y, s * s), (y, z, -s * c), (z, y, -s * c), (z, z, c * c)]
    row, column = (np.concatenate([pair[k] for pair in pairs]) for k in (0, 1))
    value = np.concatenate([np.full(len(y), 1e6 * stiff * share) for *_, share in pairs])
    return sparse.coo_array((value, (row, column)), shape=(basis.N, basis.N)).tocsr()


def _at(basis, component, u, angle):
    """Displacement (x, outward) of the middle of the crown at an angle where nodes are."""
    r = RADIUS + HEIGHT
    place = np.array([THICK / 2, r * np.cos(angle), r * np.sin(angle)])
    near = np.flatnonzero(np.linalg.norm(basis.doflocs - place[:, None], axis=0) < 1e-6)
    x, y, z = (u[near[component[near] == k]].item() for k in range(3))
    return x, y * np.cos(angle) + z * np.sin(angle)


def _sampled(basis, u):
    """Gauss points (k, 4) in the first layer of the wall at half its height, where quadratic
    hexahedra know their stress best, and the stress (k, 6) there in section axes.
    """
    basis = skfem.Basis(basis.mesh, basis.elem, intorder=3)
    grad = basis.interpolate(u).grad
    strain = (grad + np.swapaxes(grad, 0, 1)) / 2
    x, y, z = np.asarray(basis.global_coordinates())
    theta, r = np.arctan2(z, y), np.hypot(y, z)
    row = np.searchsorted(SAMPLED_ROW, r.mean(axis=1) - RADIUS) == 1
    here = row & (theta.mean(axis=1) < theta.mean(axis=1).min() + 1e-6) & (x.mean(axis=1) < THICK)
    e = strain[:, :, here].reshape(3, 3, -1)
    t = theta[here].ravel()
    turn = np.zeros((3, 3, t.size))
    turn[0, 0], turn[1, 1], turn[1, 2], turn[2, 1], turn[2, 2] = (
        1, np.cos(t), np.sin(t), -np.sin(t), np.cos(t),
    )  # fmt: skip
    own = np.einsum("abk,bck,dck->kad", turn, e, turn)
    stress = 2 * SHEAR * own + LAME * np.trace(own, axis1=1, axis2=2)[:, None, None] * np.eye(3)
    six = np.stack(
        [stress[:, i, j] for i, j in ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))], 1
    )
    weight = basis.dx[here].ravel()
    return np.column_stack([x[here].ravel(), r[here].ravel() - RADIUS, t, weight]), six


def ring(where, highest=240, coarseness=0.4):
    """The same body by harmonics 0, 6, 12 …, every one solved in full."""
    corners = [Corner(x, y, "rim") for x, y in ((0, 0), (FLANGE, 0), (FLANGE, THICK),
               (THICK, THICK), (THICK, HEIGHT), (0, HEIGHT))]  # fmt: skip
    mesh = mesh_outline(Outline(rounded(corners), ()), coarseness=coarseness)
    nodes, el = mesh.nodes, elements(mesh.nodes, mesh.triangles)
    D, d = isotropic(YOUNGS, POISSON), 3 * len(mesh.nodes)
    body = revolved(
        mesh.triangles, stiffnesses(el, D, RADIUS), len(nodes), sparse.csc_array((d, d))
    )
    top = sides(nodes, mesh.sides[np.isclose(nodes[mesh.sides[:, 2], 1], HEIGHT)])
    share = vector(top.sides, traction_load(top, np.full((*top.w.shape, 1), 1 / THICK)), len(nodes))
    F = np.zeros(d)
    F[0::3], F[1::3] = FORCE[0] * share, FORCE[1] * share
    held = (3 * np.flatnonzero(np.isclose(nodes[:, 1], 0))[:, None] + np.arange(3)).ravel()
    n = np.arange(0, highest + 1, TIMES)
    q = patches.smooth(n, HALF_PATCH) * np.where(n % TIMES == 0, float(TIMES), 0.0)
    u = np.column_stack([factorised(body.at(k), held).solve(F) for k in n]) * q
    seen = u.reshape(-1, 3, len(n))
    middle = places(nodes, mesh.triangles, np.array([[THICK / 2, HEIGHT - 1e-9]]))
    crown = np.einsum("pa,paih->pih", middle.N, seen[middle.nodes])[0, :2]
    moved = np.cos(np.outer(CROWN_ANGLES, n)) @ crown.T
    sampled = elements(nodes, mesh.triangles, THREE_POINTS)
    first, second = strains(sampled, RADIUS, seen)
    strain = (first + n * second).reshape(-1, 6 * len(n))
    nodal = (recovery(nodes, sampled) @ strain).reshape(-1, 6, len(n))
    at = places(nodes, mesh.triangles, where[:, :2])
    there = np.einsum("pa,pash->psh", at.N, nodal[at.nodes])
    angle = np.outer(where[:, 2], n)[:, None]
    wave = np.where(COSINE[:, None], np.cos(angle), np.sin(angle))
    return Answer(moved, np.einsum("psh,psh->ps", there, wave) @ D, d)


@pytest.fixture(scope="module")
def both():
    """The solid, the ring, and where their stress is compared."""
    hexahedra, where = solid()
    return hexahedra, ring(where), where


@pytest.mark.long
def test_the_crown_moves_as_that_of_a_solid_of_hexahedra(both, verified):
    hexahedra, ours, _ = both
    for k, angle in enumerate(np.degrees(CROWN_ANGLES)):
        name, theirs, mine = f"crown across at {angle:.1f}°", hexahedra.crown[k], ours.crown[k]
        verified(name, theirs[0], mine[0], HEXAHEDRA, within=5e-3)
        assert abs(mine[1] - theirs[1]) < 5e-3 * np.abs(hexahedra.crown[:, 1]).max()


def linear(x, weight, stress):
    """Membrane and bending (6,) of stress at Gauss points x across the wall."""
    share = (weight / weight.sum()) @ stress
    moment = (weight * (x - THICK / 2) / weight.sum()) @ stress
    return share, 6 * moment / THICK


@pytest.mark.long
def test_the_wall_is_stressed_as_that_of_a_solid_of_hexahedra(both, verified):
    """Membrane and bending beside the load, at every sampling station of a layer."""
    hexahedra, ours, where = both
    stations = np.unique(np.round(where[:, 1:3], 6), axis=0)
    assert len(stations) == 4
    for y, theta in stations:
        here = np.isclose(where[:, 1:3], [y, theta], atol=1e-5).all(axis=1)
        x, _, _, weight = where[here].T
        theirs, mine = (np.array(linear(x, weight, a.stress[here])) for a in (hexahedra, ours))
        size = np.abs(theirs).max()
        name = f"y = {y:.2f}, {np.degrees(theta):.2f}°"
        verified(f"membrane up the wall, {name}", theirs[0, 1], mine[0, 1], HEXAHEDRA, within=2e-2)
        verified(f"bending up the wall, {name}", theirs[1, 1], mine[1, 1], HEXAHEDRA, within=2e-2)
        np.testing.assert_allclose(mine, theirs, atol=5e-3 * size)
