"""A nodal field at any point of the mesh."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats, Ints
from rimfea.brief import brief
from rimfea.fem.shape import shape_functions, shape_slopes
from rimfea.mesh.locate import barycentric, containing

NEWTON_STEPS = 4


@dataclass(frozen=True)
class Places:
    """Points found in a mesh: their triangle's nodes (p, 6) and shape functions N (p, 6)."""

    nodes: Ints
    N: Floats

    __repr__ = brief

    def __call__(self, field: Floats) -> Floats:
        """The field (n, k), in the nodes, at the points (p, k)."""
        return np.einsum("pa,pak->pk", self.N, field[self.nodes])


def places(nodes: Floats, triangles: Ints, points: Floats) -> Places:
    """Find points (p, 2) in six-node triangles (e, 6), curved sides included (Newton)."""
    corners = nodes[triangles[:, :3]]
    found = containing(corners, points)
    x = nodes[triangles[found]]
    local = barycentric(corners[found], points)[:, 1:]
    for _ in range(NEWTON_STEPS):
        gap = points - np.einsum("pa,pai->pi", shape_functions(local), x)
        J = np.einsum("paj,pai->pij", shape_slopes(local), x)
        local = local + np.linalg.solve(J, gap[..., None])[..., 0]
    return Places(triangles[found], shape_functions(local))
