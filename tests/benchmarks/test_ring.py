"""What the ring costs, against yardsticks of the same run; nothing is asserted about time,
because that would be about the computer.
"""

from __future__ import annotations

import runpy
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from rimfea.elastic.loads import Strike
from rimfea.elastic.ring import solve_ring
from rimfea.elastic.ring_field import solve_loads
from rimfea.elastic.spokes import Lacing, spokes
from rimfea.fem.solve import factorised
from rimfea.files.sheet_toml import read_sheet
from rimfea.study.analysis import inspect

pytestmark = pytest.mark.long

TESTS = Path(__file__).parents[1]
PROFILES = TESTS.parent / "profiles"
HIGHEST = 400
YARDSTICK = 20  # factorisations
STRIKE = Strike(force_N=2000.0, patch_mm=20.0, right_share=0.5)
MOST_MEMORY_GB = 1.0


def best(work, times=3):
    """The shortest of a few runs in seconds, and the result: the rest is what else went on."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        result = work()
        taken.append(time.perf_counter() - start)
    return min(taken), result


def rim(coarseness):
    """A demo rim: a function that solves it anew, with as many triangles as it has."""
    sheet = read_sheet(PROFILES / "curlew.toml")
    mesh = inspect(sheet, coarseness=coarseness).mesh
    laced = spokes(Lacing(count=sheet.spoke_count), sheet.seat_radius_mm - 12.0)
    bearing = (sheet.spoke_hole_mm, sheet.bearing_diameter_mm)

    def solved():
        return solve_ring(mesh, sheet.metal, sheet.seat_radius_mm, laced, bearing, HIGHEST)

    return solved, len(mesh.triangles)


@pytest.mark.parametrize("coarseness", [0.8, 1.6])
def test_a_ring_and_one_strike_against_factorisations(measured, coarseness):
    solve, triangles = rim(coarseness)
    ring_time, ring = best(solve)
    strike_time, (field,) = best(lambda: solve_loads(ring, [[STRIKE]]))

    def factorisations():
        for n in range(2, 2 + YARDSTICK):
            factorised(ring.body.at(n), np.array([], dtype=np.int64))

    yardstick, _ = best(factorisations)
    whole = ring_time + strike_time
    measured(
        f"a ring of {triangles} triangles, {HIGHEST + 1} harmonics, and one strike",
        whole,
        f"factorising K(n) {YARDSTICK} times",
        whole / yardstick,
    )
    assert ring.harmonics.error < 1e-3
    assert field.unbalanced < 1e-3


def test_ten_load_cases_against_one(measured):
    ring_time, ring = best(rim(1.6)[0])
    cases = [[Strike(2000.0, 10.0 + 3 * k, right_share=k / 9)] for k in range(10)]
    once, _ = best(lambda: solve_loads(ring, cases[:1]), times=9)
    tenfold, fields = best(lambda: solve_loads(ring, cases), times=9)
    measured(
        "a ring and ten strikes",
        ring_time + tenfold,
        "a ring and one strike",
        (ring_time + tenfold) / (ring_time + once),
    )
    assert len(fields) == 10


def test_the_ring_against_a_solid_of_equal_accuracy(measured):
    """One sector, a twelfth of the rim: all of it would cost the solid more than twelve times
    as much, the ring nothing.
    """
    solid = runpy.run_path(str(TESTS / "verification" / "test_solid.py"))
    solid_time, (theirs, where) = best(solid["solid"], times=1)
    ring_time, ours = best(lambda: solid["ring"](where))
    measured(
        f"a twelfth of the rim as a solid of hexahedra, as exact, {theirs.unknowns} unknowns",
        solid_time,
        f"every harmonic of the whole ring, {ours.unknowns} unknowns",
        solid_time / ring_time,
    )
    np.testing.assert_allclose(ours.crown[0, 0], theirs.crown[0, 0], rtol=5e-3)


# Read by the process that solved, of its own memory alone: `ru_maxrss` is handed down from the
# process that started it (Linux, getrusage(2)), so after a long run of tests it tells their peak.
OWN_PEAK = "int(open('/proc/self/status').read().split('VmHWM:')[1].split()[0])"


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads Linux's own account")
def test_memory_stays_below_what_a_small_computer_has():
    ballast = np.ones(int(MOST_MEMORY_GB * 1.5e9) // 8)  # of this process; must not be counted
    code = (
        "import runpy; "
        f"made = runpy.run_path({str(Path(__file__))!r}); "
        "solve, triangles = made['rim'](0.8); ring = solve(); "
        "made['solve_loads'](ring, [[made['STRIKE']]]); "
        f"print(triangles, {OWN_PEAK})"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    del ballast
    triangles, kilobytes = (int(word) for word in out.stdout.split())
    peak = kilobytes / 1e6
    assert triangles > 1000
    assert peak < MOST_MEMORY_GB
