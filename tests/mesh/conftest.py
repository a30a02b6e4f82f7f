"""Outlines to mesh: test modules cannot import one another, so they come as fixtures."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline


def box_with_chamber():
    """A rounded box, 20 × 12 mm, walls of 2 and 1.5 mm, named by their place."""
    outer = [Corner(0, 0, "floor", 1.5), Corner(20, 0, "right", 1.5), Corner(20, 12, "roof", 1.0),
             Corner(0, 12, "left", 1.0)]  # fmt: skip
    inner = [Corner(1.5, 2, "floor", 0.8), Corner(18.5, 2, "right", 0.8),
             Corner(18.5, 10, "roof", 0.8), Corner(1.5, 10, "left", 0.8)]  # fmt: skip
    return Outline(rounded(outer), (rounded(inner),))


def ring_of(radius, centre, names):
    ends = np.array([[-radius, 0.0], [radius, 0.0]]) + centre
    return Ring(ends, np.ones(2), names)


def tube_outline(radius, thickness):
    """A round tube in two halves."""
    names = ("below", "above")
    outer, inner = (ring_of(r, (0.0, 0.0), names) for r in (radius, radius - thickness))
    return Outline(outer, (inner,))


@pytest.fixture(scope="session")
def box():
    return box_with_chamber()


@pytest.fixture(scope="session")
def box_mesh(box):
    return mesh_outline(box)


@pytest.fixture(scope="session")
def tube():
    """The function :func:`tube_outline`."""
    return tube_outline


@pytest.fixture(scope="session")
def circle():
    """The function :func:`ring_of`."""
    return ring_of
