"""A small rim of one's own, its faults put in by hand."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.traced.drawing import Drawing, trail

RIGHT = [(5, -15), (14, -2), (14, 6), (11, 6), (11, 4.4), (12.6, 3.8), (12.6, 0), (9, 0), (8, -3.5)]
HOLLOW = [(5.2, -12.6), (12.9, -1.4), (10.1, -1.4), (9, -4.7)]


def both(half):
    return np.array([*half, *((-x, y) for x, y in reversed(half))], dtype=float)


@pytest.fixture
def outer():
    """The outer ring, counter-clockwise."""
    return both(RIGHT)


@pytest.fixture
def hollow():
    """Its chamber, clockwise as a hole runs."""
    return both(HOLLOW)[::-1]


@pytest.fixture
def drawn():
    """A drawing of closed rings, or of what lines are given: ``drawn(outer, hollow)``."""

    def make(*rings, lines=(), unit="mm"):
        closed = [trail(ring, is_closed=True, where=f"ring {k}") for k, ring in enumerate(rings, 1)]
        return Drawing((*closed, *lines), "rim.dxf", unit, "as the file says")

    return make
