"""Rings on spokes against published wheels, statics, and their own smeared limit."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from rimfea.alloys import alloy
from rimfea.elastic import patches
from rimfea.elastic.discrete import held
from rimfea.elastic.harmonics import solve_harmonics
from rimfea.elastic.loads import WheelLoad
from rimfea.elastic.ring import (
    COLUMNS,
    STILL,
    Column,
    Ring,
    amplitudes,
    foundation,
    solve_ring,
)
from rimfea.elastic.ring_field import load_amplitudes
from rimfea.elastic.spokes import Lacing, Spokes, spokes
from rimfea.fem.assemble import vector
from rimfea.fem.elements import elements
from rimfea.fem.revolution import isotropic, stiffnesses
from rimfea.fem.revolved import revolved
from rimfea.files.sheet_toml import read_sheet
from rimfea.mesh.mesh import Mesh, Quality
from rimfea.study.analysis import inspect
from tests.often import few

PROFILES = Path(__file__).parents[2] / "profiles"
THESIS = "PhD thesis, Northwestern University 2018, ch. radial and tangential loads"
STATICS = "balance of force and moment"
SMEARED = "spokes smeared into a foundation"

# The measured rim and wheel of the thesis.
YOUNGS, BENDING, AREA, RADIUS = 69e3, 111e6, 104.0, 304.0
HEIGHT = np.sqrt(12 * BENDING / (YOUNGS * AREA))
SPOKE_EA, SPOKE_LENGTH, CONE = 522e3, 276.0, 0.09
SHEAR_RATIO = 0.33


def radial_spokes(count, whole_stiffness):
    """Radial spokes whose stiffnesses add up to ``whole_stiffness``, right and left in turn."""
    side = np.where(np.arange(count) % 2 == 0, 1.0, -1.0)
    direction = np.column_stack([side * np.sin(CONE), np.full(count, -np.cos(CONE)), 0 * side])
    return Spokes(
        2 * np.pi / count * np.arange(count),
        direction,
        np.full(count, SPOKE_LENGTH),
        np.full(count, whole_stiffness / count),
        np.full(count, 800.0 * 36 / count),
    )


@pytest.fixture(scope="module")
def plain_ring(patch):
    """``plain_ring(spokes, highest)``: a rim of rectangular section with the published bending
    stiffness and area, whose loads and spokes all act evenly on the section.
    """
    made = patch(lambda p: (p - 0.5) * [AREA / HEIGHT, HEIGHT], 2, 2)
    el = elements(made.nodes, made.triangles)
    d = 3 * len(made.nodes)
    area = np.einsum("qa,eq->ea", el.N, el.w) / el.w.sum()
    share = vector(made.triangles, area, len(made.nodes))
    F = np.zeros((d, len(COLUMNS) - STILL))
    for k, column in enumerate(COLUMNS[:-STILL]):
        F[column.direction :: 3, k] = share
    metal = replace(alloy("6061-T6"), youngs_MPa=YOUNGS, poisson=SHEAR_RATIO)
    sides = np.vstack([made.bottom, made.right, made.top, made.left])
    labels = np.zeros(len(made.triangles), int), np.zeros(len(sides), int)
    quality = Quality(len(made.triangles), len(made.nodes), 45.0, 0.0, 4)
    mesh = Mesh(made.nodes, made.triangles, sides, *labels, ("rim",), quality)
    blocks = stiffnesses(el, isotropic(YOUNGS, SHEAR_RATIO), RADIUS)

    def make(laced, highest):
        body = revolved(made.triangles, blocks, len(made.nodes), foundation(F, laced.smeared))
        answers = solve_harmonics(body, F, np.zeros((d, STILL)), highest, 1e-7)
        return Ring(mesh, metal, RADIUS, laced, F, body, answers, RADIUS, 4.0, 20.0)

    return make


def test_the_lowest_spokes_carry_the_published_shares_of_a_radial_load(plain_ring, verified):
    ring = plain_ring(radial_spokes(36, 36 * SPOKE_EA / SPOKE_LENGTH), highest=180)
    q = patches.smooth(ring.n, 1e-3)
    (answer,) = held(ring, [amplitudes(ring, {Column("bead seats", 1): -q})])
    lost = -answer.tension_change * np.cos(CONE)
    points = 0.03
    verified("load on the lowest spoke", 0.44, lost[0], THESIS, within=points / 0.44)
    verified("load on its neighbours", 0.24, lost[[1, -1]].mean(), THESIS, within=points / 0.24)
    verified("load on the next", 0.03, lost[[2, -2]].mean(), THESIS, within=points / 0.03)
    assert np.abs(lost[3:-2]).max() < 0.05  # "far spokes 5 % or less"
    assert lost[1] == pytest.approx(lost[-1], rel=1e-6)
    verified(
        "radial spokes carry the load", 1.0, lost @ np.cos(ring.spokes.angle), STATICS, within=0.03
    )


def test_many_spokes_come_to_act_as_the_foundation_they_are_smeared_into(plain_ring, verified):
    """From 24 to 192 spokes of the same stiffness in all, under a load over several."""
    gaps = []
    for count, allowed in ((24, 0.1), (48, 1e-3), (96, 1e-4), (192, 1e-4)):
        ring = plain_ring(radial_spokes(count, 36 * SPOKE_EA / SPOKE_LENGTH), highest=400)
        A = amplitudes(ring, {Column("bead seats", 1): -patches.smooth(ring.n, 0.5)})
        (answer,) = held(ring, [A])
        smeared, ours = (ring.seen[:, 1] * A).sum().real, answer.displacement[0, 1]
        gaps.append(abs(ours / smeared - 1))
        name = f"seat under a broad load, {count} spokes"
        verified(name, smeared, ours, SMEARED, within=allowed)
    assert gaps[0] > 10 * gaps[1] > 100 * gaps[2]


@cache
def laced_rim(tension_N, offset=0.0):
    """A coarse demo rim on 32 crossed spokes, dished, its nipple seats so far to the right."""
    sheet = read_sheet(PROFILES / "curlew.toml").varied(spoke_bed_offset_mm=offset)
    mesh = inspect(sheet, coarseness=2.5).mesh
    lacing = Lacing(count=32, crossings=3, right_mm=20.0, left_mm=36.0, tension_N=tension_N)
    bearing = (sheet.spoke_hole_mm, sheet.bearing_diameter_mm, offset)
    laced = spokes(lacing, sheet.seat_radius_mm - 12.0, offset)
    return solve_ring(mesh, sheet.metal, sheet.seat_radius_mm, laced, bearing, 60)


def frame(angle):
    """Axes (j, 3, 3): rows x (axle), outward and around at angles (j,) in space."""
    angle = np.atleast_1d(angle)
    c, s, o = np.cos(angle), np.sin(angle), np.zeros_like(angle)
    one = np.ones_like(angle)
    return np.stack([np.stack(row, -1) for row in ((one, o, o), (o, c, s), (o, -s, c))], axis=1)


def spoke_wrench(ring, answer, offset=0.0):
    """Force (3,) and moment (3,) about the axle's middle of the spokes on the rim, in space."""
    local = -np.einsum("jab,jb->ja", ring.spokes.tensors, answer.displacement)
    axes = frame(ring.spokes.angle)
    force = np.einsum("jab,ja->jb", axes, local)
    place = offset * axes[:, 0] + ring.seat_radius * axes[:, 1]
    return force.sum(axis=0), np.cross(place, force).sum(axis=0)


