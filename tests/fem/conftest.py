"""A small body for the kernel: test modules cannot import one another, so it comes as a fixture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline


@dataclass(frozen=True)
class Body:
    """Nodes (n, 2), six-node triangles (e, 6), boundary sides (f, 3)."""

    nodes: np.ndarray
    triangles: np.ndarray
    sides: np.ndarray


@pytest.fixture(scope="session")
def plate():
    """A rounded plate with a round hole: curved sides outside and inside."""
    corners = [Corner(0, 0, "rim", 1.0), Corner(8, 0, "rim"), Corner(7, 5, "rim", 1.5),
               Corner(0, 4, "rim")]  # fmt: skip
    hole = Ring(np.array([[2.5, 2.0], [4.5, 2.0]]), np.ones(2), ("hole", "hole"))
    mesh = mesh_outline(Outline(rounded(corners), (hole,)))
    return Body(mesh.nodes, mesh.triangles, mesh.sides)


@pytest.fixture(scope="session")
def straight(plate):
    """The same plate with straight sides: on it a quadratic in x and y is a quadratic in ξ, η."""
    nodes = plate.nodes.copy()
    for a, b, middle in [(0, 1, 3), (1, 2, 4), (2, 0, 5)]:
        nodes[plate.triangles[:, middle]] = plate.nodes[plate.triangles[:, [a, b]]].mean(axis=1)
    return Body(nodes, plate.triangles, plate.sides)
