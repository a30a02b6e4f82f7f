"""Struck demo rims against an elastic-plastic solid of another program."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from scipy import sparse
from scipy.interpolate import PchipInterpolator

from rimfea.elastic.surfaces import crown, nipple_bearing
from rimfea.fem.assemble import vector
from rimfea.fem.elements import sides
from rimfea.fem.forms import traction_load
from rimfea.files.sheet_toml import read_sheet
from rimfea.plastic.descent import Memory
from rimfea.plastic.metal import Linear
from rimfea.plastic.path import followed
from rimfea.plastic.rest import at_rest, under
from rimfea.study.analysis import inspect

TESTS = Path(__file__).parents[1]
SOLID = json.loads((TESTS / "plastic" / "solid_curves.json").read_text())
WEDGES = "15-node wedges of a general-purpose program, tests/plastic/solid_curves.json"

COARSE, HARDENING_MPA = 2.5, 1000.0
REPEATS, HIGHEST, WINDOW_MM, HALF_PATCH_MM = 15, 240, 60.0, 10.0


@pytest.fixture(scope="module")
def struck(pushed):
    """``struck(name, large)``: a demo rim whose nipple bearing is held, under a unit strike on its
    right crown; the whole right half may yield.
    """

    def make(name, *, large):
        looked = inspect(read_sheet(TESTS.parent / "profiles" / f"{name}.toml"), coarseness=COARSE)
        mesh, sheet = looked.mesh, looked.sheet
        radius, alloy = sheet.seat_radius_mm, sheet.metal
        side = sides(mesh.nodes, crown(mesh, right=True))
        even = np.full((*side.w.shape, 1), 1 / side.w.sum())
        load = np.zeros(3 * len(mesh.nodes))
        load[1::3] = -vector(side.sides, traction_load(side, even), side.nodes)
        bed = np.unique(nipple_bearing(mesh, sheet.spoke_hole_mm, sheet.bearing_diameter_mm))
        held = sparse.eye_array(len(load)).tocsr()[(3 * bed[:, None] + np.arange(3)).ravel()]
        right = mesh.nodes[mesh.triangles[:, :3], 0].mean(axis=1) > 0
        metal = (alloy.youngs_MPa, alloy.poisson, Linear(alloy.proof_MPa, HARDENING_MPA))
        return pushed(
            mesh.nodes, mesh.triangles, radius, metal, [load], held,
            chosen=np.flatnonzero(right), repeats=REPEATS, highest=HIGHEST, large=large,
            half_angle=HALF_PATCH_MM / (radius + mesh.nodes[:, 1].max()), window=WINDOW_MM / radius,
        )  # fmt: skip

    return make


@pytest.mark.parametrize(
    "name",
    [
        pytest.param("curlew", marks=pytest.mark.long),
        pytest.param("wheatear", marks=pytest.mark.long),
        pytest.param("lapwing", marks=pytest.mark.long),
    ],
)
def test_a_dent_of_small_movements_is_as_deep_as_that_of_a_solid(struck, verified, name):
    body = struck(name, large=False)
    state, on, off = at_rest(body), Memory(), Memory()
    for force, movement, kept in SOLID["small_strain"][name]:
        state = under(body, state, np.array([float(force)]), on)
        left = under(body, state, np.zeros(1), off)
        within = 0.05 if kept < 0.5 else 0.08
        what = f"{name}, small movements, {force} N"
        verified(f"{what}: u, mm", movement, state.movement[0], WEDGES, within=within)
        # A set of a few microns is what elements of either kind leave open.
        near = max(within, 0.002 / kept)
        verified(f"{what}: set, mm", kept, left.movement[0], WEDGES, within=near)


@pytest.mark.long
@pytest.mark.parametrize(("name", "farthest"), [("curlew", 0.55), ("wheatear", 0.9)])
def test_a_hook_that_folds_bears_no_more_than_that_of_a_solid(struck, verified, name, farthest):
    body, solid = struck(name, large=True), SOLID["large_rotations"][name]
    gone = followed(body, set_mm=9.0, farthest=farthest)
    force, movement = (np.r_[0, gone.of(what)] for what in ("force", "movement"))
    greatest = force.max()
    verified(f"{name} folds: greatest N", solid["greatest_N"], greatest, WEDGES, within=0.03)
    assert force[-1] < 0.99 * greatest  # and is followed on to where it bears less
    borne = PchipInterpolator(movement, force)
    for share, there in solid["curve"]:
        what = f"{name}, large movements, {there:.2f} mm: N"
        # Just where it turns over it does so a few hundredths of a millimetre sooner.
        within = 0.05 if 3600 * share >= solid["greatest_N"] else 0.03
        verified(what, 3600 * share, borne(there).item(), WEDGES, within=within)