@pytest.mark.parametrize(
    ("inward", "across", "offset"),
    [(700.0, 0.0, 0.0), (0.0, 250.0, 0.0), (500.0, -120.0, 0.0), (500.0, -120.0, -3.0)],
)
def test_the_spokes_balance_a_load_at_any_angle_in_any_direction(inward, across, offset, verified):
    """With next to no tension, whose own turning counts for nothing."""
    ring = laced_rim(1e-3, offset)
    once = load_amplitudes(ring, WheelLoad(inward, 1.0, side_N=across))
    seats = ring.F[1::3, COLUMNS.index(Column("bead seats", 1))] @ ring.mesh.nodes[:, 1]
    angles = np.array([0.0, 0.33, 2.5, -1.2])
    answers = held(ring, [once * patches.turned(ring.n, angle)[:, None] for angle in angles])
    left, turning = [], []
    for axes, answer in zip(frame(angles), answers, strict=True):
        force, moment = spoke_wrench(ring, answer, offset)
        applied = np.array([across, -inward, 0.0]) @ axes
        size = np.linalg.norm(applied)
        arm = (ring.radius + seats) * axes[1]
        left.append(np.linalg.norm(force + applied) / size)
        turning.append(np.linalg.norm(moment + np.cross(arm, applied)) / (size * ring.radius))
    name = f"{inward:g} N inward, {across:g} N across, any angle"
    name += f", spoke bed {offset:g} mm aside" if offset else ""
    verified(f"force left over: {name}", 0.0, max(left), STATICS, within=1e-4)
    verified(f"moment left over: {name}", 0.0, max(turning), STATICS, within=1e-4)


@pytest.mark.parametrize("tension_N", few([1200.0, 600.0]))
def test_tension_leaves_the_force_balanced(tension_N, verified):
    ring = laced_rim(tension_N)
    (answer,) = held(ring, [load_amplitudes(ring, WheelLoad(700.0, 1.0, side_N=100.0))])
    force, _ = spoke_wrench(ring, answer)
    left = np.linalg.norm(force + np.array([100.0, -700.0, 0.0])) / 700
    verified(f"force left over, {tension_N:g} N spokes", 0.0, left, STATICS, within=1e-4)


def test_a_torque_on_the_rim_turns_it_against_the_crossed_spokes(verified):
    """The spokes' moment about the axle is what they are stretched by a turn of the rim."""
    ring = laced_rim(1e-3)
    once = np.where(ring.n == 0, 1.0, 0.0)
    A = amplitudes(ring, {Column("seat", 2): once})
    (answer,) = held(ring, [A])
    _, moment = spoke_wrench(ring, answer)
    applied = 2 * np.pi * ring.seat_radius
    verified("torque carried by crossed spokes", -applied, moment[0], STATICS, within=1e-4)
