"""What is measured here is worked out each time."""

from __future__ import annotations

import pytest

from rimfea.elastic.harmonics import solve_harmonics
from rimfea.study.analysis import solved as judged


@pytest.fixture(autouse=True)
def every_ring_anew(monkeypatch):
    monkeypatch.setattr("rimfea.elastic.ring.solve_harmonics", solve_harmonics)
    for module in ("study.analysis", "vary.datum", "web.bench"):
        monkeypatch.setattr(f"rimfea.{module}.solved", judged)
