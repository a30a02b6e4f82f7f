from __future__ import annotations

import pickle
import subprocess
import sys
from dataclasses import fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimfea.errors import SheetError
from rimfea.profile.bead_seats import CODES
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.field import Kind
from rimfea.profile.fields import BY_KEY, FIELDS
from rimfea.profile.joint import Joint
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import Readings
from rimfea.profile.walls import Wall

DUNLIN = {
    "name": "Dunlin",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
}
SEVEN = tuple(DUNLIN)[2:]


def sheet_of(family: str = Family.HOOKED, **changes: object) -> Sheet:
    depth = {"overall_depth_mm": 14} if family is Family.SINGLE else {}
    return Sheet({**DUNLIN, "family": family, **depth, **changes})


def faults_of(**changes: object) -> dict[str, str]:
    with pytest.raises(SheetError) as caught:
        sheet_of(**changes)
    return {fault.field: str(caught.value) for fault in caught.value.faults}


@pytest.mark.parametrize("family", DRAWN)
def test_seven_numbers_and_a_bead_seat_are_enough(family):
    sheet = sheet_of(family)
    assert {key for key in SEVEN if key in sheet.assumed} == set()
    assert "flank_mm" in sheet.assumed
    assert all(getattr(sheet, wall_key) > 0 for wall_key in BY_KEY if wall_key.endswith("_radius"))


def test_every_key_of_the_table_is_an_attribute_and_the_other_way_round():
    typed = {item.name for item in fields(Sheet)} - {"readings", "assumed", "known"}
    assert typed <= set(BY_KEY) <= vars(sheet_of()).keys()


def test_defaults_follow_from_what_is_known():
    sheet = sheet_of()
    assert sheet.bead_seat_mm == sheet.flank_mm == 1.3
    assert sheet.spoke_bed_mm == 2.4
    assert sheet.tyre_well_width_mm == pytest.approx(0.62 * 2 * (12.5 + 2.6 - 1.5))
    assert sheet.spoke_bed_width_mm == pytest.approx(0.6 * 30.2)
    assert sheet.erd_mm == pytest.approx(622 + 2 * (6 - 21 + 2.4))
    assert sheet.fillet_radius_mm == pytest.approx(0.6 * 1.3)


def test_the_spoke_bed_of_a_padded_rim_is_assumed_thinner_than_the_seat():
    thickened = sheet_of(Family.THICKENED)
    assert thickened.spoke_bed_mm == pytest.approx(0.7 * 2.4)
    assert thickened.seat_step_mm == pytest.approx(0.3 * 2.4)


def test_the_well_of_a_single_wall_reaches_down_to_the_spoke_bed():
    single = sheet_of(Family.SINGLE)
    assert single.tyre_well_depth_mm == pytest.approx(14 - 6 - 2.4)
    assert Wall.FLANK not in single.walls
    with pytest.raises(ValueError, match="no flank"):
        single.thickness(Wall.FLANK)


@pytest.mark.parametrize("key", ["tyre_well_depth_mm", "spoke_bed_width_mm", "flank_mm"])
def test_a_single_wall_refuses_what_follows_from_its_other_numbers(key):
    assert "must be left out" in faults_of(family=Family.SINGLE, **{key: 5.0})[key]


def test_a_hookless_rim_needs_no_hook_and_is_as_wide_as_its_sidewalls():
    values = {key: value for key, value in DUNLIN.items() if key != "bead_hook_mm"}
    hookless = Sheet({**values, "family": "hookless double wall"})
    assert hookless.bead_hook_mm == 2.6
    assert hookless.outer_width_mm == 25 + 2 * 1.5
    assert sheet_of(Family.HOOKED).outer_width_mm == 25 + 2 * 2.6


def test_a_washer_bears_in_place_of_the_head():
    assert sheet_of().bearing_diameter_mm == 6.2
    assert sheet_of(washer_mm=9).bearing_diameter_mm == 9
    assert sheet_of(washer_mm=9).varied(washer_mm=None).washer_mm is None


OPTIONAL = {"joint": "welded", "tension_limit_N": 900, "wear_mark_mm": 0.9, "proof_MPa": 250}


@pytest.mark.parametrize("key", OPTIONAL)
def test_an_optional_key_is_none_until_it_is_given_and_never_assumed(key):
    sheet = sheet_of()
    assert getattr(sheet, key) is None
    assert key not in sheet.assumed
    given = sheet_of(**{key: OPTIONAL[key]})
    assert getattr(given, key) == OPTIONAL[key]
    assert given.varied(**{key: None}) == sheet


