from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.profile.families import DRAWN, Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import (
    BATCH_SHARE,
    CALIPER,
    TESTED_SHARE,
    Instrument,
    Part,
    Shape,
    Uncertainty,
    coverage_factor,
    of_drawing,
    of_proof,
    type_a,
    type_b,
    uncertainties,
)
from rimfea.profile.values import Readings

WHIMBREL = {
    "name": "Whimbrel",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": Readings((1.50, 1.52, 1.48), 0.03),
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
}
AGREEING = Readings((1.5, 1.5, 1.5), 0.03)
STEP = 0.01 / math.sqrt(12)

parts = st.lists(
    st.builds(
        Part,
        st.just("any"),
        st.floats(1e-6, 1e3),
        st.one_of(st.integers(1, 50).map(float), st.just(math.inf)),
    ),
    min_size=1,
    max_size=6,
).map(tuple)


def of(key: str, **changes: object) -> Uncertainty:
    return uncertainties(Sheet({**WHIMBREL, **changes}))[key]


def test_repeated_readings_give_the_scatter_of_their_mean():
    part = type_a((1.0, 2.0, 3.0, 4.0))
    assert part.standard == pytest.approx(math.sqrt(5 / 3) / 2)
    assert part.freedom == 3


def test_one_reading_shows_no_scatter():
    with pytest.raises(ValueError, match="one reading"):
        type_a((1.5,))


@pytest.mark.parametrize(("shape", "divisor"), [("RECTANGLE", 3), ("TRIANGLE", 6), ("ARCSINE", 2)])
def test_a_half_width_counts_by_the_shape_of_its_law(shape, divisor):
    assert type_b("any", 0.03, Shape[shape]).standard == pytest.approx(0.03 / math.sqrt(divisor))


@pytest.mark.parametrize(("standard", "freedom"), [(-0.1, 3), (math.nan, 3), (0.1, 0)])
def test_a_negative_or_missing_doubt_is_refused(standard, freedom):
    with pytest.raises(ValueError, match="degrees of freedom"):
        Part("any", standard, freedom)


@given(parts)
def test_the_whole_is_no_less_than_any_part_and_no_more_than_their_sum(several):
    whole = Uncertainty(several).standard
    each = [part.standard for part in several]
    assert max(each) * (1 - 1e-12) <= whole <= sum(each) * (1 + 1e-12)


@given(parts)
def test_freedom_lies_between_that_of_the_worst_part_and_the_sum_of_all(several):
    each = [part.freedom for part in several]
    assert min(each) * (1 - 1e-9) <= Uncertainty(several).freedom <= sum(each) * (1 + 1e-9)


def test_expanded_is_twice_the_standard_uncertainty_unless_asked_otherwise():
    one = Uncertainty((Part("any", 0.02),))
    assert one.expanded() == pytest.approx(0.04)
    assert one.expanded(3) == pytest.approx(0.06)


def test_few_readings_take_a_wider_interval_for_the_same_confidence():
    assert coverage_factor(2) > coverage_factor(10) > coverage_factor(math.inf)


def test_repeated_readings_take_in_scatter_instrument_and_resolution():
    sidewall = of("sidewall_mm")
    expected = math.sqrt(0.02**2 / 3 + 0.03**2 / 3 + STEP**2)
    assert sidewall.standard == pytest.approx(expected)
    assert sidewall.freedom == pytest.approx(2 * expected**4 / (0.02**2 / 3) ** 2)
    assert sidewall.basis == "3 readings, instrument ±0.03 mm, resolution 0.01 mm"
    assert sidewall.measured


def test_readings_that_agree_are_no_better_than_the_instrument():
    agreed = of("sidewall_mm", sidewall_mm=AGREEING)
    assert agreed.standard == pytest.approx(math.hypot(0.03 / math.sqrt(3), STEP))
    assert agreed.freedom == math.inf


def test_a_tolerance_nobody_gave_is_told_as_that_of_a_usual_caliper():
    without = of("sidewall_mm", sidewall_mm=Readings((1.50, 1.52, 1.48)))
    assert without.standard == pytest.approx(of("sidewall_mm").standard)
    assert "usual caliper ±0.03 mm" in without.basis


def test_one_reading_is_in_doubt_by_where_the_jaws_sat_besides():
    once = of("tyre_well_mm")
    assert once.standard == pytest.approx(math.sqrt(0.02**2 + 0.03**2 / 3 + STEP**2))
    assert once.basis == (
        "one reading repeatable to 0.02 mm, usual caliper ±0.03 mm, resolution 0.01 mm"
    )


def test_a_better_caliper_makes_every_caliper_number_better_and_no_other():
    sheet = Sheet({**WHIMBREL, "erd_mm": 597, "fillet_radius_mm": 0.75})
    better = Instrument("workshop caliper", 0.01, 0.01, 0.01)
    usual, fine = uncertainties(sheet), uncertainties(sheet, better)
    changed = {key for key in usual if fine[key] != usual[key]}
    once = {"inner_width_mm", "overall_depth_mm", "bead_hook_mm", "hook_lip_mm"}
    assert changed == {*once, "tyre_well_mm", "nipple_seat_mm"}
    assert all(fine[key].standard < usual[key].standard for key in changed)


def test_what_nobody_measured_says_so_and_is_in_wider_doubt():
    flank, radius, erd = of("flank_mm"), of("corner_radius_mm"), of("erd_mm")
    assert not flank.measured
    assert flank.standard == pytest.approx(0.15 * 1.3 / math.sqrt(3))
    assert radius.standard == pytest.approx(0.4 * 1.0 / math.sqrt(3))
    assert erd.standard == pytest.approx(2 / math.sqrt(3))
    assert flank.basis == "not measured, assumed within ±15%"
    assert erd.basis == "not measured, assumed within ±2 mm"


