"""Of many cases alike a few are asked every time, the others with the long tests."""

from __future__ import annotations

from collections.abc import Iterable

import pytest


def few(cases: Iterable, often: int = 1) -> list:
    """The same cases, all but the first so many marked long."""
    kept = list(cases)
    rest = [pytest.param(case, marks=pytest.mark.long) for case in kept[often:]]
    return [*kept[:often], *rest]
