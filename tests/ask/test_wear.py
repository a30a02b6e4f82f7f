"""How thin a rim brake may wear the sidewalls."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.ask.wear import LEAST_MM, THINNEST, wear, worn
from rimfea.errors import LoadError
from rimfea.geometry.outline import moments
from rimfea.profile.build import outline as drawn
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.walls import Wall
from rimfea.study.analysis import analyse
from rimfea.study.cases import INFLATION, Loading

pytestmark = pytest.mark.long

SIX_BAR = Loading(pressure_MPa=0.6)


@pytest.fixture(scope="module")
def found(sheet_of):
    """A wear of the rim, or one with other utilisations: ``found(first_yield=...)``."""
    computed = wear(sheet_of(), SIX_BAR, coarseness=1.6)
    return lambda **changed: replace(computed, **changed)


@pytest.mark.parametrize("family", DRAWN)
def test_wear_takes_metal_off_both_outer_faces_of_the_sidewalls_and_nowhere_else(sheet_of, family):
    sheet = sheet_of(family)
    new = drawn(sheet)
    old = worn(new, 0.5)
    corners, half = new.outer.corners, sheet.outer_width_mm / 2
    faces = [
        k
        for k, name in enumerate(new.outer.labels)
        if name == Wall.SIDEWALL and np.isclose(abs(corners[k, 0]), half)
    ]
    heights = [abs(np.diff(corners[[k, k + 1], 1]).item()) for k in faces]
    assert len(faces) == 2
    assert moments(new)[0] - moments(old)[0] == pytest.approx(0.5 * sum(heights))
    assert moments(old)[1] == pytest.approx(0, abs=1e-9)  # both sides alike
    assert all(corner.tolist() in old.outer.corners.tolist() for corner in corners)
    steps = ["sidewall"] * 4  # no tyre's air on them, so no bead seat's
    assert sorted(old.labels) == sorted([*new.labels, *steps])
    assert [ring.corners.tolist() for ring in old.holes] == [
        ring.corners.tolist() for ring in new.holes
    ]


@pytest.mark.parametrize("family", DRAWN)
def test_the_thinner_the_sidewall_the_more_it_bends_and_the_less_it_bears(sheet_of, family):
    found = wear(sheet_of(family, brake="rim"), SIX_BAR, thicknesses=[1.0, 0.6], coarseness=1.6)
    assert found.thickness_mm.tolist() == [1.5, 1.0, 0.6]
    for rising in (found.bending_MPa, found.first_yield, found.hinge):
        assert (np.diff(rising) > 0).all()
    assert (np.diff(found.first_yield_MPa) < 0).all()
    assert (found.hinge_MPa > found.first_yield_MPa).all()


@pytest.mark.parametrize(
    "family",
    [
        Family.HOOKED,
        Family.SINGLE,
        pytest.param(Family.HOOKLESS, marks=pytest.mark.long),
        pytest.param(Family.THICKENED, marks=pytest.mark.long),
    ],
)
def test_it_agrees_with_the_full_analysis_of_a_worn_rim(sheet_of, family, monkeypatch):
    """With its cuts; what is left out are the shorter waves that spokes make."""
    sheet = sheet_of(family, brake="rim")
    thinnest = min(sheet.thickness(wall) for wall in sheet.walls)
    monkeypatch.setattr("rimfea.ask.wear.STATIONS", 2 * sheet.sidewall_mm / thinnest)
    ours = wear(sheet, SIX_BAR, thicknesses=[0.7], coarseness=1.6)
    full = analyse(sheet, loading=SIX_BAR, outline=worn(drawn(sheet), 0.8), coarseness=1.6)
    inflated = next(each for each in full.answers if each.name == INFLATION)
    wall = next(each for each in inflated.verdict.walls if each.wall == Wall.SIDEWALL)
    assert ours.first_yield[-1] == pytest.approx(wall.first_yield, rel=0.03)
    assert ours.hinge[-1] == pytest.approx(wall.hinge, rel=0.02)


def test_at_the_limit_the_sidewall_bears_just_the_margin(sheet_of, found):
    limit = found().margin_gone_mm
    again = wear(sheet_of(), SIX_BAR, thicknesses=[limit], coarseness=1.6)
    assert THINNEST * 1.5 < limit < 1.5
    assert again.first_yield[-1] == pytest.approx(1 / found().margin, rel=0.02)
    assert found().limit_mm == max(limit, LEAST_MM)
    assert found().left_mm == pytest.approx(1.5 - max(limit, LEAST_MM))


def test_where_the_margin_is_missing_today_nothing_is_left_to_wear(found):
    gone = found(margin=50.0)
    assert gone.margin_gone_mm == np.inf
    assert (gone.limit_mm, gone.left_mm) == (np.inf, 0)


def test_tension_that_is_too_much_alone_leaves_nothing_to_wear(found):
    never = found(first_yield=np.full(7, np.inf))
    assert never.margin_gone_mm == np.inf
    assert never.first_yield_MPa.tolist() == [0] * 7


def test_a_margin_kept_by_the_thinnest_sidewall_ends_wear_at_what_is_common_practice(found):
    kept = found(margin=1.0, first_yield=np.linspace(0.1, 0.5, 7))
    assert kept.margin_gone_mm is None
    assert kept.limit_mm == LEAST_MM


def test_between_two_thicknesses_the_root_of_the_factor_is_interpolated(found):
    """A strip's factor goes with the square of its thickness: that is met exactly."""
    t = found().thickness_mm
    strip = found(first_yield=0.1 * (1.5 / t) ** 2, hinge=0.6 * (1.5 / t) ** 2)
    assert strip.margin_gone_mm == pytest.approx(1.5 * np.sqrt(0.2))
    assert strip.hinge_mm == pytest.approx(1.5 * np.sqrt(0.6))


def test_what_the_mesh_makes_better_with_wear_is_not_believed(found):
    use = np.array([0.2, 0.3, 0.6, 0.4, 0.45, 0.7, 0.8])
    t = found().thickness_mm
    assert t[2] < found(first_yield=use).margin_gone_mm < t[1]


@pytest.mark.parametrize(("mark", "limit"), [(1.2, 1.2), (0.4, 1.125)])
def test_the_makers_mark_ends_wear_before_the_margin_but_does_not_extend_it(found, mark, limit):
    t, sheet = found().thickness_mm, found().sheet.varied(wear_mark_mm=mark)
    strip = found(sheet=sheet, first_yield=0.28125 * (1.5 / t) ** 2)
    assert strip.limit_mm == pytest.approx(limit)
    assert strip.left_mm == pytest.approx(1.5 - limit)


@pytest.mark.parametrize("margin", [0.9, 0, -1, float("nan"), float("inf")])
def test_a_margin_below_one_is_none(sheet_of, margin):
    with pytest.raises(LoadError, match="margin"):
        wear(sheet_of(), SIX_BAR, margin)


def test_a_tyre_narrower_than_the_rim_is_refused(sheet_of):
    with pytest.raises(LoadError, match="too narrow for a rim 25 mm wide"):
        wear(sheet_of(), Loading(tyre_width_mm=25))


@pytest.mark.parametrize("thickness", [0, -0.1, 1.6, float("nan")])
def test_wear_never_adds_metal_nor_takes_it_all(sheet_of, thickness):
    with pytest.raises(ValueError, match=r"thinner than today's 1\.5 mm"):
        wear(sheet_of(), SIX_BAR, thicknesses=[thickness])
