"""Rings of plain section, harmonic by harmonic, against the books."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from scipy import sparse

from rimfea.elastic import patches
from rimfea.fem.assemble import vector
from rimfea.fem.elements import Elements, elements, sides
from rimfea.fem.forms import traction_load
from rimfea.fem.recover import recovered
from rimfea.fem.revolution import isotropic, stiffnesses, strains
from rimfea.fem.revolved import Revolved, revolved
from rimfea.fem.shape import THREE_POINTS
from rimfea.fem.solve import factorised

MEMORY = "(citation from memory)"
ROARK = f"Roark, Formulas for Stress and Strain, Table 9.2 case 1 {MEMORY}"
HOOP = f"balance of half a ring, w = q R²/EA: Timoshenko, Strength of Materials I {MEMORY}"
VIBRATION = f"Timoshenko, Vibration Problems in Engineering, in-plane ring {MEMORY}"
STRENGTH = f"Timoshenko, Strength of Materials II, ring bent out of its plane {MEMORY}"
GOODIER = f"Timoshenko & Goodier, Theory of Elasticity, 3rd ed. sec. 28 {MEMORY}"
HETENYI = f"Hetényi, Beams on Elastic Foundation, 1946, sec. 2 {MEMORY}"

YOUNGS, POISSON = 70e3, 0.3
SHEAR = YOUNGS / (2 * (1 + POISSON))
# Torsion constant of a rectangle with sides 2:1 by a b³: Timoshenko & Goodier sec. 109.
TORSION_TWO = 0.228682
NONE = np.array([], dtype=np.int64)
FORCE = 100.0


@dataclass(frozen=True)
class Hoop:
    """A ring of rectangular section whose middle is at ``radius``.

    ``share`` (n,) spreads a unit force evenly over the section; ``bending`` is E I in the
    ring's plane, ``area`` that of the section.
    """

    nodes: np.ndarray
    radius: float
    el: Elements
    share: np.ndarray
    body: Revolved
    bending: float
    area: float

    def unit(self, direction):
        """Nodal forces (3n,) of a unit force per radian."""
        F = np.zeros(3 * len(self.nodes))
        F[direction::3] = self.share
        return F

    def solved(self, harmonics, F, held=NONE):
        """Displacement (3n, h) under the load F in every harmonic."""
        return np.column_stack([factorised(self.body.at(n), held).solve(F) for n in harmonics])

    def mean(self, u, direction):
        """Mean displacement (h,) of the section."""
        return self.share @ u[direction::3]

    def hoop_stress(self, harmonics, u):
        """σ_zz (e, q, h) and the weights (e, q) of the section's area."""
        first, second = strains(self.el, self.radius, u.reshape(len(self.nodes), 3, -1))
        strain = first + np.asarray(harmonics) * second
        return np.einsum("s,eqsh->eqh", isotropic(YOUNGS, POISSON)[2], strain), self.el.w

    def moment(self, harmonics, u):
        """Bending moment (h,) about the section's middle, positive with tension outside."""
        stress, w = self.hoop_stress(harmonics, u)
        return np.einsum("eqh,eq,eq->h", stress, w, self.el.points[..., 1])


@pytest.fixture
def hoop(patch):
    """``hoop(radius, width, height)`` makes a ring, on ``springs`` (3,) per radian if given."""

    def make(radius, width=1.0, height=1.0, cells=(2, 2), springs=(0.0, 0.0, 0.0)):
        made = patch(lambda p: (p - 0.5) * [width, height], *cells)
        el = elements(made.nodes, made.triangles)
        area = np.einsum("qa,eq->ea", el.N, el.w) / el.w.sum()
        share = vector(made.triangles, area, len(made.nodes))
        held = sparse.csc_array((3 * len(share), 3 * len(share)))
        for direction, k in enumerate(springs):
            a = np.zeros((3 * len(share), 1))
            a[direction::3, 0] = share
            held = held + k * (sparse.csc_array(a) @ sparse.csc_array(a).T)
        blocks = stiffnesses(el, isotropic(YOUNGS, POISSON), radius)
        body = revolved(made.triangles, blocks, len(made.nodes), held.tocsc())
        bending = YOUNGS * width * height**3 / 12
        return Hoop(made.nodes, radius, el, share, body, bending, width * height)

    return make


