"""What a rim would be with other numbers."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimfea.ask.sweep import DECIDED, Point, Sweep, Swept, points, swept
from rimfea.errors import SheetError
from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import read_sheet
from rimfea.picture.sweep import MOOR
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.moved import dimensions, movable
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.cases import Loading
from rimfea.study.outcome import BY_KEY, outcomes
from rimfea.study.setup import End
from rimfea.vary.axis import Axis
from rimfea.vary.datum import datum

pytestmark = pytest.mark.long

LONG_PATCH = Loading(patch_mm=60.0)  # few harmonics are quick
COARSE = 1.6
SIDEWALL = Axis("sidewall_mm", 1.3, 1.7, 5)


@pytest.fixture(scope="module")
def sweep(sheet_of):
    """A sweep of the rim along some axes: ``sweep(axis, ...)``."""

    def make(*axes, **changes):
        sheet = sheet_of(**changes)
        return Sweep(sheet, read_setup("gravel"), End.REAR, axes, LONG_PATCH, COARSE)

    return make


@pytest.fixture(scope="module")
def along(sweep):
    """The rim along thicknesses of its sidewall."""
    return swept(sweep(SIDEWALL))


@pytest.fixture
def made_up(sweep):
    """A sweep with outcomes of one's own instead of a rim's: ``made_up(axes, function)``."""

    def make(axes, value, gaps=()):
        asked = sweep(*axes)
        found = {
            place: Point(place, gap="clash")
            if place in gaps
            else Point(place, {"yield_N": value(*place)}, {"yield_N": "flank"})
            for place in asked.places
        }
        return Swept(asked, found)

    return make


def test_a_sweep_has_no_noise_of_meshing(along):
    asked = along.sweep
    fresh = [
        outcomes(
            datum(asked.at(place), asked.setup, asked.end, like=asked.like, coarseness=COARSE).ride
        )["yield_N"]
        for place in asked.grid
    ]
    moved = along.values("yield_N")
    smooth, rough = (np.abs(np.diff(loads, 2)).max() for loads in (moved, fresh))
    print(f"second differences of {np.ptp(moved):.0f} N: {smooth:.2f} swept, {rough:.2f} remeshed")
    assert {point.remeshed for point in along.grid} == {""}
    np.testing.assert_allclose(moved, fresh, rtol=0.02)
    assert smooth < 0.05 * np.ptp(moved)
    assert smooth < 0.25 * rough


def test_every_point_has_all_outcomes_and_the_walls_that_decide_them(along):
    for point in along.points.values():
        assert list(point.outcomes) == [key for key, each in BY_KEY.items() if not each.dent]
        assert list(point.walls) == list(DECIDED)
    assert set(along.walls("set_N")) <= {str(wall) for wall in along.sweep.sheet.walls}
    assert (np.diff(along.values("mass_g")) > 0).all()


def test_the_rim_itself_is_among_the_points_once(along):
    assert along.own.place == (1.5,)
    assert along.own is along.grid[2]
    assert len(along.points) == 5


def test_two_processes_find_what_one_does(along):
    asked = along.sweep
    found = list(points(asked, asked.places[:2], processes=2))
    assert found == [along.points[place] for place in asked.places[:2]]


def test_a_sheet_that_clashes_is_a_gap_with_its_reason(sweep):
    asked = sweep(Axis("sidewall_mm", 1.5, 2.5, 2), hook_lip_mm=2.4)
    clash = (2.5,)
    with pytest.raises(SheetError) as caught:
        asked.at(clash)
    whole, gap = points(asked, [(1.5,), clash], processes=1)
    assert not whole.gap
    assert gap == Point(clash, gap=" / ".join(str(caught.value).splitlines()))
    assert "hook_lip_mm" in gap.gap


def test_a_rim_that_buckles_under_its_spokes_is_a_gap(sweep, monkeypatch):
    asked = sweep(SIDEWALL)
    monkeypatch.setattr(Analysis, "buckles", property(lambda _: True))
    (point,) = points(asked, [asked.own], processes=1)
    assert point.gap == "the rim buckles under its spokes"


def test_a_gross_change_is_meshed_anew_and_says_why(sweep):
    asked = sweep(Axis("sidewall_mm", 0.8, 2.2, 2))
    (point,) = points(asked, [(0.8,)], processes=1)
    assert "smallest angle" in point.remeshed
    assert not point.gap


def test_other_numbers_stay_and_a_flush_nipple_seat_takes_the_spoke_bed_along(sweep):
    asked = sweep(Axis("nipple_seat_mm", 2.0, 3.0, 3), Axis("tyre_well_mm", 1.2, 1.6, 3))
    sheet = asked.at((2.5, 1.4))
    assert (sheet.nipple_seat_mm, sheet.spoke_bed_mm, sheet.tyre_well_mm) == (2.5, 2.5, 1.4)
    for key in ("flank_mm", "bead_seat_mm", "spoke_bed_width_mm", "fillet_radius_mm"):
        assert getattr(sheet, key) == getattr(asked.sheet, key)


def test_places_are_the_rims_own_and_the_grid_with_the_last_axis_fastest(sweep):
    asked = sweep(Axis("sidewall_mm", 1.0, 1.2, 2), Axis("hook_lip_mm", 2.0, 2.4, 3))
    assert asked.grid == ((1.0, 2.0), (1.0, 2.2), (1.0, 2.4), (1.2, 2.0), (1.2, 2.2), (1.2, 2.4))
    assert asked.places == ((1.5, 2.6), *asked.grid)


def test_the_slope_is_that_of_the_cell_around_the_rim_or_nearest_to_it(made_up):
    grid = (Axis("sidewall_mm", 1.3, 1.7, 5), Axis("hook_lip_mm", 2.0, 2.4, 3))
    found = made_up(grid, lambda wall, lip: 7 * wall + 5 * lip)
    assert found.per_mm("yield_N") == pytest.approx((7, 5))
    kinked = made_up([SIDEWALL], lambda wall: 100 * min(wall, 1.6))
    assert kinked.per_mm("yield_N") == pytest.approx((100,))
    beside = made_up([Axis("sidewall_mm", 1.0, 1.4, 3)], lambda wall: 100 * max(wall, 1.2))
    assert beside.per_mm("yield_N") == pytest.approx((100,))
    assert np.isnan(made_up([SIDEWALL], lambda wall: wall, gaps=[(1.6,)]).per_mm("yield_N")[0])


def test_gaps_are_nan_and_no_wall(made_up):
    found = made_up([SIDEWALL], lambda wall: wall, gaps=[(1.6,)])
    np.testing.assert_array_equal(found.values("yield_N"), [1.3, 1.4, 1.5, np.nan, 1.7])
    assert found.walls("yield_N").tolist() == ["flank"] * 3 + ["", "flank"]
    assert found.walls("mass_g").tolist() == [""] * 5


def test_half_a_sweep_is_none(along):
    with pytest.raises(ValueError, match=r"nothing is known at \(1\.3,\)"):
        Swept(along.sweep, {along.own.place: along.own})


@pytest.mark.parametrize("family", DRAWN)
def test_every_dimension_can_be_swept_and_what_a_family_lacks_cannot(sheet_of, family):
    known = movable(sheet_of(family))
    assert set(dimensions(sheet_of(family))) < set(known)
    assert "washer_mm" not in known
    assert "washer_mm" in movable(sheet_of(family, washer_mm=10))
    assert ("flank_mm" in known) is (family is not Family.SINGLE)


@pytest.mark.parametrize(
    ("axes", "told"),
    [
        ([], "a sweep has one axis or two, not 0; write KEY=FROM:TO:COUNT"),
        ([SIDEWALL, Axis("hook_lip_mm", 2, 3, 3), Axis("flank_mm", 1, 2, 3)], "not 3"),
        ([SIDEWALL, SIDEWALL], "sidewall_mm: is on two axes; sweep two lengths, or one"),
        ([Axis("washer_mm", 8, 12, 3)], "washer_mm: cannot be swept in a hooked double wall rim"),
        ([Axis("bead_seat_diameter_mm", 584, 622, 3)], "cannot be swept"),
        (
            [Axis("sidewall_mm", 1, 2, 21), Axis("hook_lip_mm", 2, 3, 20)],
            "21 x 20 are too many points; allowed: 400 in all; take fewer",
        ),
    ],
)
def test_axes_that_make_no_sweep_are_refused_with_what_to_do(sweep, axes, told):
    with pytest.raises(SheetError) as caught:
        sweep(*axes)
    assert told in str(caught.value)


def test_the_digest_is_that_of_all_that_was_asked(sweep, sheet_of):
    asked = sweep(SIDEWALL)
    assert sweep(SIDEWALL).digest == asked.digest
    others = [
        replace(asked, sheet=sheet_of(flank_mm=1.31)),
        replace(asked, setup=asked.setup.varied(rider_kg=81)),
        replace(asked, end=End.FRONT),
        replace(asked, axes=(replace(SIDEWALL, count=6),)),
        replace(asked, like=Loading(patch_mm=61.0)),
        replace(asked, coarseness=1.5),
    ]
    assert len({asked.digest, *(other.digest for other in others)}) == 7


def test_bed_and_seat_of_a_single_wall_are_swept_together():
    """No place of a sweep of the nipple seat is refused for its spoke bed."""
    sheet = read_sheet(Path(__file__).parents[2] / "profiles" / "wheatear.toml")
    asked = Sweep(sheet, MOOR, End.REAR, (Axis("nipple_seat_mm", 2.5, 2.7, 3),))
    for place in asked.grid:
        assert asked.at(place).nipple_seat_mm == asked.at(place).spoke_bed_mm == place[0]


def test_dents_are_asked_where_they_are_wanted_on_triangles_moved_along(
    sweep, dented, monkeypatch, along
):
    seen = []

    def made_up(ride, looked):
        seen.append(looked)
        vars(ride).update(vars(dented(ride, drop_mm=90.0)))

    monkeypatch.setattr("rimfea.ask.sweep.ask_half_mm", made_up)
    places = SIDEWALL.values[:2]
    found = [*points(replace(sweep(SIDEWALL), dents=True), [(at,) for at in places], processes=1)]
    assert [list(point.outcomes) for point in found] == [list(BY_KEY)] * 2
    assert [point.outcomes["dent_drop_mm"] for point in found] == pytest.approx([90.0, 90.0])
    assert [looked.sheet.sidewall_mm for looked in seen] == pytest.approx(places)
    assert seen[0].mesh.triangles is seen[1].mesh.triangles
    assert len(seen[0].mesh.triangles) < 0.7 * len(inspect(along.sweep.sheet).mesh.triangles)