@pytest.mark.parametrize("written", ["welded", "Welded", " WELDED "])
def test_a_joint_is_read_whatever_its_capitals(written):
    assert sheet_of(joint=written).joint is Joint.WELDED


@pytest.mark.parametrize(
    ("joint", "mass"), [(None, 0), ("welded", 0), ("sleeved", 10), ("pinned", 6)]
)
def test_what_is_in_a_joint_is_assumed_by_its_kind_unless_weighed(joint, mass):
    assert sheet_of(joint=joint).joint_mass_g == mass
    assert "joint_mass_g" in sheet_of(joint=joint).assumed
    own = sheet_of(joint=joint, joint_mass_g=13)
    assert (own.joint_mass_g, "joint_mass_g" in own.assumed) == (13, False)


def test_an_assumed_joint_follows_its_kind():
    assert sheet_of(joint="sleeved").varied(joint="pinned").joint_mass_g == 6


def test_only_a_rim_known_to_be_welded_of_an_alloy_with_a_strength_there_is_weak_at_its_joint():
    strength = {
        (joint, alloy): sheet_of(joint=joint, alloy=alloy).weld_proof_MPa
        for joint in (None, *Joint)
        for alloy in ("6061-T6", "7075-T6")
    }
    assert strength.pop((Joint.WELDED, "6061-T6")) == 115
    assert set(strength.values()) == {None}


def test_spokes_tighter_than_the_makers_limit_are_no_fault_of_the_sheet():
    assert sheet_of(spoke_tension_N=1200, tension_limit_N=900).tension_limit_N == 900


def test_each_wall_has_the_thickness_of_its_key():
    sheet = sheet_of(bead_seat_mm=1.9, spoke_bed_mm=2.0)
    thickness = {wall: sheet.thickness(wall) for wall in sheet.walls}
    assert thickness[Wall.BEAD_SEAT] == 1.9
    assert thickness[Wall.SPOKE_BED] == 2.0
    assert thickness[Wall.NIPPLE_SEAT] == 2.4


def test_a_changed_key_is_no_longer_assumed_and_what_follows_from_it_is_derived_anew():
    changed = sheet_of().varied(tyre_well_mm=1.7, crown_radius_mm=0.3)
    assert changed.flank_mm == 1.7
    assert "crown_radius_mm" not in changed.assumed
    assert "flank_mm" in changed.assumed
    assert changed.varied(tyre_well_mm=1.3, crown_radius_mm=None) == sheet_of()


@pytest.mark.parametrize("key", SEVEN)
@pytest.mark.parametrize("family", DRAWN)
def test_a_hundredth_of_a_millimetre_moves_every_assumed_number_by_about_as_much(family, key):
    sheet = sheet_of(family)
    moved = sheet.varied(**{key: getattr(sheet, key) + 0.01})
    lengths = [item.key for item in FIELDS if item.unit == "mm" and item.key in sheet.assumed]
    steps = {name: abs(getattr(moved, name) - getattr(sheet, name)) for name in lengths}
    assert max(steps.values()) <= 0.03, steps


