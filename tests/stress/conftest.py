from __future__ import annotations

import pytest


@pytest.fixture(scope="session")
def rim(whimbrel):
    """A solved rim."""
    return whimbrel
