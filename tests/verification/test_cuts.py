"""Membrane and bending on cuts across beams whose force and moment are known."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.fem.assemble import vector
from rimfea.fem.elements import sides
from rimfea.fem.forms import traction_load
from rimfea.fem.material import plane_stress
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring
from rimfea.mesh.build import mesh_outline
from rimfea.stress.cuts import cuts, linearised
from rimfea.stress.walls import along_wall

BEAM = "Timoshenko & Goodier, Theory of Elasticity, 3rd ed., sec. 21 (citation from memory)"
LENGTH, DEPTH = 48.0, 6.0  # mm
SECOND_MOMENT = DEPTH**3 / 12
PULL, SHEAR = 300.0, 40.0  # N per mm of thickness


@pytest.fixture(scope="module")
def beam(solved, smoothed):
    """A beam held on the left, pulled and pushed down on the right: its cuts, and the membrane
    and bending stress along it on each.
    """
    corners = np.array([[0, 0], [LENGTH, 0], [LENGTH, DEPTH], [0, DEPTH]]) - [0, DEPTH / 2]
    names = ("beam", "loaded end", "beam", "held end")
    outline = Outline(Ring(corners, np.zeros(4), names))
    mesh = mesh_outline(outline)
    D = plane_stress(70_000.0, 0.33)
    end = mesh.sides[mesh.side_label == mesh.names.index("loaded end")]
    wall = mesh.sides[mesh.side_label == mesh.names.index("held end")]
    side = sides(mesh.nodes, end)
    y = side.points[..., 1]
    shear = -SHEAR / (2 * SECOND_MOMENT) * (DEPTH**2 / 4 - y**2)
    t = np.stack([np.full_like(y, PULL / DEPTH), shear], axis=-1)
    load = vector(end, traction_load(side, t), len(mesh.nodes))
    held = np.unique(wall)
    fixed = np.concatenate([2 * held, 2 * held + 1])
    u, _ = solved(mesh.nodes, mesh.triangles, D, fixed, np.zeros(len(fixed)), load)
    xx, yy, xy = smoothed(mesh.nodes, mesh.triangles, D, u).T
    nothing = np.zeros_like(xx)
    across = cuts(outline, mesh, spacing=1.0)
    line = linearised(across, np.column_stack([xx, yy, nothing, nothing, nothing, xy]))
    parts = (along_wall(across.tangent, part)[:, 0] for part in (line.membrane, line.bending))
    return across, *parts


@pytest.mark.parametrize("x", [12.0, 24.0, 36.0])
def test_the_force_and_the_moment_of_a_beam_are_found_on_a_cut(beam, verified, x):
    """σ_m = N/h; σ_b = M (h/2) / I with M = P (L − x), away from the ends."""
    across, membrane, bending = beam
    middle = (across.start + across.end) / 2
    k = int(np.abs(middle[:, 0] - x).argmin())
    at = middle[k, 0]
    assert abs(at - x) < 1
    bent = SHEAR * (LENGTH - at) * DEPTH / 2 / SECOND_MOMENT
    verified(f"beam cut at {x:g}: membrane, MPa", PULL / DEPTH, membrane[k], BEAM, within=1e-3)
    verified(f"beam cut at {x:g}: bending, MPa", bent, abs(bending[k]), BEAM, within=1e-3)
