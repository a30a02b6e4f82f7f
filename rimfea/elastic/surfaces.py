"""Where loads touch a meshed section: the hook crowns and the nipple seat."""

from __future__ import annotations

import numpy as np
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from rimfea.arrays import Bools, Floats, Ints
from rimfea.errors import MeshError
from rimfea.mesh.mesh import Mesh
from rimfea.profile.walls import Wall

# A face looks outward (towards the tyre) when it leans by less than 30° from level.
LEVEL = np.cos(np.radians(30.0))
# The crown that a rock meets is flat to within 10°, so that a rounded edge takes no part of it.
FLAT = np.cos(np.radians(10.0))
# Less than this is roughness: such a crown is as good as level.
SLOPES = np.sin(np.radians(2.0))
STRAIGHT = 1e-6  # of its length, how far the middle of a straight side lies beside its chord
SNAP = 1e-6
ABOVE_SEAT_MM = 0.15  # less is roughness of the seat, more is a ridge
STEEPEST_RIDGE = np.cos(np.radians(60.0))
CASING_MM = 1.0  # height over which the bead leans on the sidewall below the hook; assumed


def crown(mesh: Mesh, *, right: bool) -> Ints:
    """The sides (f, 3) of one hook's crown, the top that a rock meets: its straight face, level or
    sloping, or where it is round all over what is level of it.

    Between rock and rim lies the tyre, which is soft beside both: it is taken to load a sloping
    crown evenly all over. Where that slopes much, its higher edge is loaded more than that.
    """
    middle, outward = _middles(mesh), _outward(mesh)
    on_side = middle[:, 0] > 0 if right else middle[:, 0] < 0
    top = middle[:, 1].max()
    hook = _named(mesh, Wall.BEAD_HOOK) & (middle[:, 1] > top / 2) & on_side
    facing = outward @ _face(mesh, hook & (outward[:, 1] > LEVEL - SNAP))
    return _chosen(mesh, hook & (facing > FLAT), "the hook's crown")


def bead_seats(mesh: Mesh) -> Ints:
    """The sides (f, 3) of both shelves on which the tyre's beads sit, without a ridge that keeps
    them there.
    """
    middle = np.abs(_middles(mesh))
    seat = _named(mesh, Wall.BEAD_SEAT) & (_outward(mesh)[:, 1] > LEVEL)
    x = middle[seat, 0]
    beside_well = middle[:, 0] < (x.min(initial=np.inf) + x.max(initial=0.0)) / 2
    seat &= ~(beside_well & (_middles(mesh)[:, 1] > ABOVE_SEAT_MM))
    return _chosen(mesh, seat, "level bead seat")


def tyre_side(mesh: Mesh) -> Ints:
    """The sides (f, 3) that the air presses on: bead seats, well and the inner faces of the
    sidewalls, to which the tyre's bead passes it on.
    """
    middle, outward = _middles(mesh), _outward(mesh)
    named = (
        _named(mesh, Wall.BEAD_SEAT) | _named(mesh, Wall.TYRE_WELL) | _named(mesh, Wall.SIDEWALL)
    )
    if Wall.FLANK not in mesh.names:  # a single wall: the air reaches the spoke bed
        named |= _named(mesh, Wall.SPOKE_BED) | _named(mesh, Wall.NIPPLE_SEAT)
    # What looks up looks at the air, the face of a ridge too, which leans away from the well.
    inward = (outward[:, 0] * middle[:, 0] <= SNAP) | (outward[:, 1] > STEEPEST_RIDGE)
    looks_in = (outward[:, 1] > -SNAP) & inward
    return _chosen(mesh, named & looks_in & _outside(mesh), "face for the air to press on")


def casing_pull(mesh: Mesh, *, right: bool) -> Ints:
    """The sides (f, 3) on which the casing pulls outward: the uppermost millimetre of a sidewall's
    inner face, right under the hook where there is one.
    """
    middle, outward = _middles(mesh), _outward(mesh)
    inward = outward[:, 0] < -LEVEL if right else outward[:, 0] > LEVEL
    on_side = middle[:, 0] > 0 if right else middle[:, 0] < 0
    face = _named(mesh, Wall.SIDEWALL) & inward & on_side & (middle[:, 1] > 0)
    top = middle[face, 1].max(initial=0.0)
    return _chosen(mesh, face & (middle[:, 1] > top - CASING_MM), "inner face of the sidewall")


def nipple_bearing(mesh: Mesh, hole: float, bearing: float, offset: float = 0.0) -> Ints:
    """The sides (f, 3) of the nipple seat on which a head of diameter ``bearing`` (mm) rests:
    the strips beside the hole, ``offset`` mm to the right, on the face that looks outward.
    """
    ends = np.abs(mesh.nodes[mesh.sides[:, :2], 0] - offset)
    beside = (ends.min(axis=1) > hole / 2 - SNAP) & (ends.max(axis=1) < bearing / 2 + SNAP)
    seat = _named(mesh, Wall.NIPPLE_SEAT) & (_outward(mesh)[:, 1] > LEVEL)
    return _chosen(mesh, seat & beside, "the bearing face of the nipple seat")


def _face(mesh: Mesh, top: Bools) -> Floats:
    """The unit normal (2,) of the straight face among the sides (f,) at the top of a hook: the one
    with half of the straight length on either side of it.
    """
    level = np.array([0.0, 1.0])
    start, end, middle = (mesh.nodes[mesh.sides[:, k]] for k in range(3))
    length = np.linalg.norm(end - start, axis=1)
    bow = np.linalg.norm(middle - (start + end) / 2, axis=1)
    straight = np.flatnonzero(top & (bow < STRAIGHT * length))
    if not len(straight):
        return level
    across = _outward(mesh)[straight, 0]
    order = across.argsort()
    total = np.cumsum(length[straight][order])
    lean = across[order][np.searchsorted(total, total[-1] / 2)]
    return level if abs(lean) < SLOPES else np.array([lean, np.sqrt(1 - lean**2)])


def _outside(mesh: Mesh) -> Bools:
    """Which sides (f,) are on the outer ring: the one that reaches the crown."""
    n = len(mesh.nodes)
    linked = sparse.coo_array(
        (np.ones(len(mesh.sides)), (mesh.sides[:, 0], mesh.sides[:, 1])), shape=(n, n)
    )
    _, ring = connected_components(linked, directed=False)
    own = ring[mesh.sides[:, 0]]
    return np.asarray(own == own[_middles(mesh)[:, 1].argmax()])


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