def test_readings_become_their_mean_and_are_kept_until_the_key_is_varied():
    sheet = sheet_of(sidewall_mm={"readings": [1.48, 1.52, 1.53], "tolerance_mm": 0.02})
    assert sheet.sidewall_mm == pytest.approx(1.51)
    assert sheet.readings["sidewall_mm"] == Readings((1.48, 1.52, 1.53), 0.02)
    assert sheet.varied(hook_lip_mm=2.7).readings == sheet.readings
    assert sheet.varied(sidewall_mm=1.5).readings == {}


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ({"readings": [1.5]}, "at least two"),
        ({"readings": [1.5, "1.6"]}, "reading 2 of 2 must be a number"),
        ({"readings": [1.5, 15.0]}, "reading 2 of 2 is out of range"),
        ({"readings": [1.4, 1.8]}, "which reading is a slip"),
        ({"readings": [1.5, 1.5], "tolerance_mm": -0.02}, "above 0 up to 1 mm"),
        ({"readings": [1.5, 1.5], "tolerence_mm": 0.02}, "did you mean tolerance_mm"),
    ],
)
def test_readings_that_cannot_be_used_are_refused(written, told):
    assert told in faults_of(sidewall_mm=written)["sidewall_mm"]


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (True, "must be a number"),
        ("2,2", "without quotes and with a point: 2.2"),
        ("2.2 mm", "the key says the unit"),
        (float("nan"), "finite"),
        (float("inf"), "finite"),
        (10**400, "finite"),
        (-1.5, "negative"),
        (0.06, "looks like cm or inches: 0.06 cm = 0.6 mm, 0.06 in = 1.5 mm"),
        ("0.12 cm", "write the number alone, 1.2: 0.12 cm = 1.2 mm"),
        (15, "allowed: 0.5 to 6 mm"),
        ([1.5, 1.6], "readings = ["),
    ],
)
def test_a_number_that_is_none_is_refused_with_the_reason(value, told):
    assert told in faults_of(sidewall_mm=value)["sidewall_mm"]


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("name", "  ", "must not be empty"),
        ("name", 7, "must be text"),
        ("note", "two\nlines", "one line"),
        ("family", "single", "did you mean single wall?"),
        ("alloy", "carbon", "lay-up"),
        ("joint", "weld", "did you mean welded?"),
        ("joint", "glued", "allowed: welded, sleeved, pinned"),
        ("tension_limit_N", 99, "100 to 3000 N"),
        ("spoke_count", 31, "even whole number"),
        ("spoke_count", 32.5, "even whole number"),
        ("bead_seat_diameter_mm", 26, "nominal inches"),
        ("weighed_mass_g", {"readings": [500, 501]}, "only lengths take readings"),
        ("side_wall_mm", 1.5, "did you mean sidewall_mm"),
    ],
)
def test_a_value_that_does_not_fit_its_key_is_refused_with_the_reason(key, value, told):
    assert told in faults_of(**{key: value})[key]


@pytest.mark.parametrize("code", CODES)
def test_every_code_is_a_bead_seat_and_its_exact_diameter_too(code):
    values = {**DUNLIN, "bead_seat_diameter_mm": code - 0.2}
    assert Sheet(values).seat_radius_mm == pytest.approx((code - 0.2) / 2)


def test_a_bead_seat_between_the_codes_is_answered_with_the_nearest():
    assert "609, 622, 630" in faults_of(bead_seat_diameter_mm=618)["bead_seat_diameter_mm"]


CLASHES = [
    ("hook_lip_mm", "sidewall_mm", {"hook_lip_mm": 1.2}),
    ("hook_lip_mm", "sidewall_mm", {"hook_lip_mm": 1.6}),
    ("hook_lip_mm", "inner_width_mm", {"inner_width_mm": 13, "hook_lip_mm": 7}),
    ("sidewall_mm", "inner_width_mm", {"inner_width_mm": 11, "sidewall_mm": 5.9}),
    ("wear_mark_mm", "sidewall_mm", {"wear_mark_mm": 1.5}),
    ("bead_hook_mm", "hook_height_mm", {"hook_height_mm": 3, "bead_hook_mm": 3}),
    ("bead_hook_mm", "hook_height_mm", {"hook_height_mm": 3, "bead_hook_mm": 2.6}),
    ("tyre_well_width_mm", "inner_width_mm", {"tyre_well_width_mm": 26}),
    ("tyre_well_depth_mm", "tyre_well_width_mm", {"tyre_well_width_mm": 3}),
    ("overall_depth_mm", "hook_height_mm", {"overall_depth_mm": 7}),
    ("overall_depth_mm", "tyre_well_depth_mm", {"tyre_well_depth_mm": 11}),
    ("bead_seat_mm", "tyre_well_depth_mm", {"bead_seat_mm": 5}),
    ("spoke_bed_width_mm", "inner_width_mm", {"spoke_bed_width_mm": 31}),
    ("tyre_well_width_mm", "flank_mm", {"flank_mm": 5, "tyre_well_width_mm": 17}),
    ("nipple_seat_mm", "spoke_bed_mm", {"spoke_bed_mm": 3}),
    ("nipple_seat_mm", "spoke_bed_mm", {"family": Family.THICKENED, "spoke_bed_mm": 2.4}),
    ("nipple_seat_mm", "spoke_bed_mm", {"family": Family.SINGLE, "spoke_bed_mm": 2.3}),
    (
        "bead_seat_mm",
        "overall_depth_mm",
        {"family": Family.SINGLE, "hook_height_mm": 8, "bead_seat_mm": 6},
    ),
    (
        "tyre_well_width_mm",
        "inner_width_mm",
        {"family": Family.SINGLE, "tyre_well_width_mm": 22, "tyre_well_mm": 6},
    ),
    ("washer_mm", "spoke_bed_width_mm", {"washer_mm": 18, "spoke_bed_width_mm": 18}),
    (
        "nipple_head_mm",
        "nipple_seat_width_mm",
        {"family": Family.THICKENED, "nipple_seat_width_mm": 5},
    ),
    (
        "nipple_seat_width_mm",
        "spoke_bed_width_mm",
        {"family": Family.THICKENED, "nipple_seat_width_mm": 17},
    ),
    ("spoke_hole_mm", "nipple_head_mm", {"spoke_hole_mm": 5.5}),
    ("washer_mm", "nipple_head_mm", {"washer_mm": 6}),
    ("erd_mm", "overall_depth_mm", {"erd_mm": 570}),
    ("crown_radius_mm", "hook_lip_mm", {"crown_radius_mm": 1.4}),
    ("crown_radius_mm", "bead_hook_mm", {"crown_radius_mm": 1.0, "bead_hook_mm": 1.1}),
    ("fillet_radius_mm", "hook_height_mm", {"fillet_radius_mm": 2.5}),
    ("fillet_radius_mm", "overall_depth_mm", {"fillet_radius_mm": 4.5}),
    ("bead_ridge_mm", "tyre_well_width_mm", {"bead_ridge_mm": 0.5, "tyre_well_width_mm": 24}),
    (
        "spoke_bed_offset_mm",
        "spoke_bed_width_mm",
        {"spoke_bed_offset_mm": 9, "spoke_bed_width_mm": 18},
    ),
    ("bead_ridge_mm", "hook_height_mm", {"bead_ridge_mm": 1.2, "hook_height_mm": 3}),
    ("corner_radius_mm", "tyre_well_mm", {"corner_radius_mm": 2.5}),
]


