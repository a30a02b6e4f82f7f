"""Free modes of rings and annular plates against the books, and against solid elements."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import skfem
from scipy.optimize import brentq
from scipy.sparse.linalg import eigsh
from scipy.special import iv, ivp, jv, jvp, kv, kvp, yv, yvp
from skfem.models.elasticity import linear_elasticity

from rimfea.alloys import unlisted_alloy
from rimfea.elastic.modes import TONNE_PER_MM3, Kind, energies, free_modes
from rimfea.fem.elements import elements
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline

MEMORY = "(citation from memory)"
FORD = "M. Ford, Reinventing the Wheel, Northwestern University 2018, acoustic testing"
LEISSA = f"A. W. Leissa, Vibration of Plates, NASA SP-160, 1969, free annular plate {MEMORY}"
KIRCHHOFF = "thin free annular plate in Bessel functions, solved here"
LOVE = "annulus in plane stress in Bessel functions (Love, Theory of Elasticity), solved here"
HEXAHEDRA = "27-node hexahedra of scikit-fem"

METAL = unlisted_alloy("any", 200, 250)
E, NU = METAL.youngs_MPa, METAL.poisson
SHEAR = E / (2 * (1 + NU))
LAME = E * NU / ((1 + NU) * (1 - 2 * NU))
DENSITY = TONNE_PER_MM3 * METAL.density_kg_m3  # t/mm³


def hertz(nodes, triangles, radius, waves):
    """Frequencies by waves and kind."""
    modes = free_modes(nodes, triangles, METAL, radius, waves)
    stiff, moved = energies(elements(nodes, triangles), METAL, radius, modes)
    found = np.sqrt(stiff / moved) / (2 * np.pi)
    return {(mode.waves, mode.kind): f for mode, f in zip(modes, found, strict=True)}


@pytest.fixture(scope="module")
def square(patch):
    """A thin ring of square section, R = 300 mm."""
    made = patch(lambda p: 2.0 * (p - 0.5), 6, 6)
    return hertz(made.nodes, made.triangles, 300.0, range(2, 6))


def thin(stiffness, area, radius):
    """√(stiffness / 2πR³m), 1/s, with the mass m of the whole ring."""
    mass = DENSITY * area * 2 * np.pi * radius
    return np.sqrt(stiffness / (2 * np.pi * radius**3 * mass))


# n(n² − 1)/√(n² + 1)
@pytest.mark.parametrize(
    ("n", "factor"), [(2, 2.683282), (3, 7.589466), (4, 14.552138), (5, 23.533936)]
)
def test_a_thin_ring_rings_in_its_plane_as_published(square, verified, n, factor):
    published = factor * thin(E * 2.0**4 / 12, 4.0, 300.0)
    ours = square[n, Kind.IN_PLANE]
    verified(f"thin ring in its plane, n = {n}, Hz", published, ours, FORD, within=3e-4)


@pytest.mark.parametrize("n", [2, 3, 4, 5])
def test_a_thin_ring_rings_out_of_its_plane_as_published(square, verified, n):
    twist = SHEAR * 0.1405770 * 2.0**4  # of a square, Timoshenko & Goodier sec. 109
    mu = twist / (E * 2.0**4 / 12)
    published = n * (n**2 - 1) / np.sqrt(mu * n**2 + 1) * thin(twist, 4.0, 300.0)
    ours = square[n, Kind.SIDEWAYS]
    verified(f"thin ring out of its plane, n = {n}, Hz", published, ours, FORD, within=3e-4)


@pytest.mark.parametrize("n", [2, 3])
def test_a_thin_round_wire_needs_no_torsion_constant(verified, n):
    quarters = np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])
    circle = Ring(quarters, np.full(4, np.tan(np.pi / 8)), ("rim",) * 4)
    mesh = mesh_outline(Outline(circle, ()))
    ours = hertz(mesh.nodes, mesh.triangles, 300.0, [n])
    mu = 1 / (1 + NU)
    published = n * (n**2 - 1) / np.sqrt(mu * n**2 + 1) * thin(SHEAR * np.pi / 2, np.pi, 300.0)
    verified(
        f"thin ring of wire, n = {n}, Hz", published, ours[n, Kind.SIDEWAYS], FORD, within=3e-4
    )


OUTER, INNER, THICK = 100.0, 50.0, 1.0


@pytest.fixture(scope="module")
def annulus(patch):
    """A plate of 1 mm from 50 to 100 mm."""
    made = patch(lambda p: (p - [0.5, 0.0]) * [THICK, OUTER - INNER], 1, 24)
    return hertz(made.nodes, made.triangles, INNER, (2, 3))


def first_root(determinant, start, end, count=400):
    """The first place between start and end where it changes its sign."""
    x = np.linspace(start, end, count)
    y = [determinant(each) for each in x]
    place = next(k for k, (a, b) in enumerate(pairwise(y)) if a * b < 0)
    return brentq(determinant, x[place], x[place + 1])


def bent_plate(n):
    """λ² = ω a² √(ρh/D) of the plate that is free at a and at a/2: no moment and no Kelvin's force
    on either edge.
    """
    four = ((jv, jvp, -1), (yv, yvp, -1), (iv, ivp, 1), (kv, kvp, 1))

    def determinant(squared):
        k, rows = np.sqrt(squared), []
        for r in (1.0, INNER / OUTER):
            w, w1, w2 = (
                np.array([f(n, k * r) for f, _, _ in four]),
                np.array([k * slope(n, k * r, 1) for _, slope, _ in four]),
                np.array([k**2 * slope(n, k * r, 2) for _, slope, _ in four]),
            )
            sign = np.array([each for *_, each in four])
            rows.append(w2 + NU * (w1 / r - n**2 * w / r**2))
            rows.append(sign * k**2 * w1 - (1 - NU) * n**2 / r**2 * (w1 - w / r))
        A = np.array(rows)
        return np.linalg.det(A / np.abs(A).max(axis=0))

    return first_root(determinant, 1.0, 30.0)


@pytest.mark.parametrize(("n", "tabled"), [(2, 4.28), (3, 11.4)])
def test_a_free_annular_plate_rings_as_tabled(annulus, verified, n, tabled):
    D = E * THICK**3 / (12 * (1 - NU**2))
    unit = OUTER**2 * np.sqrt(DENSITY * THICK / D)
    ours = 2 * np.pi * annulus[n, Kind.SIDEWAYS] * unit
    verified(f"annular plate, n = {n}: λ²", tabled, ours, LEISSA, within=5e-3)
    verified(f"annular plate, n = {n}: λ²", bent_plate(n), ours, KIRCHHOFF, within=1e-3)


def flat_ring(n):
    """ω a √(ρ(1 − ν²)/E) of the annulus in plane stress, free at a and at a/2: u = φ,r + nψ/r and
    v = −nφ/r − ψ,r of a wave of pressure φ cos nθ and one of shear ψ sin nθ.
    """

    def determinant(omega):
        quick, slow, rows = omega, omega * np.sqrt(2 / (1 - NU)), []
        for r in (1.0, INNER / OUTER):
            direct, shear = [], []
            for k, pressure in ((quick, True), (slow, False)):
                for f, slope in ((jv, jvp), (yv, yvp)):
                    w, w1, w2 = f(n, k * r), k * slope(n, k * r, 1), k**2 * slope(n, k * r, 2)
                    if pressure:
                        u, u_r, v, v_r = w1, w2, -n * w / r, -n * (w1 / r - w / r**2)
                    else:
                        u, u_r, v, v_r = n * w / r, n * (w1 / r - w / r**2), -w1, -w2
                    direct.append(u_r + NU * (u + n * v) / r)
                    shear.append(v_r - v / r - n * u / r)
            rows += [direct, shear]
        A = np.array(rows)
        return np.linalg.det(A / np.abs(A).max(axis=0))

    return first_root(determinant, 0.05, 3.0)


@pytest.mark.parametrize("n", [2, 3])
def test_a_thick_ring_rings_in_its_plane_as_waves_in_a_plate(annulus, verified, n):
    ours = 2 * np.pi * annulus[n, Kind.IN_PLANE] * OUTER * np.sqrt(DENSITY * (1 - NU**2) / E)
    verified(f"thick ring, a = 2b, n = {n}: ω a/c", flat_ring(n), ours, LOVE, within=1e-3)


# A flange 8 mm wide and a wall 10 mm high on it, 2 mm thick, at 20 mm from the axis: a section
# without symmetry, whose two kinds of modes mix.
RADIUS, HEIGHT, FLANGE, WALL = 20.0, 10.0, 8.0, 2.0
QUARTER = 8  # cells around a quarter


@pytest.mark.long
def test_a_thick_angle_rings_as_a_solid_of_hexahedra(verified):
    theirs = solid_angle()
    corners = [Corner(x, y, "rim") for x, y in ((0, 0), (FLANGE, 0), (FLANGE, WALL),
               (WALL, WALL), (WALL, HEIGHT), (0, HEIGHT))]  # fmt: skip
    mesh = mesh_outline(Outline(rounded(corners), ()), coarseness=0.7)
    ours = sorted(hertz(mesh.nodes, mesh.triangles, RADIUS, [2]).values())
    for k, (there, here) in enumerate(zip(theirs, ours, strict=True)):
        verified(f"angle, n = 2, mode {k + 1}, Hz", there, here, HEXAHEDRA, within=5e-3)


def solid_angle():
    """The first two frequencies in two waves: a quarter of the ring, mirrored in both its ends."""
    x, y = np.array([0, 1, 2, 4, 6, 8]), np.array([0, 1, 2, 4, 6, 8, 10])
    block = skfem.MeshHex.init_tensor(x, y, np.linspace(0, np.pi / 2, QUARTER + 1))
    middle = block.p[:, block.t].mean(axis=1)
    metal = (middle[0] < WALL) | (middle[1] < WALL)
    flat = skfem.MeshHex2.from_mesh(block.restrict(np.flatnonzero(metal)))
    across, up, theta = flat.doflocs
    r = RADIUS + up
    mesh = skfem.MeshHex2(np.stack([across, r * np.cos(theta), r * np.sin(theta)]), flat.t)
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementHex2()), intorder=5)
    K = linear_elasticity(LAME, SHEAR).assemble(basis)
    M = DENSITY * skfem.BilinearForm(lambda u, v, _: sum(u[i] * v[i] for i in range(3))).assemble(
        basis
    )
    component = np.empty(basis.N, int)
    for dofs in (basis.nodal_dofs, basis.edge_dofs, basis.facet_dofs, basis.interior_dofs):
        for k in range(3):
            component[dofs[k::3]] = k
    held = [(component == k) & np.isclose(basis.doflocs[k], 0, atol=1e-9) for k in (1, 2)]
    free = np.flatnonzero(~(held[0] | held[1]))
    squared, _ = eigsh(K[free][:, free], k=3, M=M[free][:, free], sigma=-1e6)
    return np.sqrt(sorted(squared)[1:]) / (2 * np.pi)  # the first is the shift along the axis
