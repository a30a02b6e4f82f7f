"""What is measured here is worked out each time, and told as ratios of two times of one run."""

from __future__ import annotations

import csv
import os
from dataclasses import astuple, dataclass
from pathlib import Path

import pytest

from rimfea.elastic.harmonics import solve_harmonics
from rimfea.study.analysis import solved as judged

KEPT = "RIMFEA_BENCHMARKS_CSV"  # the file that the ratios go to, if it is asked for
HEAD = ("test", "what", "seconds", "beside", "ratio")
takes_minutes = pytest.mark.skipif(
    KEPT not in os.environ, reason=f"takes minutes: measured where {KEPT} is set"
)


@dataclass(frozen=True)
class Ratio:
    """``what`` took so many seconds, ``ratio`` times as long as what stood ``beside`` it."""

    test: str
    what: str
    seconds: str
    beside: str
    ratio: str


RATIOS = pytest.StashKey[list[Ratio]]()


@pytest.fixture(autouse=True)
def every_ring_anew(monkeypatch):
    monkeypatch.setattr("rimfea.elastic.ring.solve_harmonics", solve_harmonics)
    for module in ("study.analysis", "vary.datum", "web.bench"):
        monkeypatch.setattr(f"rimfea.{module}.solved", judged)


@pytest.fixture
def measured(request):
    """``measured(what, seconds, beside, ratio)`` prints a line, past the capture of output, and
    keeps it for the document.
    """
    capture = request.config.pluginmanager.getplugin("capturemanager")
    kept = request.config.stash.setdefault(RATIOS, [])

    def tell(what, seconds, beside, ratio):
        row = Ratio(request.path.name, what, two_digits(seconds), beside, two_digits(ratio))
        kept.append(row)
        with capture.global_and_fixture_disabled():
            print(f"\n{what}: {row.seconds} s, {row.ratio} times {beside}", end="")

    return tell


def pytest_terminal_summary(config):
    """The rows of this run in the place of those of the last; what was not run now stays."""
    rows = config.stash.get(RATIOS, [])
    if not rows or KEPT not in os.environ:
        return
    path = Path(os.environ[KEPT])
    found = {}
    if path.exists():
        with path.open(encoding="utf-8", newline="") as file:
            found = {(row["test"], row["what"]): row for row in csv.DictReader(file)}
    for row in rows:
        found[row.test, row.what] = dict(zip(HEAD, astuple(row), strict=True))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, HEAD, lineterminator="\n")
        writer.writeheader()
        writer.writerows(sorted(found.values(), key=lambda row: row["test"]))


def two_digits(number):
    """Without an exponent: 0.24, 1.0, 770."""
    rounded = float(f"{number:.2g}")
    return f"{rounded:.1f}" if 1 <= rounded < 10 else f"{rounded:g}"