def test_two_opposite_forces_shorten_and_widen_a_thin_ring_as_tabled(hoop, verified):
    ring = hoop(100.0)
    n = np.arange(0, 120, 2)
    q = FORCE * patches.smooth(n, 1e-9) * np.where(n % 2 == 0, 2.0, 0.0)
    shrunk = ring.mean(ring.solved(n[1:], -ring.unit(1)), 1) * q[1:]
    still = ring.solved([0], -ring.unit(1), held=np.r_[0, np.arange(2, len(ring.unit(1)), 3)])
    moved = np.concatenate([ring.mean(still, 1) * q[0], shrunk])
    unit = FORCE * ring.radius**3 / ring.bending
    # π/4 − 2/π and 2/π − 1/2
    loaded, across = -2 * moved.sum(), 2 * (moved * np.cos(n * np.pi / 2)).sum()
    verified("thin ring, two forces: loaded diameter", 0.148779 * unit, loaded, ROARK, within=1e-3)
    verified("thin ring, two forces: other diameter", 0.136620 * unit, across, ROARK, within=1e-3)


def test_two_opposite_forces_bend_a_thin_ring_as_tabled(hoop, verified):
    ring = hoop(100.0)
    # The moment at the force converges as 1/n.
    n = np.arange(2, 2400, 2)
    q = FORCE * patches.smooth(n, 1e-9) * np.where(n % 2 == 0, 2.0, 0.0)
    bent = -ring.moment(n, ring.solved(n, -ring.unit(1))) * q
    unit = FORCE * ring.radius
    verified(
        "thin ring, two forces: M under the force", unit / np.pi, bent.sum(), ROARK, within=1e-3
    )
    side = (bent * np.cos(n * np.pi / 2)).sum()
    verified("thin ring, two forces: M at 90°", -0.181690 * unit, side, ROARK, within=1e-3)


@pytest.mark.parametrize("n", [2, 3, 5, 8])
def test_every_wave_around_a_thin_ring_has_its_published_stiffness(hoop, verified, n):
    ring = hoop(400.0)
    (moved,) = ring.mean(ring.solved([n], ring.unit(1)), 1)
    # A load q cos nθ per radian is q/R per length: w = q R³ / E I (n² − 1)².
    published = ring.radius**3 / (ring.bending * (n * n - 1) ** 2)
    verified(f"in-plane compliance, n = {n}", published, moved, VIBRATION, within=1e-3)


@pytest.mark.parametrize("n", [2, 3, 4])
def test_a_thin_ring_bends_and_twists_out_of_its_plane(hoop, verified, n):
    ring = hoop(400.0, width=2.0, cells=(6, 4))
    (moved,) = ring.mean(ring.solved([n], ring.unit(0)), 0)
    bending, torsion = YOUNGS * 2.0**3 / 12, SHEAR * TORSION_TWO * 2.0
    # Least energy over the twist: w = q R³ (1/EI + 1/n²GJ) / (n² − 1)².
    published = ring.radius**3 * (1 / bending + 1 / (n * n * torsion)) / (n * n - 1) ** 2
    verified(f"out-of-plane compliance, n = {n}", published, moved, STRENGTH, within=5e-3)


def test_an_even_pull_inward_makes_a_hoop_force_of_its_own_times_the_radius(hoop, verified):
    ring = hoop(100.0)
    spin = np.r_[0, np.arange(2, len(ring.unit(1)), 3)]
    inward = 7.0  # N per mm
    u = ring.solved([0], -inward * ring.radius * ring.unit(1), held=spin)
    stress, w = ring.hoop_stress([0], u)
    force = np.einsum("eqh,eq->", stress, w)
    verified("hoop force under an even pull", -inward * ring.radius, force, HOOP, within=1e-4)
    moved = -inward * ring.radius**2 / (YOUNGS * ring.area)
    verified("even pull: w = q R²/EA", moved, ring.mean(u, 1)[0], HOOP, within=1e-4)


