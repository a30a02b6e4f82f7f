"""The mesh: six-node triangles, each with the name of the wall it belongs to."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats, Ints
from rimfea.brief import brief
from rimfea.errors import MeshError


@dataclass(frozen=True)
class Quality:
    """What a reader needs to trust a mesh.

    ``smallest_angle_deg`` over all corner triangles; ``area_error`` the meshed area against
    the exact one, relative; ``across`` the fewest quadratic elements met on any chord across
    a wall.
    """

    triangles: int
    nodes: int
    smallest_angle_deg: float
    area_error: float
    across: int


@dataclass(frozen=True)
class Mesh:
    """Six-node triangles on an outline.

    ``nodes`` (n, 2) in mm. ``triangles`` (e, 6): corners counter-clockwise, then the nodes
    between corners 0-1, 1-2, 2-0. ``sides`` (f, 3): boundary sides as start, end and middle
    node with the metal on the left. ``triangle_label`` (e,) and ``side_label`` (f,) index
    ``names``.
    """

    nodes: Floats
    triangles: Ints
    sides: Ints
    triangle_label: Ints
    side_label: Ints
    names: tuple[str, ...]
    quality: Quality

    __repr__ = brief

    def __post_init__(self) -> None:
        if self.triangles.ndim != 2 or self.triangles.shape[1] != 6:
            raise MeshError("a mesh needs six nodes for each triangle")
        if len(self.triangle_label) != len(self.triangles):
            raise MeshError("a mesh needs one label for each triangle")
        if len(self.side_label) != len(self.sides):
            raise MeshError("a mesh needs one label for each boundary side")
        if self.triangles.max(initial=-1) >= len(self.nodes):
            raise MeshError("a triangle names a node that does not exist")


def smallest_angles(corners: Floats) -> Floats:
    """Smallest angle (e,) of each triangle with corners (e, 3, 2), radians."""
    a, b, c = (corners[:, k] for k in range(3))
    return np.minimum(np.minimum(_angle(a, b, c), _angle(b, c, a)), _angle(c, a, b))


def _angle(at: Floats, left: Floats, right: Floats) -> Floats:
    u, v = left - at, right - at
    cross = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    return np.asarray(np.abs(np.arctan2(cross, (u * v).sum(axis=1))))