@pytest.mark.parametrize(("first", "second", "changes"), CLASHES)
def test_a_contradiction_names_both_keys_with_their_numbers(first, second, changes):
    depth = {"overall_depth_mm": 14} if changes.get("family") is Family.SINGLE else {}
    with pytest.raises(SheetError) as caught:
        Sheet({**DUNLIN, **depth, **changes})
    told = [f.problem for f in caught.value.faults if f"{first} = " in f.problem]
    assert [text for text in told if f"{second} = " in text and "clash" in text]
    assert all(fault.remedy for fault in caught.value.faults)


def test_a_contradiction_is_laid_to_the_number_that_was_given():
    assert set(faults_of(nipple_head_mm=4.9)) == {"nipple_head_mm"}
    assert set(faults_of(spoke_hole_mm=5.9)) == {"spoke_hole_mm"}


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"hook_height_mm": 3, "bead_hook_mm": 3}, "thicker than the sidewall is high"),
        ({"hook_height_mm": 3, "bead_hook_mm": 2.6}, "only 0.4 mm would be left"),
        ({"hook_lip_mm": 1.2}, "it cannot be thinner"),
        ({"hook_lip_mm": 1.6}, "would stand out by 0.1 mm"),
    ],
)
def test_a_contradiction_says_what_would_come_of_it(changes, told):
    assert told in faults_of(**changes)[list(changes)[-1]]


def test_an_assumed_radius_gives_way_where_a_given_one_clashes():
    assert sheet_of(overall_depth_mm=12).fillet_radius_mm == pytest.approx(0.78)
    assert "fillet_radius_mm" in faults_of(overall_depth_mm=12, fillet_radius_mm=0.78)


def test_a_missing_number_hides_no_contradiction_between_others():
    assert set(faults_of(inner_width_mm=None, hook_lip_mm=1.2)) == {"inner_width_mm", "hook_lip_mm"}


def test_all_faults_are_told_at_once_and_a_rule_without_its_numbers_stays_silent():
    faults = faults_of(sidewall_mm=-1, hook_lip_mm=None, spoke_hole_mm=5.5, colour="grey")
    assert set(faults) == {"sidewall_mm", "hook_lip_mm", "spoke_hole_mm", "colour"}


def test_an_assumed_number_beyond_its_range_is_told_of_the_numbers_it_follows_from():
    told = faults_of(family=Family.SINGLE, overall_depth_mm=40)["overall_depth_mm"]
    assert "overall_depth_mm = 40 mm" in told
    assert "leave no usual tyre_well_depth_mm: nobody measured it" in told
    assert "follows from the overall depth" in told
    assert told.endswith("look at these")


