"""What loads do to the ring, anywhere on it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimfea.elastic.loads import Pressure, SpokeTension, Strike
from rimfea.elastic.ring import solve_ring
from rimfea.elastic.ring_field import solve_loads, stiffness
from rimfea.elastic.spokes import Lacing, spokes
from rimfea.elastic.surfaces import crown
from rimfea.fem.interpolate import places
from rimfea.files.sheet_toml import read_sheet
from rimfea.study.analysis import inspect
from rimfea.study.cases import bearing_of, laced

PROFILES = Path(__file__).parents[2] / "profiles"
HIGHEST = 160
STRIKES = {
    "one hook": Strike(2000.0, 60.0),
    "both hooks": Strike(2000.0, 60.0, right_share=0.5),
    "leaning": Strike(1500.0, 80.0, angle=np.radians(30.0)),
    "unevenly shared": Strike(1500.0, 80.0, right_share=0.3),
}


@pytest.fixture(scope="module")
def ring():
    """A coarse rim on 24 crossed spokes, dished."""
    sheet = read_sheet(PROFILES / "plover.toml")
    mesh = inspect(sheet, coarseness=2.5).mesh
    laced = spokes(Lacing(count=24, crossings=2, right_mm=22.0), sheet.seat_radius_mm - 12.0)
    bearing = (sheet.spoke_hole_mm, sheet.bearing_diameter_mm)
    return solve_ring(mesh, sheet.metal, sheet.seat_radius_mm, laced, bearing, HIGHEST)


@pytest.fixture(scope="module")
def field(ring):
    """All kinds of loads together, so that no component of stress is zero."""
    tension = SpokeTension(1000.0, 24, ring.bearing / 2, ring.bearing)
    (found,) = solve_loads(ring, [(Strike(2000.0, 60.0, angle=0.3), tension, Pressure(0.3, 45.0))])
    return found


@pytest.fixture(scope="module")
def middles(ring):
    """The middle of every triangle: points that are no nodes."""
    return ring.mesh.nodes[ring.mesh.triangles[:, :3]].mean(axis=1)


def probed(field, points, theta):
    """Displacement (p, 3) and stress (p, 6) at any points (p, 2) of the section."""
    mesh = field.ring.mesh
    there = places(mesh.nodes, mesh.triangles, points)
    return there(field.displacement_at(theta)), there(field.stress_at(theta))


def test_stress_is_by_hookes_law_that_of_the_slope_of_displacement(ring, field, middles):
    """Central differences; stress is smoothed over patches of triangles, so not node by node."""
    step, theta = 0.01, 0.03
    _, stress = probed(field, middles, theta)
    E, nu = ring.metal.youngs_MPa, ring.metal.poisson
    shear = E / (2 * (1 + nu))
    strain = stress / shear  # of shear; the others with Lamé's constants written out
    strain[:, :3] = ((1 + nu) * stress[:, :3] - nu * stress[:, :3].sum(axis=1)[:, None]) / E

    def slope(by):
        ahead, behind = (probed(field, middles + way * by, theta)[0] for way in (1, -1))
        return (ahead - behind) / (2 * step)

    across, outward = slope(np.array([step, 0.0])), slope(np.array([0.0, step]))
    named = {0: across[:, 0], 1: outward[:, 1], 5: across[:, 1] + outward[:, 0]}
    for place, expected in named.items():
        gap = np.abs(strain[:, place] - expected)
        print(f"component {place}: median gap {np.median(gap) / np.abs(expected).max():.4f}")
        assert np.median(gap) < 0.01 * np.abs(expected).max()


@pytest.mark.parametrize("name", STRIKES)
def test_stiffness_is_force_over_how_far_the_crowns_give_way(ring, name):
    load = STRIKES[name]
    (field,) = solve_loads(ring, [(load,)])
    shares = {True: load.right_share, False: 1 - load.right_share}
    moved = sum(
        share * mean_way(ring, field, load, right=right) for right, share in shares.items() if share
    )
    print(f"{name}: {stiffness(field, load):.0f} N/mm, measured {load.force_N / moved:.0f}")
    assert stiffness(field, load) == pytest.approx(load.force_N / moved, rel=0.02)


def mean_way(ring, field, load, *, right):
    """How far one crown moves along the force, mm: the mean over its width, by Simpson's rule on
    every side, and along the rim, weighted as the force is.
    """
    side = crown(ring.mesh, right=right)
    half = load.patch_mm / 2 / (ring.radius + ring.mesh.nodes[:, 1].max())
    theta = np.linspace(-half, half, 81)
    along = 1 + np.cos(np.pi * theta / half)
    way = np.array([np.sin(load.angle), -np.cos(load.angle), 0.0])
    length = np.linalg.norm(np.subtract(*ring.mesh.nodes[side[:, :2].T]), axis=1)
    weight = length[:, None] * np.array([1, 1, 4])
    mean = [np.average(field.path(node, theta) @ way, weights=along) for node in side.ravel()]
    return np.average(mean, weights=weight.ravel())


def test_stiffness_does_not_depend_on_how_hard_the_strike_is(ring):
    once, thrice = Strike(800.0, 60.0), Strike(2400.0, 60.0)
    fields = solve_loads(ring, [(once,), (thrice,)])
    soft, hard = (stiffness(f, load) for f, load in zip(fields, (once, thrice), strict=True))
    assert hard == pytest.approx(soft, rel=1e-9)


@pytest.mark.long
def test_a_bed_to_the_left_answers_as_the_mirrored_rim_with_its_bed_to_the_right(mirror):
    """Radial spokes: leading and trailing ones would change places. The mirrored wheel has its
    first spoke on the other flange, so it is turned by one.
    """
    sheet = read_sheet(PROFILES / "plover.toml").varied(spoke_bed_offset_mm=-3.0)
    other = sheet.varied(spoke_bed_offset_mm=3.0)
    mesh = inspect(sheet, coarseness=4.0).mesh
    lacing = Lacing(count=24, crossings=0, right_mm=20.0, left_mm=36.0)
    swapped = replace(lacing, right_mm=36.0, left_mm=20.0)
    strike = Strike(2000.0, 60.0, angle=0.3)
    loads = [(strike,), (SpokeTension(1000.0, 24, *bearing_of(sheet)), Pressure(0.3, 45.0))]
    stresses = []
    for rim, on, wheel, turn in ((sheet, mesh, lacing, 0), (other, mirror(mesh), swapped, 1)):
        ring = solve_ring(
            on, rim.metal, rim.seat_radius_mm, laced(rim, wheel), bearing_of(rim), 40
        ).turned(turn)
        come = [tuple(load.mirrored() if turn else load for load in each) for each in loads]
        stresses.append([each.stress_at(0.02) for each in solve_loads(ring, come)])
    flip = np.array([1, 1, 1, 1, -1, -1])  # of xx yy zz yz zx xy
    for one, image in zip(*stresses, strict=True):
        np.testing.assert_allclose(image * flip, one, atol=1e-6 * np.abs(one).max())


def test_a_field_at_many_angles_is_that_at_each_of_them(field):
    theta = np.array([0.0, 0.03, 1.9, -2.5])
    moved, stress = field.everywhere(theta)
    for k, angle in enumerate(theta):
        here, there = field.displacement_at(angle), field.stress_at(angle)
        np.testing.assert_allclose(moved[k], here, atol=1e-9 * np.abs(here).max())
        np.testing.assert_allclose(stress[k], there, atol=1e-9 * np.abs(there).max())
