"""A dent of a demo rim by a general-purpose program and by ours, in one run: how much longer it
takes and how far apart they are. The program is CalculiX (``ccx``); without it this is skipped.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from scipy import sparse

from rimfea.elastic.surfaces import crown, nipple_bearing
from rimfea.fem.assemble import vector
from rimfea.fem.elements import sides
from rimfea.fem.forms import traction_load
from rimfea.files.sheet_toml import read_sheet
from rimfea.plastic.descent import Memory
from rimfea.plastic.metal import Linear
from rimfea.plastic.rest import at_rest, under
from rimfea.study.analysis import inspect

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(shutil.which("ccx") is None, reason="needs ccx (calculix-ccx of Debian)"),
]

CURLEW = Path(__file__).parents[2] / "profiles" / "curlew.toml"
COARSE, HARDENING_MPA = 2.5, 1000.0
REPEATS, HIGHEST, WINDOW_MM, HALF_PATCH_MM = 15, 240, 60.0, 10.0
FORCE_N = 3600.0
# Layers of wedges: so many up to so far along the crown, mm, then to the sector's end.
LAYERS = ((10.0, 3), (28.0, 3), (None, 2))
FIRST_SHARE = 0.5  # of the force in the first of the other program's increments


@dataclass(frozen=True)
class Rim:
    """What both programs are given: sections and loads in mm; ``half_angle`` of the patch."""

    sheet: object
    mesh: object
    radius: float
    half_angle: float
    crown: np.ndarray
    bed: np.ndarray


@pytest.fixture(scope="module")
def rim():
    looked = inspect(read_sheet(CURLEW), coarseness=COARSE)
    mesh, sheet = looked.mesh, looked.sheet
    bed = np.unique(nipple_bearing(mesh, sheet.spoke_hole_mm, sheet.bearing_diameter_mm))
    half_angle = HALF_PATCH_MM / (sheet.seat_radius_mm + mesh.nodes[:, 1].max())
    return Rim(sheet, mesh, sheet.seat_radius_mm, half_angle, crown(mesh, right=True), bed)


def test_a_dent_takes_a_small_part_of_the_time_of_a_solid(rim, pushed, tmp_path, measured):
    deck, weights = deck_of(rim)
    (tmp_path / "dent.inp").write_text(deck)
    start = time.perf_counter()
    alone = {**os.environ, "OMP_NUM_THREADS": "1"}
    subprocess.run(["ccx", "dent"], cwd=tmp_path, env=alone, check=True, capture_output=True)
    theirs = time.perf_counter() - start
    moved, kept = movements((tmp_path / "dent.dat").read_text(), weights)
    start = time.perf_counter()
    ours_moved, ours_kept = ours(rim, pushed)
    taken = time.perf_counter() - start
    measured(
        f"a dent as a solid of another program, small movements, {len(weights)} nodes loaded",
        theirs,
        "the same by the descent",
        theirs / taken,
    )
    assert ours_moved == pytest.approx(moved, rel=0.02)
    assert ours_kept == pytest.approx(kept, rel=0.05)


def ours(rim, pushed):
    """Movement under the force and set, mm, built and followed."""
    mesh, alloy = rim.mesh, rim.sheet.metal
    side = sides(mesh.nodes, rim.crown)
    even = np.full((*side.w.shape, 1), 1 / side.w.sum())
    load = np.zeros(3 * len(mesh.nodes))
    load[1::3] = -vector(side.sides, traction_load(side, even), side.nodes)
    held = sparse.eye_array(len(load)).tocsr()[(3 * rim.bed[:, None] + np.arange(3)).ravel()]
    right = mesh.nodes[mesh.triangles[:, :3], 0].mean(axis=1) > 0
    body = pushed(
        mesh.nodes, mesh.triangles, rim.radius,
        (alloy.youngs_MPa, alloy.poisson, Linear(alloy.proof_MPa, HARDENING_MPA)), [load], held,
        chosen=np.flatnonzero(right), repeats=REPEATS, highest=HIGHEST, large=False,
        half_angle=rim.half_angle, window=WINDOW_MM / rim.radius,
    )  # fmt: skip
    state = under(body, at_rest(body), np.array([FORCE_N]), Memory())
    left = under(body, state, np.zeros(1), Memory())
    return state.movement.item(), left.movement.item()


@dataclass(frozen=True)
class Wedges:
    """Half a sector of 15-node wedges: nodes (n, 3), elements (e, 15); ``planes`` (l + 1, s) and
    ``between`` (l, s) number the section's nodes in and between the planes at ``angles`` (l + 1,).
    Numbers begin at 1; 0 is where there is no node.
    """

    nodes: np.ndarray
    elements: np.ndarray
    planes: np.ndarray
    between: np.ndarray
    angles: np.ndarray


def swept(rim):
    mesh = rim.mesh
    end = np.pi / REPEATS * HALF_PATCH_MM / rim.half_angle
    along = [0.0]
    for far, count in LAYERS:
        along += list(np.linspace(along[-1], end if far is None else far, count + 1)[1:])
    angles = np.array(along) * rim.half_angle / HALF_PATCH_MM
    n, corners = len(mesh.nodes), np.unique(mesh.triangles[:, :3])
    layers, every = len(angles) - 1, n + len(corners)
    planes = 1 + np.arange(layers + 1)[:, None] * every + np.arange(n)
    between = np.zeros((layers, n), dtype=int)
    between[:, corners] = 1 + n + np.arange(layers)[:, None] * every + np.arange(len(corners))
    middle = (angles[1:] + angles[:-1]) / 2
    nodes = np.empty((layers * every + n, 3))
    for numbers, thetas, some in ((planes, angles, np.arange(n)), (between, middle, corners)):
        x, r = mesh.nodes[some, 0], rim.radius + mesh.nodes[some, 1]
        t = thetas[:, None]
        at = np.stack([np.broadcast_to(x, (len(t), len(x))), r * np.cos(t), r * np.sin(t)], -1)
        nodes[numbers[:, some] - 1] = at
    T = mesh.triangles
    a, b, m = planes[:-1], planes[1:], between
    parts = [a[:, T[:, :3]], b[:, T[:, :3]], a[:, T[:, 3:]], b[:, T[:, 3:]], m[:, T[:, :3]]]
    return Wedges(nodes, np.concatenate(parts, axis=2).reshape(-1, 15), planes, between, angles)


def shares(rim, solid):
    """Nodal shares (n + 1,) of half the patch: 1/2 in all. Faces of eight nodes, Gauss's rule of
    four by four points.
    """
    side = sides(rim.mesh.nodes, rim.crown)
    places, weights = np.polynomial.legendre.leggauss(4)
    first, last = solid.planes[:-1], solid.planes[1:]
    i, j, m = rim.crown.T
    faces = np.stack([first[:, i], first[:, j], last[:, j], last[:, i], first[:, m],
                      solid.between[:, j], last[:, m], solid.between[:, i]], axis=-1)  # fmt: skip
    span = np.diff(solid.angles)[:, None]
    theta = solid.angles[:-1, None] + span * (places + 1) / 2
    bump = np.where(theta < rim.half_angle, 1 + np.cos(np.pi * theta / rim.half_angle), 0.0)
    around = bump * span * weights / 2
    N = eight(places[:, None], places)
    f = np.zeros(len(solid.nodes) + 1)
    np.add.at(f, faces, np.einsum("abk,fa,lb->lfk", N, side.w, around))
    return f / f.sum() / 2


def eight(xi, eta):
    """Shape functions of the face of eight nodes, along the side and around."""
    corner = [(1 + s * xi) * (1 + t * eta) * (s * xi + t * eta - 1) / 4
              for s, t in ((-1, -1), (1, -1), (1, 1), (-1, 1))]  # fmt: skip
    middle = [(1 - xi**2) * (1 - eta) / 2, (1 + xi) * (1 - eta**2) / 2,
              (1 - xi**2) * (1 + eta) / 2, (1 - xi) * (1 - eta**2) / 2]  # fmt: skip
    return np.stack(np.broadcast_arrays(*corner, *middle), axis=-1)


def deck_of(rim):
    """The other program's input, and the weights of the loaded nodes by number."""
    solid, alloy = swept(rim), rim.sheet.metal
    f = shares(rim, solid)
    loaded = np.flatnonzero(f)
    held = np.concatenate([solid.planes[:, rim.bed].ravel(), solid.between[:, rim.bed].ravel()])
    flanks = np.concatenate([solid.planes[0], solid.planes[-1]])
    forces = [f"{k},1,{-FORCE_N * f[k]:.9e}" for k in loaded]
    nothing = [f"{k},1,0." for k in loaded]
    lines = [
        "*NODE, NSET=ALL",
        *(f"{k},{x:.9e},{y:.9e},{z:.9e}" for k, (x, y, z) in enumerate(solid.nodes, 1)),
        "*ELEMENT, TYPE=C3D15, ELSET=METAL",
        *(f"{k}," + ",".join(map(str, e[:8])) + ",\n" + ",".join(map(str, e[8:]))
          for k, e in enumerate(solid.elements, 1)),
        "*NSET, NSET=LOADED", *map(str, loaded),
        "*NSET, NSET=HELD", *map(str, held[held > 0]),
        "*NSET, NSET=FLANKS", *map(str, flanks),
        "*TRANSFORM, NSET=ALL, TYPE=C", "0,0,0,1,0,0",
        "*BOUNDARY", "FLANKS,2,2,0.", "HELD,1,3,0.",
        "*MATERIAL, NAME=ALLOY", "*ELASTIC", f"{alloy.youngs_MPa},{alloy.poisson}",
        "*PLASTIC", f"{alloy.proof_MPa},0.", f"{alloy.proof_MPa + HARDENING_MPA},1.",
        "*SOLID SECTION, ELSET=METAL, MATERIAL=ALLOY",
        *step(forces, FIRST_SHARE), *step(nothing, 1.0),
    ]  # fmt: skip
    return "\n".join(lines) + "\n", dict(zip(loaded, f[loaded], strict=True))


def step(forces, share):
    return ["*STEP, INC=200, NLGEOM=NO", "*STATIC", f"{share},1.,1e-5,{share}",
            "*CLOAD, OP=NEW", *forces, "*NODE PRINT, NSET=LOADED, GLOBAL=NO, FREQUENCY=999",
            "U", "*END STEP"]  # fmt: skip


def movements(printed, weights):
    """Movement of the patch inward at the end of the last two steps."""
    tables = re.split(r"displacements.*\n", printed)[1:]
    found = []
    for table in tables:
        rows = [line.split() for line in table.splitlines() if line.strip()]
        inward = [-weights[int(row[0])] * float(row[1]) for row in rows]
        found.append(sum(inward) / sum(weights.values()))
    return found[-2:]
