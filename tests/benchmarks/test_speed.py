"""How long a user waits, in seconds and against a yardstick of the same run; nothing is asserted
about time, because that would be about the computer.

The yardstick is one factorisation of the rim's stiffness matrix, the one step that no tidying of
ours makes faster.
"""

from __future__ import annotations

import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from rimfea.alloys import alloy
from rimfea.fem.assemble import matrix
from rimfea.fem.elements import elements
from rimfea.fem.forms import stiffness
from rimfea.fem.material import plane_strain
from rimfea.fem.solve import factorised
from rimfea.files.sheet_toml import read_sheet
from rimfea.study.analysis import analyse, analyse_slice, inspect
from tests.benchmarks.conftest import takes_minutes

pytestmark = pytest.mark.long

PROFILES = Path(__file__).parents[2] / "profiles"
PLOVER, CURLEW = PROFILES / "plover.toml", PROFILES / "curlew.toml"
PROGRAM = Path(sys.executable).parent / "rimfea"


def seconds(work, times=2):
    """The shortest of a few runs: the rest is what else the computer did."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


@pytest.fixture(scope="module")
def yardstick():
    """One factorisation, in seconds."""
    mesh = inspect(read_sheet(PLOVER)).mesh
    metal = alloy("6061-T6")
    D = plane_strain(metal.youngs_MPa, metal.poisson)
    K = matrix(mesh.triangles, stiffness(elements(mesh.nodes, mesh.triangles), D), len(mesh.nodes))
    return seconds(lambda: factorised(K, np.array([0, 1, 3])), times=5)


@pytest.fixture
def told(measured, yardstick):
    """``told(what, seconds)``: beside the yardstick."""

    def tell(what, taken):
        measured(what, taken, "factorising the slice's matrix", taken / yardstick)

    return tell


@pytest.mark.parametrize(
    ("what", "study"),
    [
        ("one rim from sheet to verdict", analyse),
        ("one rim with coarse triangles", partial(analyse, coarseness=1.6)),
        ("one rim as a slice", analyse_slice),
    ],
)
def test_one_rim_from_sheet_to_verdict(told, what, study):
    made = []
    told(what, seconds(lambda: made.append(study(read_sheet(PLOVER)))))
    assert made[0].answers


@pytest.mark.parametrize(
    ("what", "words", "times"),
    [
        ("the program's help, start to finish", ["--help"], 3),
        (
            "one rim in two wheels, without dents, start to finish",
            ["analyse", PLOVER, "--quick"],
            1,
        ),
        pytest.param(
            "the same with the dents of both wheels", ["analyse", PLOVER], 1, marks=takes_minutes
        ),
        pytest.param(
            "two rims compared, without dents, start to finish",
            ["compare", PLOVER, CURLEW, "--quick"],
            1,
            marks=takes_minutes,
        ),
    ],
)
def test_the_program_from_start_to_finish(told, what, words, times):
    done = []
    command = [PROGRAM, *words]
    told(what, seconds(lambda: done.append(_run(command)), times))
    assert all(each.returncode == 0 for each in done)


def _run(command):
    return subprocess.run(command, capture_output=True, check=False)
