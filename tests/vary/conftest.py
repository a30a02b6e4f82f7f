"""Bare rims whose tones are found on a coarse mesh."""

from __future__ import annotations

import pytest

from rimfea.vary import tap as rings
from tests.numbers import COARSE_TONES


@pytest.fixture(scope="module")
def coarse_tones():
    """The coarseness that tones have in a module that asks for it."""
    rings._rung.cache_clear()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rings, "COARSE", COARSE_TONES)
        yield
    rings._rung.cache_clear()
