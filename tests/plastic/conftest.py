"""A small section: test modules cannot import one another, so it comes as a fixture."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.geometry.outline import Outline
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline


@pytest.fixture(scope="session")
def block():
    """A rectangle 3 mm wide and 5 mm high about the origin, of some straight triangles."""
    corners = [Corner(x, y, "rim") for x, y in ((-1.5, -2.5), (1.5, -2.5), (1.5, 2.5), (-1.5, 2.5))]
    return mesh_outline(Outline(rounded(corners), ()), coarseness=0.8)


@pytest.fixture(scope="session")
def foot(block):
    """The unknowns on its lower face."""
    nodes = np.flatnonzero(np.isclose(block.nodes[:, 1], -2.5))
    return (3 * nodes[:, None] + np.arange(3)).ravel()


@pytest.fixture(scope="session")
def corner(block):
    """A unit force (3n,) inward on the right half of the upper face."""
    nodes = np.flatnonzero(np.isclose(block.nodes[:, 1], 2.5) & (block.nodes[:, 0] > 0.4))
    load = np.zeros(3 * len(block.nodes))
    load[3 * nodes + 1] = -1 / len(nodes)
    return load
