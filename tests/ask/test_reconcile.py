"""What nobody measured is scaled to scales and ERD: by the least change, and nothing else."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from rimfea.ask import reconcile as module
from rimfea.ask.reconcile import (
    LARGEST_RATIO,
    NOT_MEASURED,
    Ending,
    reconcile,
)
from rimfea.errors import SheetError
from rimfea.files.sheet_toml import parse_sheet, sheet_text
from rimfea.profile.erd import drawn_diameter_mm
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.moved import moved
from rimfea.profile.uncertainty import uncertainties
from rimfea.study.analysis import inspect
from rimfea.vary.scales import drawn_mass_g
from tests.often import few

SCALES = 1 / math.sqrt(3)  # of ±1 g, a rectangle (JCGM 100, 4.3.7)
# Of a length read once, mm: its own, and what the caliper is off by in all of them.
OWN, JAWS = math.sqrt(0.02**2 + 0.01**2 / 12), 0.03 / math.sqrt(3)
WALLS = {"bead_seat_mm": 1.55, "hook_height_mm": 5.6, "spoke_bed_width_mm": 17.0}


def weighed(sheet, grams):
    return sheet.varied(weighed_mass_g=grams)


def all_measured(sheet):
    """The sheet without any length of its section left to assume."""
    lengths = [key for key in sheet.assumed if BY_KEY[key].unit == "mm"]
    able = [key for key in lengths if BY_KEY[key].used_by(sheet.family)]
    return sheet.varied(**{key: getattr(sheet, key) for key in able})


@pytest.mark.parametrize("family", DRAWN)
def test_the_mass_without_a_mesh_is_that_of_the_hoop(sheet_of, family):
    sheet = sheet_of(family)
    assert drawn_mass_g(sheet) == pytest.approx(
        inspect(sheet, coarseness=2.5).hoop.mass_g, rel=1e-12
    )


@pytest.mark.parametrize("family", few(DRAWN))
@pytest.mark.parametrize("flank", few([0.95, 1.6]))
def test_the_mass_of_a_rim_with_other_walls_is_met_without_knowing_them(sheet_of, family, flank):
    """The rim on the scales has walls that the sheet does not tell: as near as caliper and scales
    leave open.
    """
    chamber = (
        {"flank_mm": flank, **WALLS} if family is not Family.SINGLE else {"bead_seat_mm": flank}
    )
    truth = drawn_mass_g(sheet_of(family, **chamber))
    found = reconcile(weighed(sheet_of(family), truth))
    assert found.ending is Ending.SCALED
    (mass,) = found.held
    assert abs(mass.before - truth) > mass.open
    assert drawn_mass_g(found.after) == pytest.approx(truth, abs=mass.open)
    assert abs(mass.after - truth) < 0.3 * abs(mass.before - truth)
    assert mass.after == pytest.approx(drawn_mass_g(found.after), abs=0.2)


@pytest.fixture(scope="module")
def scaled(sheet_of):
    """The usual sheet made to weigh so many times what it does: what is found of it."""

    @cache
    def find(share):
        return reconcile(weighed(sheet_of(), share * drawn_mass_g(sheet_of())))

    return find


@pytest.mark.parametrize("share", [0.95, pytest.param(1.06, marks=pytest.mark.long)])
def test_changes_are_as_doubt_squared_times_what_a_millimetre_weighs(sheet_of, scaled, share):
    """Where Σ(change/u)² + (mass missed/u)² is least its derivatives vanish: change/u² is the same
    multiple of what a millimetre weighs for every number.
    """
    sheet, found = sheet_of(), scaled(share)
    doubt = uncertainties(sheet)
    ratio = [
        (getattr(found.after, key) - getattr(sheet, key))
        / (doubt[key].standard ** 2 * slope(found.after, key))
        for key in ("flank_mm", "bead_seat_mm", "hook_height_mm", "spoke_bed_width_mm")
    ]
    assert np.sign(ratio[0]) == np.sign(share - 1)
    assert ratio == pytest.approx([ratio[0]] * len(ratio), rel=0.02)


def slope(sheet, key, step=0.02):
    above, below = (sheet.varied(**{key: getattr(sheet, key) + d}) for d in (step, -step))
    return (drawn_mass_g(above) - drawn_mass_g(below)) / (2 * step)


def test_a_number_at_its_bound_stays_there_and_the_others_make_up_for_it(sheet_of, monkeypatch):
    sheet = sheet_of(bead_seat_mm=1.3, hook_height_mm=6.0)
    light = weighed(sheet, 0.93 * drawn_mass_g(sheet))
    free = reconcile(light).after
    monkeypatch.setattr(module, "LEAST_RATIO", 0.9)
    found = reconcile(light)
    assert found.ending is Ending.SCALED
    assert free.flank_mm < 0.89 * sheet.flank_mm
    assert found.after.flank_mm == pytest.approx(0.9 * sheet.flank_mm, abs=1e-3)
    assert found.after.tyre_well_depth_mm < free.tyre_well_depth_mm
    for change in found.changes:
        if not change.follows:
            assert 0.9 - 1e-3 <= 1 + change.share <= LARGEST_RATIO + 1e-9


def test_a_measured_number_is_never_touched(sheet_of):
    sheet = sheet_of(inner_width_mm={"readings": [25.02, 24.98]}, flank_mm=1.2)
    found = reconcile(weighed(sheet, 0.9 * drawn_mass_g(sheet)))
    assert found.ending is Ending.SCALED
    for key in BY_KEY:
        if key not in (*sheet.assumed, "name", "note", "weighed_mass_g", "guessed"):
            assert getattr(found.after, key) == getattr(sheet, key), key
    assert found.after.readings == sheet.readings
    assert {change.key for change in found.changes} <= {*sheet.assumed}


def test_a_distrusted_reading_is_scaled_with_the_rest_and_alone(sheet_of, scaled):
    sheet = sheet_of()
    light = weighed(sheet, 0.9 * drawn_mass_g(sheet))
    shared = reconcile(light, ["tyre_well_mm"]).after
    assert shared.tyre_well_mm < sheet.tyre_well_mm
    assert shared.flank_mm > scaled(0.9).after.flank_mm
    alone = reconcile(all_measured(weighed(sheet, 0.96 * drawn_mass_g(sheet))), ["tyre_well_mm"])
    assert {change.key for change in alone.changes} == {"tyre_well_mm"}
    assert alone.ending is Ending.SCALED


def test_a_bed_that_is_one_with_the_seat_stays_so(sheet_of):
    sheet = all_measured(sheet_of(spoke_bed_mm=2.8))
    found = reconcile(weighed(sheet, 0.95 * drawn_mass_g(sheet)), ["nipple_seat_mm"])
    assert found.after.nipple_seat_mm < 2.7
    assert found.after.spoke_bed_mm == found.after.nipple_seat_mm


def test_all_that_differs_is_told_also_what_only_follows(sheet_of, scaled):
    sheet, found = sheet_of(), scaled(0.9)
    told = {change.key: change.follows for change in found.changes}
    differ = {key for key in BY_KEY if getattr(sheet, key) != getattr(found.after, key)}
    assert told.keys() == differ - {"name", "note", "weighed_mass_g", "guessed"}
    assert told["erd_mm"]
    assert not told["flank_mm"]


@pytest.mark.parametrize("room", [pytest.param(10, marks=pytest.mark.long), 140, 200])
def test_the_sheet_itself_says_what_was_scaled_and_keeps_its_own_note(sheet_of, room):
    sheet = sheet_of(note="x" * room)
    note = reconcile(weighed(sheet, 0.9 * drawn_mass_g(sheet))).after.note
    assert note.startswith(sheet.note)
    assert (NOT_MEASURED in note) == (room < 200)
    assert ("flank, hook height" in note) == (room < 140)


def test_a_mass_within_the_error_of_caliper_and_scales_changes_nothing(sheet_of):
    sheet = sheet_of()
    apart = reconcile(weighed(sheet, drawn_mass_g(sheet))).held[0].open
    assert 5 < apart < 25
    for share, ending in ((0.95, Ending.AGREES), (1.05, Ending.SCALED)):
        light = weighed(sheet, drawn_mass_g(sheet) - share * apart)
        found = reconcile(light)
        assert found.ending is ending
        assert (found.after == light) == (ending is Ending.AGREES)


def test_readings_that_agree_leave_less_open_than_one(sheet_of):
    once = sheet_of()
    often = sheet_of(tyre_well_mm={"readings": [1.3] * 4, "tolerance_mm": 0.01})
    open_g = [
        reconcile(weighed(sheet, drawn_mass_g(sheet))).held[0].open for sheet in (once, often)
    ]
    assert open_g[1] < open_g[0]


def test_where_all_was_measured_nothing_is_changed(sheet_of):
    sheet = all_measured(weighed(sheet_of(), 600.0))
    found = reconcile(sheet)
    assert (found.ending, found.after, found.free) == (Ending.NOTHING_FREE, sheet, ())


@pytest.mark.parametrize("share", [0.5, 1.9])
def test_a_mass_out_of_reach_changes_nothing_and_the_nearest_is_told(sheet_of, share):
    sheet = sheet_of()
    asked = weighed(sheet, share * drawn_mass_g(sheet))
    found = reconcile(asked)
    assert (found.ending, found.after, found.changes) == (Ending.OUT_OF_REACH, asked, ())
    (mass,) = found.held
    assert min(mass.read, mass.before) < mass.after < max(mass.read, mass.before)


def test_numbers_that_clash_only_together_stop_where_they_still_fit(sheet_of):
    """A narrow bed and thick flanks each leave the pad its room, both do not."""
    sheet = sheet_of(Family.THICKENED, nipple_seat_width_mm=11.0)
    found = reconcile(weighed(sheet, 0.65 * drawn_mass_g(sheet)))
    assert found.ending is Ending.OUT_OF_REACH
    assert 0.66 * found.held[0].before < found.held[0].after < 0.9 * found.held[0].before


@pytest.mark.parametrize(
    ("grams", "also", "told"),
    [
        (None, [], "weighed_mass_g: is missing"),
        (700, ["flnk_mm"], "did you mean flank_mm?"),
        (700, ["spoke_count"], "spoke_count: cannot be scaled"),
        (700, ["spoke_bed_mm"], "spoke_bed_mm: cannot be scaled"),
        (700, ["zzz"], "zzz: cannot be scaled; there are: bead_hook_mm, hook_lip_mm"),
    ],
)
def test_what_cannot_be_asked_is_told(sheet_of, grams, also, told):
    with pytest.raises(SheetError) as caught:
        reconcile(weighed(sheet_of(), grams), also)
    assert told in str(caught.value)


def test_what_was_scaled_stays_a_guess_also_in_a_file(scaled):
    found = scaled(0.95)
    light = found.before
    saved = parse_sheet(sheet_text(found.after), "saved")
    assert saved == found.after
    assert set(found.free) <= set(saved.guessed)
    assert set(light.assumed) == set(saved.assumed)


def test_a_scaled_guess_keeps_the_doubt_of_a_guess(scaled):
    found = scaled(0.95)
    light = found.before
    was, now = (uncertainties(each) for each in (light, found.after))
    for key in found.free:
        assert not now[key].measured
        share = getattr(found.after, key) / getattr(light, key)
        assert now[key].standard == pytest.approx(share * was[key].standard, rel=1e-9), key


@pytest.mark.parametrize("length", [pytest.param(10, marks=pytest.mark.long), 200])
def test_the_reconciled_rim_has_a_name_of_its_own(sheet_of, length):
    light = weighed(sheet_of(name="x" * length), 0.95 * drawn_mass_g(sheet_of()))
    assert reconcile(light).after.name == f"{'x' * min(length, 180)}, reconciled"


@pytest.mark.parametrize(
    ("erd_off_mm", "share"),
    [
        *((0.0, 0.96), (1.0, 1.03), (-1.5, 0.96)),
        *(
            pytest.param(*pair, marks=pytest.mark.long)
            for pair in ((0.0, 1.03), (1.0, 0.96), (-1.5, 1.03))
        ),
    ],
)
def test_scales_and_erd_weigh_as_generalised_least_squares_has_it(sheet_of, erd_off_mm, share):
    """JCGM 102:2011, 5.3, in closed form for small changes: x − x₀ = P Sᵀ (S P Sᵀ + V)⁻¹ r, P the
    variances of the guesses, S their slopes, V the covariance of mass and ERD: of their own (scales
    ±1 g; rods ±0.5 mm in steps of 0.1 mm, set to 0.1; nipples ±2 mm) and through the measured
    lengths, which are in both.
    """
    sheet = sheet_of()
    hoop = sheet.varied(
        erd_mm=sheet.erd_mm + erd_off_mm, weighed_mass_g=share * drawn_mass_g(sheet)
    )
    found = reconcile(hoop)
    assert [each.what for each in found.held] == ["mass", "ERD"]
    known, free = uncertainties(sheet), found.free
    measured = [
        key for key in known if known[key].measured and known[key].standard and key != "erd_mm"
    ]
    S, M = (slopes_of(sheet, keys) for keys in (free, measured))
    P = np.diag([known[key].standard ** 2 for key in free])
    rods = 0.5**2 / 3 + 0.1**2 / 12 + 0.1**2 + 2**2 / 3
    left_out = (0.01 * drawn_mass_g(sheet)) ** 2 / 3 + 1**2 / 3 + 8**2 / 3
    V = np.diag([SCALES**2 + left_out, rods]) + OWN**2 * M @ M.T
    V += JAWS**2 * np.outer(M.sum(axis=1), M.sum(axis=1))
    r = np.array([hoop.weighed_mass_g - drawn_mass_g(sheet), erd_off_mm])
    expected = P @ S.T @ np.linalg.solve(S @ P @ S.T + V, r)
    changed = [getattr(found.after, key) - getattr(sheet, key) for key in free]
    u = np.sqrt(np.diag(P))
    assert found.ending is Ending.SCALED
    assert np.abs(expected / u).max() > 0.5
    np.testing.assert_allclose(changed / u, expected / u, atol=0.04)
    assert found.held[1].open == pytest.approx(2 * math.sqrt(V[1, 1]), rel=1e-3)


def slopes_of(sheet, keys, step=0.005):
    """Grams and millimetres of ERD a millimetre (2, k), everything else held."""

    def seen(key, d):
        there = moved(sheet, {key: d})
        return np.array([drawn_mass_g(there), drawn_diameter_mm(there)])

    return np.array([(seen(key, step) - seen(key, -step)) / (2 * step) for key in keys]).T


def test_a_measured_erd_tells_the_hook_height_that_nobody_measured(sheet_of):
    """The rim's hook is 0.7 mm lower than assumed: with the ERD it is found to half of that."""
    truth = sheet_of(hook_height_mm=5.3, flank_mm=1.1)
    hoop = sheet_of(weighed_mass_g=drawn_mass_g(truth), erd_mm=drawn_diameter_mm(truth))
    missed = [
        abs(reconcile(each).after.hook_height_mm - 5.3) for each in (hoop, hoop.varied(erd_mm=None))
    ]
    assert missed[0] < 0.7 * missed[1]


def test_an_erd_6_mm_off_fits_nothing_however_well_the_mass_does(sheet_of):
    sheet = sheet_of(hook_height_mm=6)
    wrong = sheet.varied(erd_mm=sheet.erd_mm + 6, weighed_mass_g=drawn_mass_g(sheet))
    found = reconcile(wrong)
    assert (found.ending, found.after) == (Ending.OUT_OF_REACH, wrong)
    assert [each.agrees for each in found.held] == [True, False]


def test_a_sleeve_that_nobody_weighed_leaves_more_open_and_is_no_wall(sheet_of):
    sheet = sheet_of(joint="sleeved")
    plain, sleeved = (reconcile(weighed(s, drawn_mass_g(s))).held[0] for s in (sheet_of(), sheet))
    assert sleeved.before == pytest.approx(plain.before + 10)
    # A sleeve's ±5 g instead of the ±8 g of a joint that nobody looked at, and 1 % of 10 g more.
    shape = 0.01**2 * (sleeved.before**2 - plain.before**2)
    other = 4 / 3 * (5**2 - 8**2 + shape)
    assert sleeved.open == pytest.approx(math.sqrt(plain.open**2 + other), rel=1e-6)
