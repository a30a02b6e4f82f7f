"""What a search for a design takes of the memory and what it gives back: asked of a process that
does nothing else, by the kernel's own account of it.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from rimfea.ask.design import design
from rimfea.files.sheet_toml import read_sheet
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import datum
from tests.benchmarks.conftest import takes_minutes

pytestmark = [pytest.mark.long, takes_minutes]

STATUS = Path("/proc/self/status")
OUZEL = Path(__file__).parents[2] / "profiles" / "ouzel.toml"
WALLS = ("bead_hook_mm", "sidewall_mm", "flank_mm")
MOST_GB = 1.1  # at its peak; 3.8 where places keep their factors
LEFT_GB = 0.4  # once the search has ended and its answer is let go: its start keeps its factors


def memory(what):
    """Now (VmRSS) or at its peak (VmHWM), of this process alone, in GB."""
    return int(STATUS.read_text().split(f"{what}:")[1].split()[0]) / 1e6


def searched():
    """How much was held before a search, at its peak, and after it."""
    around = datum(read_sheet(OUZEL), Setup.from_values({"name": "moor"}), End.REAR, coarseness=2.5)
    before = memory("VmRSS")
    found = design(around, keep={"yield_N": None}, keys=WALLS, finest=2.0)
    assert found.trials > 1
    del found
    return before, memory("VmHWM"), memory("VmRSS")


@pytest.mark.skipif(not STATUS.exists(), reason="reads Linux's own account")
def test_a_search_stays_small_and_gives_back_what_it_took(request):
    code = f"import runpy; print(*runpy.run_path({str(Path(__file__))!r})['searched']())"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    before, peak, after = (float(word) for word in out.stdout.split())
    capture = request.config.pluginmanager.getplugin("capturemanager")
    with capture.global_and_fixture_disabled():
        print(f"\na search: {before:.2f} GB before, {peak:.2f} at its peak, {after:.2f} after")
    assert peak < MOST_GB
    assert after - before < LEFT_GB
