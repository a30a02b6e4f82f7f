"""Where loads touch a meshed section: the hook crowns and the nipple seat."""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Bools, Floats, Ints
from rimfea.errors import MeshError
from rimfea.mesh.mesh import Mesh
from rimfea.profile.walls import Wall

# A face looks outward (towards the tyre) when it leans by less than 30° from level.
LEVEL = np.cos(np.radians(30.0))
SNAP = 1e-6


def crown(mesh: Mesh, *, right: bool) -> Ints:
    """The sides (f, 3) of one hook's crown, the level top that a rock meets."""
    middle, outward = _middles(mesh), _outward(mesh)
    on_side = middle[:, 0] > 0 if right else middle[:, 0] < 0
    top = middle[:, 1].max()
    hook = _named(mesh, Wall.BEAD_HOOK) & (middle[:, 1] > top / 2)
    return _chosen(mesh, hook & on_side & (outward[:, 1] > LEVEL), "the hook's crown")


def bead_seats(mesh: Mesh) -> Ints:
    """The sides (f, 3) of both shelves on which the tyre's beads sit."""
    seat = _named(mesh, Wall.BEAD_SEAT) & (_outward(mesh)[:, 1] > LEVEL)
    return _chosen(mesh, seat, "level bead seat")


def nipple_bearing(mesh: Mesh, hole: float, bearing: float) -> Ints:
    """The sides (f, 3) of the nipple seat on which a head of diameter ``bearing`` (mm) rests:
    the strips beside the hole on the face that looks outward.
    """
    ends = np.abs(mesh.nodes[mesh.sides[:, :2], 0])
    beside = (ends.min(axis=1) > hole / 2 - SNAP) & (ends.max(axis=1) < bearing / 2 + SNAP)
    seat = _named(mesh, Wall.NIPPLE_SEAT) & (_outward(mesh)[:, 1] > LEVEL)
    return _chosen(mesh, seat & beside, "the bearing face of the nipple seat")


def _chosen(mesh: Mesh, wanted: Bools, what: str) -> Ints:
    if not wanted.any():
        raise MeshError(f"this section has no {what}: look at the names of its edges")
    return np.asarray(mesh.sides[wanted])


def _named(mesh: Mesh, wall: Wall) -> Bools:
    number = mesh.names.index(wall) if wall in mesh.names else -1
    return np.asarray(mesh.side_label == number)


def _middles(mesh: Mesh) -> Floats:
    return mesh.nodes[mesh.sides[:, 2]]


def _outward(mesh: Mesh) -> Floats:
    start, end = mesh.nodes[mesh.sides[:, 0]], mesh.nodes[mesh.sides[:, 1]]
    along = end - start
    outward = np.column_stack([along[:, 1], -along[:, 0]])
    return np.asarray(outward / np.linalg.norm(outward, axis=1)[:, None])
