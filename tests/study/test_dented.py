"""A struck wheel as a body whose metal may yield."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import read_sheet
from rimfea.plastic.descent import Memory
from rimfea.plastic.rest import at_rest, under
from rimfea.study.dent import dent
from rimfea.study.dented import View, body_of, first_view, looked_at, pushed_in, struck
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End

pytestmark = pytest.mark.long

PROFILES = Path(__file__).parents[2] / "profiles"


@pytest.fixture(scope="module")
def setup():
    return read_setup(PROFILES / "set-ups" / "trail.toml")


@pytest.fixture(scope="module")
def plover(setup):
    """The invented plover as a rear wheel, solved coarsely."""
    sheet = read_sheet(PROFILES / "plover.toml")
    return ride(wheel_of(sheet, setup, End.REAR, coarseness=2.2), setup, End.REAR)


@pytest.fixture(scope="module")
def blow(plover):
    return struck(plover.analysis, plover.answer)


@pytest.fixture(scope="module")
def body(blow):
    view = first_view(blow)
    return body_of(blow, looked_at(blow, view), view)


def test_a_small_force_moves_the_whole_body_as_it_moves_the_wheel(plover, body):
    state = under(body, at_rest(body), np.array([200.0]), Memory())
    stiffness = plover.ladder.stiffness_N_mm
    print(f"movement by force: {200 / state.movement[0]:.0f} of {stiffness:.0f} N/mm")
    assert 200 / state.movement[0] == pytest.approx(stiffness, rel=0.02)


def test_below_first_yield_nothing_is_left(plover, body):
    start = at_rest(body)
    first = plover.answer.load_at(plover.answer.verdict.governing.first_yield)
    pushed = under(body, start, np.array([0.5 * first]), Memory())
    left = under(body, pushed, np.zeros(1), Memory())
    assert abs(left.movement[0] - start.movement[0]) < 1e-3


def test_only_the_struck_side_of_a_rim_with_a_chamber_is_looked_at(blow):
    view = first_view(blow)
    chosen, mesh = looked_at(blow, view), blow.looked.mesh
    x = mesh.nodes[mesh.triangles[chosen, :3], 0].mean(axis=1)
    assert not view.both_sides
    assert (np.sign(x) == np.sign(blow.right_share - 0.5)).all()
    assert len(looked_at(blow, View(both_sides=True))) == len(mesh.triangles)


def test_a_longer_sector_tells_the_same_dent(blow, plover):
    whole = dent(plover.analysis, plover.answer, set_mm=0.3).free
    path, view = pushed_in(blow, set_mm=0.3, view=View(8, 80.0))
    longer = replace(whole, path=path)
    print(f"0.25 mm dent: {whole.force_N(0.25):.0f} N, {longer.force_N(0.25):.0f} in a long sector")
    assert view.sectors == 8
    assert longer.force_N(0.25) == pytest.approx(whole.force_N(0.25), rel=0.03)
    assert longer.work_J(0.25) == pytest.approx(whole.work_J(0.25), rel=0.06)


def test_the_dent_of_a_ride_needs_more_than_first_yield_and_deepens_with_the_drop(plover):
    tenth, half, whole = plover.dents
    yields = next(rung for rung in plover.ladder.rungs if rung.event.value == "first yield")
    assert yields.hook_N < tenth.hook_N <= half.hook_N <= whole.hook_N
    assert yields.drop_mm < tenth.drop_mm < half.drop_mm < whole.drop_mm
    assert 0 < half.swallowed_J < half.work_J
    assert 0 < plover.own_dent_mm < 0.5
    assert plover.dent.length_mm > 5
    held = pushed_in(plover.dent.struck, set_mm=0.5, held=True, view=plover.dent.view)[0]
    print(f"0.5 mm dent: {half.work_J:.2f} J free, {held.steps[-1].work / 1000:.2f} J held")
    assert held.steps[-1].work / 1000 > 0.95 * half.work_J