@pytest.mark.parametrize(
    ("key", "value"), [("flank_mm", 1.3), ("fillet_radius_mm", 0.75), ("erd_mm", 597)]
)
def test_measuring_removes_doubt(key, value):
    assert of(key, **{key: value}).standard < of(key).standard
    assert of(key, **{key: value}).measured


def test_a_radius_gauge_is_as_good_as_its_steps():
    gauged = of("fillet_radius_mm", fillet_radius_mm=0.75)
    assert gauged.standard == pytest.approx(0.25 / math.sqrt(12))
    assert gauged.basis == "one reading, resolution 0.25 mm"


def test_a_tolerance_stands_for_the_whole_instrument():
    erd = of("erd_mm", erd_mm=Readings((597.0, 597.0), 0.03))
    assert erd.standard == pytest.approx(math.hypot(0.03 / math.sqrt(3), STEP))


def test_what_is_in_a_joint_is_known_as_well_as_scales_weigh_and_to_half_where_nobody_did():
    assert of("joint_mass_g", joint="sleeved").expanded() == pytest.approx(2 * 5 / math.sqrt(3))
    assert of("joint_mass_g", joint="sleeved").basis == "not measured, assumed within ±50%"
    assert of("joint_mass_g", joint="welded").standard == 0
    weighed = of("joint_mass_g", joint_mass_g=12)
    assert (weighed.measured, weighed.basis) == (True, "usual scales ±1 g")
    assert weighed.standard == pytest.approx(1 / math.sqrt(3))


def test_sizes_and_counts_are_exact():
    seat, spokes = of("bead_seat_diameter_mm"), of("spoke_count", spoke_count=28)
    assert seat.standard == spokes.standard == 0
    assert seat.freedom == math.inf
    assert "ISO 5775" in seat.basis
    assert spokes.measured
    assert not of("spoke_count").measured


def test_a_bead_seat_read_several_times_is_as_good_as_its_readings():
    assert of("bead_seat_diameter_mm", bead_seat_diameter_mm=Readings((621.8, 622.0))).standard > 0


@pytest.mark.parametrize("family", DRAWN)
def test_every_length_that_can_be_varied_has_its_doubt(family):
    depth = {"overall_depth_mm": 14} if family is Family.SINGLE else {}
    sheet = Sheet({**WHIMBREL, **depth, "family": family})
    known = uncertainties(sheet)
    lengths = {key for key in sheet.known.numbers if key.endswith("_mm")}
    varied = {key for key in lengths if BY_KEY[key].used_by(family)}
    assert set(known) == varied | {"spoke_count", "joint_mass_g"}
    assert {key for key in known if not known[key].measured} == set(sheet.assumed) & set(known)
    assert all(one.basis for one in known.values())


def test_a_washer_that_is_there_is_in_doubt_as_well():
    assert of("washer_mm", washer_mm=9).standard == of("tyre_well_mm").standard


def test_what_the_caliper_is_off_by_is_not_a_lengths_own():
    """The rest is setting and display, or scatter and display."""
    once, often = of("tyre_well_mm"), of("sidewall_mm")
    assert once.own == pytest.approx(math.hypot(0.02, STEP))
    assert often.own == pytest.approx(math.hypot(0.02 / math.sqrt(3), STEP))
    named = [[part.instrument for part in one.parts if part.instrument] for one in (once, often)]
    assert [each.of_workshop for (each,) in named] == [True, False]
    assert of("flank_mm").own == of("flank_mm").standard


@pytest.mark.parametrize(
    ("given", "measured", "share"),
    [
        ({}, False, BATCH_SHARE / 2),
        ({"proof_MPa": 240}, True, TESTED_SHARE / math.sqrt(3)),
        ({"proof_MPa": 240, "guessed": ["proof_MPa"]}, False, BATCH_SHARE / 2),
    ],
)
def test_a_proof_stress_is_the_alloys_unless_it_was_tested(given, measured, share):
    found = of_proof(Sheet({**WHIMBREL, **given}))
    assert found.measured == measured
    assert found.standard == pytest.approx(share * 240)


def test_a_welded_joint_leaves_less_of_the_mass_open_than_one_that_nobody_looked_at():
    welded, unknown = (
        of_drawing(Sheet({**WHIMBREL, **joint}), 500.0) for joint in ({"joint": "welded"}, {})
    )
    assert welded.standard == pytest.approx(math.hypot(5, 1) / math.sqrt(3))
    assert unknown.standard == pytest.approx(math.hypot(5, 1, 8) / math.sqrt(3))


def test_the_usual_caliper_reads_hundredths():
    assert CALIPER.resolution_mm == 0.01


@pytest.mark.parametrize(("key", "share"), [("lip_taper_mm", 1.0), ("spoke_bed_offset_mm", 0.5)])
def test_a_difference_of_two_readings_has_both_scatters_and_no_error_of_the_caliper(
    sheet_of, key, share
):
    found = uncertainties(sheet_of(**{key: 0.3}))[key]
    single = np.hypot(CALIPER.setting_mm, CALIPER.resolution_mm / 2 / np.sqrt(3))
    assert found.standard == pytest.approx(share * np.sqrt(2) * single)
    assert all(part.instrument is None for part in found.parts)


def test_a_guess_below_nothing_is_as_uncertain_as_one_above(sheet_of):
    above, below = (
        uncertainties(sheet_of(lip_taper_mm=by, guessed=["lip_taper_mm"]))["lip_taper_mm"]
        for by in (0.3, -0.3)
    )
    assert above.standard == below.standard > 0
