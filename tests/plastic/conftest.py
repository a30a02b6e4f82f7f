"""A small section: test modules cannot import one another, so it comes as a fixture."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import sparse

from rimfea.geometry.outline import Outline
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline
from rimfea.plastic.metal import Linear

RADIUS = 40.0
METAL = (70e3, 0.3, Linear(240.0, 1000.0))


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


@pytest.fixture
def struck(block, foot, corner, pushed):
    """``struck(large)``: the block on its foot, struck inward on its right upper corner in each of
    six sectors, over 8 mm; with ``aside`` the same corner may be pushed along the axis too.
    """

    def make(*, large=True, aside=False, metal=METAL):
        d = len(corner)
        held = sparse.eye_array(d).tocsr()[foot]
        loads = [corner, np.roll(-corner, -1)] if aside else [corner]
        return pushed(block.nodes, block.triangles, RADIUS, metal, loads, held,
                      repeats=6, half_angle=0.1, highest=48, large=large)  # fmt: skip

    return make


@pytest.fixture
def first_force():
    """The force (N) at which metal of a body first flows."""
    return lambda body: body.window.first_yield(body.unit[0])