def test_a_thick_cylinder_under_pressure_is_that_of_lame(patch, verified):
    made = patch(lambda p: np.column_stack([0.4 * p[:, 0], 1 + p[:, 1]]), 2, 10)
    el, D = elements(made.nodes, made.triangles), isotropic(1000.0, 0.3)
    d = 3 * len(made.nodes)
    body = revolved(
        made.triangles, stiffnesses(el, D, 0.0), len(made.nodes), sparse.csc_array((d, d))
    )
    bore = sides(made.nodes, made.bottom)
    F = np.zeros(d)
    pressure = -bore.normal * bore.points[..., 1:]
    push = vector(bore.sides, traction_load(bore, pressure), len(made.nodes)).reshape(-1, 2)
    F.reshape(-1, 3)[:, :2] = push
    held = np.concatenate([np.arange(0, d, 3), np.arange(2, d, 3)])  # plane strain, no spin
    u = factorised(body.at(0), held).solve(F)
    inside, outside = made.bottom[0, 0], made.top[0, 0]
    verified("Lamé: bore widens", 1.906667e-3, u[3 * inside + 1], GOODIER, within=1e-4)
    sampled = elements(made.nodes, made.triangles, THREE_POINTS)
    strain, _ = strains(sampled, 0.0, u.reshape(-1, 3, 1))
    stress = recovered(made.nodes, sampled, strain[..., 0] @ D)
    verified("Lamé: hoop stress in the bore", 5 / 3, stress[inside, 2], GOODIER, within=5e-3)
    verified("Lamé: hoop stress outside", 2 / 3, stress[outside, 2], GOODIER, within=5e-3)
    verified("Lamé: pressure in the bore", -1.0, stress[inside, 1], GOODIER, within=2e-2)


# A ring on radial springs by the same harmonics, its length unable to change.
STRAIGHT_RATIOS = [(10, 0.882), (100, 0.905), (1000, 0.935), (2740, 0.947)]


def on_radial_springs(hoop, radius, stiffness, highest):
    """A ring on radial springs with λ = k R⁴/EI, and what one radial force does to it: mean
    displacement (h,) of every harmonic. The middle of the section stays in plane.
    """
    k = stiffness * YOUNGS / 12 / radius**3
    ring = hoop(radius, springs=(0.0, k, 0.0))
    in_plane = 3 * np.flatnonzero(np.abs(ring.nodes[:, 0]) < 1e-9)
    spin = np.arange(2, 3 * len(ring.nodes), 3)
    n = np.arange(highest + 1)
    u = np.hstack(
        [
            ring.solved(n[:1], -ring.unit(1), held=np.union1d(in_plane, spin)),
            ring.solved(n[1:], -ring.unit(1), held=in_plane),
        ]
    )
    q = FORCE * patches.smooth(n, 1e-9)
    return n, k / radius, -ring.mean(u, 1) * q


@pytest.mark.parametrize(("stiffness", "ratio"), STRAIGHT_RATIOS)
def test_a_ring_on_springs_yields_less_than_a_straight_beam(hoop, verified, stiffness, ratio):
    radius = 400.0
    _, k, moved = on_radial_springs(hoop, radius, stiffness, highest=200)
    beta = (k / (4 * YOUNGS / 12)) ** 0.25
    ours = moved.sum() / (FORCE * beta / (2 * k))
    source = f"harmonics of an inextensible ring on springs, against {HETENYI}"
    verified(f"ring / straight beam on springs, λ = {stiffness}", ratio, ours, source, within=2e-3)


def test_a_large_ring_on_stiff_springs_is_a_straight_beam_on_a_foundation(hoop, verified):
    radius = 2000.0
    n, k, moved = on_radial_springs(hoop, radius, 1e8, highest=1500)
    beta = (k / (4 * YOUNGS / 12)) ** 0.25

    def at(x):
        return (moved * np.cos(n * x / (beta * radius))).sum()

    peak = FORCE * beta / (2 * k)
    verified("beam on foundation: y₀ = Pβ/2k", peak, at(0.0), HETENYI, within=3e-3)
    verified(
        "beam on foundation: zero at 3π/4", 0.0, at(3 * np.pi / 4) / peak, HETENYI, within=2e-3
    )
    back = at(np.pi) / peak
    verified("beam on foundation: −e^−π at π", -np.exp(-np.pi), back, HETENYI, within=4e-2)
