"""The casing on a crown: closed forms, the crown's own profile, and the comparison of two."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rimfea.errors import LoadError, OutlineError
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, cut_every, subdivided
from rimfea.profile.build import outline
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.strike.casing import (
    LEVEL,
    Casing,
    Crown,
    crown_profile,
    force_for,
    squeeze,
)

CASING = Casing()
DUNLIN = {
    "name": "Dunlin",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.8,
    "crown_radius_mm": 0.4,
}
FAMILIES = pytest.mark.parametrize("family", DRAWN)
SIDES = pytest.mark.parametrize("right", [True, False], ids=["right", "left"])


def sheet_of(family: Family, **changes: float) -> Sheet:
    depth = 21 if family is not Family.SINGLE else 14
    return Sheet({**DUNLIN, "family": family, "overall_depth_mm": depth, **changes})


def level(width: float) -> Crown:
    return Crown(np.array([[0.0, 0.0], [width, 0.0]]))


def parabola(radius: float, half: float = 1.0, count: int = 801) -> Crown:
    x = np.linspace(-half, half, count)
    return Crown(np.column_stack([x, x**2 / (2 * radius)]))


@st.composite
def crowns(draw: st.DrawFn) -> Crown:
    """Any broken line, level pieces, hollows and repeated depths among them."""
    depth = draw(st.lists(st.sampled_from([0.0, 0.1, 0.5]) | st.floats(0, 2), min_size=2))
    step = draw(st.lists(st.floats(0.01, 1), min_size=len(depth), max_size=len(depth)))
    return Crown(np.column_stack([np.cumsum(step), np.array(depth) - min(depth)]))


def area_under(crown: Crown, pressure: np.ndarray, approach: float) -> float:
    """∫ (δ − z)₊ dx, with points added where the casing lifts off."""
    x, into = crown.x, approach - crown.depth
    k = np.flatnonzero(into[:-1] * into[1:] < 0)
    lift = x[k] + np.diff(x)[k] * into[k] / (into[k] - into[k + 1])
    every = np.concatenate([x, lift])
    order = np.argsort(every)
    return np.trapezoid(np.concatenate([pressure, 0 * lift])[order], every[order])


def test_a_level_lip_is_pressed_alike_everywhere_whatever_the_casing():
    for casing in (CASING, Casing(2.0, 50.0), Casing(5.0, 3000.0)):
        found = squeeze(level(2.5), casing, 200.0)
        assert found.pressure_MPa == pytest.approx([80.0, 80.0], rel=1e-12)
        assert found.peak_MPa == pytest.approx(80.0, rel=1e-12)
        assert found.effective_width_mm == pytest.approx(2.5, rel=1e-12)
        assert found.approach_mm == pytest.approx(80 * casing.thickness_mm / casing.modulus_MPa)


def test_a_round_crown_is_pressed_as_the_closed_form_says():
    radius, force = 1.5, 20.0
    found = squeeze(parabola(radius), CASING, force)
    a = (3 * force * radius * CASING.thickness_mm / (2 * CASING.modulus_MPa)) ** (1 / 3)
    assert found.peak_MPa == pytest.approx(CASING.stiffness * a**2 / (2 * radius), rel=1e-4)
    touched = parabola(radius).x[found.pressure_MPa > 0]
    assert touched.max() == pytest.approx(a, abs=0.0026)


@pytest.mark.parametrize(("crown", "power"), [(level(2.0), 1.0), (parabola(1.5), 2 / 3)])
def test_the_peak_grows_with_the_force_as_the_shape_says(crown, power):
    once, twice = (squeeze(crown, CASING, force).peak_MPa for force in (15.0, 30.0))
    assert twice / once == pytest.approx(2**power, rel=1e-4)


@given(crowns(), st.floats(1e-3, 1e4))
@example(Crown(np.array([[0.0, 0.0], [1.0, 5e-324], [2.0, 1.0]])), 100.0)
@example(Crown(np.array([[1.0, 0.0], [2.0, 0.0], [3.0, 0.0], [4.0, LEVEL]])), 0.0625)
def test_the_pressure_carries_the_whole_force(crown, force):
    found = squeeze(crown, CASING, force)
    carried = area_under(crown, found.pressure_MPa, found.approach_mm)
    taken_for_level = CASING.stiffness * LEVEL * crown.width_mm
    assert carried == pytest.approx(force, rel=1e-9, abs=taken_for_level)
    assert found.pressure_MPa.min() >= 0
    assert found.peak_MPa == pytest.approx(found.pressure_MPa.max(), rel=1e-12)


@given(crowns(), st.floats(1e-3, 1e4))
def test_the_force_for_a_peak_makes_that_peak(crown, peak):
    again = squeeze(crown, CASING, force_for(crown, CASING, peak)).peak_MPa
    assert again == pytest.approx(peak, rel=1e-9)


@given(crowns(), st.floats(1.0, 1e3), st.floats(0.001, 3))
def test_a_stretched_crown_is_never_pressed_harder(crown, force, wider):
    x = crown.x[0] + (crown.x - crown.x[0]) * (1 + wider / crown.width_mm)
    stretched = Crown(np.column_stack([x, crown.depth]))
    assert stretched.width_mm == pytest.approx(crown.width_mm + wider)
    assert stretched.x[0] == crown.x[0]
    before, after = (squeeze(each, CASING, force).peak_MPa for each in (crown, stretched))
    assert after < before


@given(st.sampled_from(DRAWN), st.floats(1.8, 4), st.floats(0.05, 1.5), st.floats(20, 400))
def test_a_wider_lip_of_a_rim_never_squeezes_harder(family, lip, wider, force):
    base = sheet_of(family)
    narrow, wide = (
        crown_profile(outline(base.varied(hook_lip_mm=width))) for width in (lip, lip + wider)
    )
    assert squeeze(wide, CASING, force).peak_MPa < squeeze(narrow, CASING, force).peak_MPa


@FAMILIES
@SIDES
def test_the_crown_is_as_wide_as_the_sheet_calls_the_lip(family, right):
    sheet = sheet_of(family)
    crown = crown_profile(outline(sheet), right=right)
    assert crown.width_mm == pytest.approx(sheet.hook_lip_mm, abs=1e-9)
    nearest = crown.x[0] if right else -crown.x[-1]
    assert nearest == pytest.approx(sheet.inner_width_mm / 2, abs=1e-9)


@FAMILIES
def test_both_edges_of_the_crown_are_rounded_as_drawn(family):
    crown, r = crown_profile(outline(sheet_of(family))), 0.4
    from_end = np.minimum(crown.x - crown.x[0], crown.x[-1] - crown.x)
    on_arc = from_end < r
    z = r - np.sqrt(r**2 - (r - from_end[on_arc]) ** 2)
    assert on_arc.sum() > 100
    np.testing.assert_allclose(crown.depth[on_arc], z, atol=1e-9)
    assert crown.depth[~on_arc] == pytest.approx(0, abs=1e-12)


def test_both_hooks_of_a_drawn_rim_are_mirror_images():
    drawn = outline(sheet_of(Family.HOOKED))
    right, left = (crown_profile(drawn, right=side) for side in (True, False))
    peaks = [squeeze(crown, CASING, 100.0).peak_MPa for crown in (right, left)]
    assert (right.x > 0).all()
    assert (left.x < 0).all()
    assert peaks[0] == pytest.approx(peaks[1], rel=1e-12)


def post(width: float, top: Wall = Wall.BEAD_HOOK) -> Outline:
    """A wall with a half round top, right of the middle."""
    corners = np.array([[1 + width, 0], [1 + width, 5], [1, 5], [1, 0]], dtype=float)
    names = (Wall.SIDEWALL, top, Wall.SIDEWALL, Wall.BEAD_SEAT)
    return Outline(Ring(corners, np.array([0.0, 1.0, 0.0, 0.0]), names))


def test_a_half_round_top_is_pressed_as_the_closed_form_of_its_radius_says():
    found = squeeze(crown_profile(post(3.0)), CASING, 5.0)
    a = (3 * 5.0 * 1.5 / (2 * CASING.stiffness)) ** (1 / 3)
    assert found.peak_MPa == pytest.approx(CASING.stiffness * a**2 / 3.0, rel=0.01)


def test_a_crown_traced_in_short_pieces_is_pressed_like_the_drawn_one():
    drawn = outline(sheet_of(Family.HOOKED))
    ring = subdivided(drawn.outer, cut_every(drawn.outer, sweep=np.radians(15)))[0]
    noise = np.random.default_rng(7).uniform(-0.01, 0.01, ring.corners.shape)
    traced = Outline(Ring(ring.corners + noise, 0 * ring.bulge, ring.labels))
    ours, theirs = (
        squeeze(crown_profile(each), CASING, 200.0).peak_MPa for each in (traced, drawn)
    )
    assert ours == pytest.approx(theirs, rel=0.03)


def test_what_lies_under_the_nose_of_the_hook_is_no_part_of_the_crown():
    crown = crown_profile(outline(sheet_of(Family.HOOKED, sidewall_mm=1.0)))
    assert crown.depth.max() == pytest.approx(0.4, abs=1e-9)


def test_the_bead_seat_is_no_part_of_the_crown_however_low_the_hook():
    sheet = sheet_of(Family.HOOKLESS, hook_height_mm=2.5)
    assert crown_profile(outline(sheet)).width_mm == pytest.approx(sheet.hook_lip_mm, abs=1e-9)


def test_a_leaning_wall_belongs_to_the_crown_as_deep_as_a_casing_is_thick():
    corners = np.array([[4, 0], [3, 5], [1, 5], [1, 0]], dtype=float)
    names = (Wall.SIDEWALL, Wall.BEAD_HOOK, Wall.SIDEWALL, Wall.BEAD_SEAT)
    crown = crown_profile(Outline(Ring(corners, np.zeros(4), names)))
    assert crown.depth.max() == pytest.approx(3.0, abs=0.05)
    assert crown.width_mm == pytest.approx(2 + 3 / 5, abs=0.01)


def test_a_section_without_a_hook_on_that_side_is_refused():
    with pytest.raises(OutlineError, match="on the left is named a bead hook"):
        crown_profile(post(2.0), right=False)
    with pytest.raises(OutlineError, match="on the right is named a bead hook"):
        crown_profile(post(2.0, top=Wall.SIDEWALL))


@pytest.mark.parametrize(
    "points",
    [
        [[0, 0]],
        [[0, 0, 0], [1, 0, 0]],
        [[0, 0], [0, 1]],
        [[1, 0], [0, 1]],
        [[0, 0.1], [1, 0.2]],
        [[0, -0.1], [1, 0]],
        [[0, 0], [np.nan, 1]],
        [[0, 0], [1, np.inf]],
    ],
)
def test_points_that_are_no_crown_are_refused(points):
    with pytest.raises(OutlineError, match="crown"):
        Crown(np.array(points, dtype=float))


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan, np.inf])
def test_a_casing_or_force_that_cannot_be_is_refused(bad):
    with pytest.raises(LoadError, match="thickness of the casing"):
        Casing(thickness_mm=bad)
    with pytest.raises(LoadError, match="modulus of the casing"):
        Casing(modulus_MPa=bad)
    with pytest.raises(LoadError, match="force per millimetre"):
        squeeze(level(2.0), CASING, bad)
    with pytest.raises(LoadError, match="pressure on the casing"):
        force_for(level(2.0), CASING, bad)


@pytest.mark.parametrize("force", [100.0, 300.0])
def test_the_usual_casing_keeps_a_plausible_thickness_on_a_lip_of_2_mm(force):
    crown = crown_profile(outline(sheet_of(Family.HOOKED, hook_lip_mm=2.0)))
    left = 1 - squeeze(crown, CASING, force).approach_mm / CASING.thickness_mm
    assert 0.6 < left < 0.9
