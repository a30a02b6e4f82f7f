"""From sheet to verdict: what must hold whatever the rim."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.elastic.loads import Case, SpokeTension, Strike
from rimfea.elastic.slice import solve_slice
from rimfea.errors import LoadError
from rimfea.mesh.mesh import Mesh
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Family, Wall
from rimfea.study.analysis import Analysis, analyse, inspect
from rimfea.study.cases import BOTH_HOOKS, ONE_HOOK, TENSION, Loading
from rimfea.study.thicker import thicker

WHIMBREL = {
    "name": "Whimbrel",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
}


def sheet_of(family: Family = Family.HOOKED, **changes: float) -> Sheet:
    depth = {} if family.has_chamber else {"overall_depth_mm": 14}
    return Sheet.from_values({**WHIMBREL, "family": family, **depth, **changes})


@pytest.fixture(scope="module", params=Family)
def rim(request) -> Analysis:
    return analyse(sheet_of(request.param), coarseness=1.5)


@pytest.fixture(scope="module")
def looked() -> Analysis:
    return inspect(sheet_of(), coarseness=1.5)


def fields(looked: Analysis, *cases: Case):
    return solve_slice(looked.mesh, looked.sheet.metal, looked.sheet.seat_radius_mm, cases)


def on(right_share: float, angle: float = 0.0) -> Case:
    return Case("strike", (Strike(2000, 20, right_share=right_share, angle=angle),))


def test_three_cases_each_with_a_verdict_on_every_wall(rim):
    assert [each.name for each in rim.answers] == [BOTH_HOOKS, ONE_HOOK, TENSION]
    for answer in rim.answers:
        assert {each.wall for each in answer.verdict.walls} == set(rim.sheet.walls)


def test_the_verdict_rests_on_the_strike_on_both_hooks(rim):
    assert rim.governing.name == BOTH_HOOKS


def test_every_answer_is_in_balance(rim):
    for answer in rim.answers:
        assert answer.field.evidence.reaction < 1e-8
        assert answer.field.evidence.residual < 1e-8


def test_twice_the_load_is_twice_the_utilisation(rim):
    usual = rim.loading
    double = Loading(2 * usual.strike_N, usual.patch_mm, usual.angle, 2 * usual.tension_N)
    again = analyse(rim.sheet, loading=double, coarseness=1.5)
    for once, twice in zip(rim.answers, again.answers, strict=True):
        pairs = zip(once.verdict.walls, twice.verdict.walls, strict=True)
        for before, after in pairs:
            assert after.wall == before.wall
            assert after.first_yield == pytest.approx(2 * before.first_yield, rel=1e-7)
            assert after.hinge == pytest.approx(2 * before.hinge, rel=1e-7)


def mirrored(mesh: Mesh) -> Mesh:
    """The mesh in the mirror of x = 0, triangles counter-clockwise again."""
    return replace(
        mesh,
        nodes=mesh.nodes * np.array([-1.0, 1.0]),
        triangles=mesh.triangles[:, [0, 2, 1, 5, 4, 3]],
        sides=mesh.sides[:, [1, 0, 2]],
    )


def test_a_strike_on_the_left_is_the_mirror_image_of_one_on_the_right(looked):
    lean = np.radians(20)
    (right,) = fields(looked, on(1.0, lean))
    (left,) = fields(replace(looked, mesh=mirrored(looked.mesh)), on(0.0, -lean))
    flipped = left.stress * np.array([1, 1, 1, -1, 1, -1])
    assert np.abs(flipped - right.stress).max() < 1e-7 * np.abs(right.stress).max()


def test_a_strike_on_both_hooks_is_half_the_sum_of_right_and_left(looked):
    right, left, both = fields(looked, on(1.0), on(0.0), on(0.5))
    for part in ("displacement", "stress"):
        half = (getattr(right, part) + getattr(left, part)) / 2
        gap = np.abs(getattr(both, part) - half).max()
        assert gap < 1e-9 * np.abs(half).max()


def test_two_loads_in_one_case_add_up(looked):
    sheet = looked.sheet
    tension = SpokeTension(1000, sheet.spoke_count, sheet.spoke_hole_mm, sheet.bearing_diameter_mm)
    strike = Strike(2000, 20)
    one, other, sum_of_both = fields(
        looked, Case("a", (strike,)), Case("b", (tension,)), Case("c", (strike, tension))
    )
    gap = np.abs(sum_of_both.stress - one.stress - other.stress).max()
    assert gap < 1e-9 * np.abs(one.stress).max()


@pytest.mark.parametrize("family", Family)
def test_a_thicker_sidewall_never_yields_at_a_lower_load(family):
    """Both hooks struck straight on, the outer face where it was: the wall grows inward."""
    struck = []
    for sidewall in (1.2, 1.5, 1.8):
        lip = sidewall + 1.1 if family is Family.HOOKLESS else 2.9
        sheet = sheet_of(family, sidewall_mm=sidewall, hook_lip_mm=lip)
        answer = next(each for each in analyse(sheet).answers if each.name == BOTH_HOOKS)
        struck.append(_utilisation(answer, Wall.SIDEWALL))
    assert struck == sorted(struck, reverse=True), struck


def _utilisation(answer, wall: Wall) -> float:
    return next(each.first_yield for each in answer.verdict.walls if each.wall == wall)


@pytest.mark.parametrize("wall", [Wall.SIDEWALL, Wall.TYRE_WELL, Wall.NIPPLE_SEAT])
def test_thickening_a_wall_costs_mass_and_leaves_the_rest_of_the_sheet(rim, wall):
    found = thicker(rim, wall)
    assert found is not None
    assert found.wall == wall
    assert 0 < found.mass_g < 60
    assert 0.85 < found.strength < 1.4


def test_thickening_the_governing_wall_makes_the_rim_stronger(rim):
    governing = Wall(rim.governing.verdict.governing.wall)
    found = thicker(rim, governing, step_mm=0.3)
    assert found is not None
    assert found.strength > 1.02


def test_a_wall_that_cannot_grow_gives_no_answer():
    tight = analyse(sheet_of(tyre_well_depth_mm=10.1), coarseness=2)
    assert thicker(tight, Wall.TYRE_WELL, step_mm=0.5) is None


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"strike_N": 0.0}, "force"),
        ({"strike_N": float("nan")}, "force"),
        ({"patch_mm": -1.0}, "length of rim"),
        ({"tension_N": 0.0}, "tension"),
        ({"angle": 1.5}, "allowed -75 to 75"),
    ],
)
def test_a_loading_that_cannot_be_is_refused(change, told):
    with pytest.raises(LoadError, match=told):
        analyse(sheet_of(), loading=replace(Loading(), **change), coarseness=2)


def test_a_look_needs_no_load_and_knows_the_weighed_mass():
    weighed = inspect(sheet_of(weighed_mass_g=500), coarseness=2)
    assert weighed.answers == ()
    difference = weighed.mass_difference
    assert difference is not None
    assert inspect(sheet_of(), coarseness=2).mass_difference is None