def test_nor_does_it_clash_with_anything_that_was_measured():
    """0.62 of the room between the sidewalls, less what thick flanks take, is less than none."""
    told = faults_of(inner_width_mm=12, flank_mm=5)
    assert not any("tyre_well_width_mm = " in each for each in told.values())
    assert "or measure tyre_well_width_mm" in told["inner_width_mm"]


def test_it_is_not_told_where_what_it_follows_from_is_at_fault_already():
    told = faults_of(family=Family.SINGLE, overall_depth_mm=40, nipple_seat_mm=11)
    assert list(told) == ["nipple_seat_mm"]


def test_a_curved_flank_is_no_thicker_than_its_curve_is_round():
    """Else its inner face would turn over: the metal would cross itself."""
    short = {"overall_depth_mm": 14, "hook_height_mm": 7.7, "spoke_bed_width_mm": 17.8}
    well = {"tyre_well_depth_mm": 2.3, "tyre_well_width_mm": 8, "tyre_well_mm": 0.7}
    round_mm = {"fillet_radius_mm": 0.3, "corner_radius_mm": 0.3}
    told = faults_of(
        **short, **well, **round_mm, nipple_seat_mm=2, flank_mm=2.8, middle_width_mm=27
    )
    assert "the flank would leave no inner face" in told["middle_width_mm"]


def test_a_number_beyond_all_numbers_is_refused_as_any_other():
    told = faults_of(tones_Hz=[10**400, 128], sidewall_mm=10**400)
    assert "no rim has such a tone" in told["tones_Hz"]
    assert "must be a finite number" in told["sidewall_mm"]


def test_a_number_out_of_range_is_told_as_finely_as_it_was_written():
    assert "crown_radius_mm = 0.0499 mm" in faults_of(crown_radius_mm=0.0499)["crown_radius_mm"]


def test_a_sheet_cannot_be_made_past_its_checks():
    with pytest.raises(SheetError, match="clash"):
        sheet_of().varied(hook_lip_mm=1.2)
    with pytest.raises(TypeError):
        replace(sheet_of(), flank_mm=2.0)
    with pytest.raises(TypeError):
        Sheet()


def test_a_sheet_is_a_value():
    sheet = sheet_of(sidewall_mm={"readings": [1.5, 1.52]})
    assert pickle.loads(pickle.dumps(sheet)) == sheet  # noqa: S301  (our own bytes)
    assert hash(sheet) == hash(sheet.varied())
    assert sheet.varied() == sheet


def _ranges() -> dict[str, st.SearchStrategy[float]]:
    return {item.key: st.floats(item.low, item.high) for item in FIELDS if item.kind is Kind.NUMBER}


@settings(max_examples=200, deadline=None)
@given(st.fixed_dictionaries({}, optional=_ranges()), st.sampled_from(DRAWN))
def test_any_numbers_in_range_make_a_whole_sheet_or_a_list_of_faults(numbers, family):
    try:
        sheet = Sheet({**DUNLIN, **numbers, "family": family})
    except SheetError:
        return
    assert sheet.bearing_diameter_mm < sheet.spoke_bed_width_mm <= sheet.outer_width_mm + 0.06
    assert all(sheet.thickness(wall) > 0 for wall in sheet.walls)


def test_tones_that_were_heard_are_kept_the_lowest_first():
    sheet = Sheet({**DUNLIN, "tones_Hz": [151, 128.5]})
    assert sheet.tones_Hz == (128.5, 151.0)
    assert sheet.varied(flank_mm=1.3).tones_Hz == (128.5, 151.0)
    assert sheet.varied(tones_Hz=None).tones_Hz == Sheet(DUNLIN).tones_Hz == ()
    assert "tones_Hz" not in sheet.assumed


@pytest.mark.parametrize(
    ("tones", "told"),
    [
        ("128, 151", "must be a list of numbers; write it as in"),
        ([128, "151"], "must be a list of numbers"),
        ([128, True], "must be a list of numbers"),
        ([5], "tones_Hz = 5 Hz: no rim has such a tone; allowed: 10 to 10000 Hz"),
        ([float("nan")], "no rim has such a tone"),
        ([100 + k for k in range(13)], "has 13 tones, more than 12; give the loudest"),
    ],
)
def test_tones_that_no_rim_has_are_refused(tones, told):
    with pytest.raises(SheetError, match=told):
        Sheet({**DUNLIN, "tones_Hz": tones})


def test_the_sheet_is_read_without_the_numerical_libraries():
    code = "import sys, rimfea.files.sheet_toml; print(*{'numpy', 'scipy'} & set(sys.modules))"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == ""
