"""Rims side by side, and what their measurements allow to say."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from inspect import signature

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.ask import compare
from rimfea.ask.choose import candidate
from rimfea.ask.compare import (
    BETTER,
    HEAVIER,
    UNTOLD,
    WORSE,
    Measured,
    differences,
    joint_doubt,
    measured,
    ranks,
    unbeaten,
)
from rimfea.ask.sweep import Sweep
from rimfea.profile.uncertainty import COVERAGE
from rimfea.study.outcome import BY_KEY, OUTCOMES, outcomes
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.vary import results
from rimfea.vary.axis import axes
from rimfea.vary.datum import Datum, datum
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.known import known as known_of
from rimfea.vary.scales import weighed
from rimfea.vary.sensitivity import sensitivity

pytestmark = pytest.mark.long

COARSE = 2.0
MOOR = Setup.from_values({"name": "moor"})
KEYS = ("sidewall_mm", "bead_seat_mm", "hook_lip_mm")
SIDEWALL_MM = 1.5
READ = {
    "flank_mm": 1.2,
    "bead_seat_mm": 1.3,
    "hook_height_mm": 6.0,
    "tyre_well_depth_mm": 3.5,
    "tyre_well_width_mm": 15.0,
    "spoke_bed_width_mm": 17.0,
    "fillet_radius_mm": 0.75,
    "corner_radius_mm": 1.0,
}
LED_BY_SIDEWALL = ("yield_N", "yield_both_N", "radial_N_mm")


def read(value, spread):
    """Readings on either side of a value, with a caliper as good as its reader."""
    return {"readings": [value - spread, value, value + spread], "tolerance_mm": spread}


def sized(known, **slope):
    """A rim of which one dimension is known to 1 mm, with outcomes and slopes as given."""
    base = np.ones(len(OUTCOMES))
    slopes = np.zeros((2, len(OUTCOMES)))
    for key, (value, *by) in slope.items():
        place = OUTCOMES.index(BY_KEY[key])
        base[place], slopes[:, place] = value, by
    return Measured(
        known.ride,
        replace(
            known.sensitivity,
            keys=("sidewall_mm", "hook_lip_mm"),
            base=base,
            slope=slopes,
            lengths=Doubt(
                tuple(
                    Source(Origin.READING, key, known.name)
                    for key in ("sidewall_mm", "hook_lip_mm")
                ),
                np.eye(2),
            ),
            beside=0.0,
            moved_mm=0.0,
        ),
    )


@pytest.fixture(scope="module")
def rim(sheet_of):
    """A rim whose sidewall reads so thick, with readings so far apart; all else is well known, and
    the metal the same in all.
    """

    def make(name, sidewall, spread):
        sheet = sheet_of(
            name=name,
            batch="fell",
            sidewall_mm=read(sidewall, spread),
            hook_lip_mm=read(2.6, 0.005),
            bead_seat_mm=read(1.3, 0.005),
        )
        around = datum(sheet, MOOR, End.REAR, coarseness=COARSE)
        return Measured(around.ride, sensitivity(around, KEYS))

    return make


@pytest.fixture(scope="module")
def thin(rim):
    return rim("thin", SIDEWALL_MM, 0.01)


@pytest.fixture(scope="module")
def thick(rim):
    return rim("thick", SIDEWALL_MM + 0.10, 0.01)


@pytest.fixture(scope="module")
def sloppy(rim):
    """Hardly thicker, and anyone's guess."""
    return rim("sloppy", SIDEWALL_MM + 0.005, 0.07)


def by_key(one, base):
    return {each.outcome.key: each for each in differences(one, base)}


@pytest.mark.parametrize("key", LED_BY_SIDEWALL)
def test_a_tenth_of_a_millimetre_is_told_by_good_readings_whichever_is_the_base(thin, thick, key):
    more, less = by_key(thick, thin)[key], by_key(thin, thick)[key]
    print(f"{key}: {more.percent:+.2f} ± {more.expanded_percent:.2f} %")
    assert (more.verdict, less.verdict) == (BETTER, WORSE)
    assert more.percent > 0 > less.percent
    assert more.is_better
    assert not less.is_better


@pytest.mark.parametrize("key", LED_BY_SIDEWALL)
def test_a_hair_is_not_told_by_sloppy_readings_whichever_is_the_base(thin, sloppy, key):
    for found in (by_key(sloppy, thin)[key], by_key(thin, sloppy)[key]):
        print(f"{key}: {found.percent:+.2f} ± {found.expanded_percent:.2f} %")
        assert found.verdict == UNTOLD
        assert found.is_better is None
        assert found.repeat == Source(Origin.READING, "sidewall_mm", "sloppy")


def test_the_difference_is_that_of_the_outcomes_in_per_cent_of_the_base(thin, thick):
    for place, found in enumerate(differences(thick, thin)):
        one, base = (rim.sensitivity.base[place] for rim in (thick, thin))
        assert found.outcome is OUTCOMES[place]
        assert (1 + found.percent / 100) * base == pytest.approx(one, nan_ok=True)


def test_doubts_of_two_rims_add_as_squares_but_for_what_they_share(thin, sloppy):
    """u²(a − b) = u²(a) + u²(b) − 2 u(a, b), JCGM 100:2008, 5.2.2."""
    for place, found in enumerate(differences(sloppy, thin)):
        one, other = (rim.sensitivity.doubt for rim in (sloppy, thin))
        shared = set(one.sources) & set(other.sources)
        assert {source.origin for source in shared} == {Origin.METAL, Origin.INSTRUMENT}
        together = sum(
            one.shares[one.sources.index(each), place]
            * other.shares[other.sources.index(each), place]
            for each in shared
        )
        variance = one.standard[place] ** 2 + other.standard[place] ** 2 - 2 * together
        whole = abs(thin.sensitivity.base[place])
        expected = 100 * COVERAGE * np.sqrt(variance) / whole
        assert found.expanded_percent == pytest.approx(expected, nan_ok=True)


def test_metal_of_one_batch_hardly_counts_and_that_of_two_is_told(thin, thick):
    apart = [own_metal(each) for each in (thick, thin)]
    alike, unlike = by_key(thick, thin)["yield_N"], by_key(*apart)["yield_N"]
    print(f"one batch ±{alike.expanded_percent:.2f} %, two ±{unlike.expanded_percent:.2f} %")
    assert alike.metal_percent < 0.1 * unlike.metal_percent
    assert (alike.verdict, unlike.verdict) == (BETTER, UNTOLD)
    assert unlike.repeat.origin is Origin.METAL
    assert unlike.would
    verdict, rest = unlike.of_known_metal
    assert verdict == BETTER
    assert rest == pytest.approx(alike.of_known_metal[1])
    assert by_key(*apart)["radial_N_mm"].metal_percent == pytest.approx(0, abs=1e-6)


def own_metal(rim):
    """The same rim of a batch that nobody knows."""
    own = rim.sensitivity.lengths
    sources = tuple(
        replace(each, rim=rim.name) if each.origin is Origin.METAL else each for each in own.sources
    )
    known = replace(rim.sensitivity, lengths=replace(own, sources=sources))
    return replace(rim, sensitivity=known)


def test_one_caliper_for_both_rims_leaves_less_of_their_difference_than_two(sheet_of):
    """Two rims of which every wall was read once: the caliper is off by the same in both."""
    sheets = [sheet_of(name=name, **READ) for name in ("a", "b")]
    one, other = (weighed(each).lengths.through(weighed(each).per_mm_g[:, None]) for each in sheets)
    shared = one.minus(other).standard[0]
    calipers = np.hypot(one.standard[0], other.standard[0])
    print(
        f"mass ±{2 * one.standard[0]:.1f} g; difference ±{2 * shared:.1f}, not ±{2 * calipers:.1f}"
    )
    assert shared < 0.95 * calipers
    own = one.of({Origin.READING, Origin.GUESS}).standard[0]
    assert shared == pytest.approx(np.sqrt(2) * own)


def test_ten_grams_on_the_scales_are_told_apart_and_were_not_by_the_drawing(thin, monkeypatch):
    """Two rims of one drawing, one 540 and the other 530 g on scales good for a gram."""
    around = datum(thin.ride.analysis.sheet, MOOR, End.REAR, coarseness=COARSE)
    steps = {key: around.stepped(key) for key in KEYS}
    monkeypatch.setattr(Datum, "stepped", lambda _, key: steps[key])
    sheet, mass = around.ride.analysis.sheet, around.ride.analysis.hoop.mass_g
    heavy, light = (
        Measured(around.ride, sensitivity(around, KEYS, known_of(sheet.varied(**on))))
        for on in ({"name": "a", "weighed_mass_g": mass + by} for by in (5.0, -5.0))
    )
    drawn = by_key(thin, thin)["mass_g"]
    assert drawn.verdict == UNTOLD
    found = by_key(heavy, light)["mass_g"]
    print(f"{found.percent:+.2f} ± {found.expanded_percent:.2f} %")
    assert (found.verdict, found.is_better) == (HEAVIER, False)
    assert found.percent == pytest.approx(100 * 10 / (mass - 5))
    assert found.expanded_percent == pytest.approx(100 * COVERAGE * np.sqrt(2 / 3) / (mass - 5))


def test_a_rim_is_not_told_apart_from_itself(thin):
    for found in differences(thin, thin):
        assert np.nan_to_num(found.percent) == 0
        assert found.verdict == UNTOLD


@pytest.mark.parametrize(
    ("gap", "doubts", "verdict", "would"),
    [
        (10.0, (3.0, 1.0), BETTER, False),  # 2 √(9 + 1) < 10: told already
        (4.0, (3.0, 1.0), UNTOLD, True),  # 2 · 1 < 4
        (1.5, (3.0, 1.0), UNTOLD, False),  # 2 · 1 > 1.5
        (-4.0, (-3.0, 1.0), UNTOLD, True),
        (-10.0, (-3.0, 1.0), WORSE, False),
    ],
)
def test_one_measurement_more_would_tell_if_the_rest_is_small_enough(
    thin, gap, doubts, verdict, would
):
    one = sized(thin, yield_N=(100.0 + gap, *doubts))
    base = sized(thin, yield_N=(100.0, 0.0, 0.0))
    found = by_key(one, base)["yield_N"]
    assert (found.verdict, found.would) == (verdict, would)
    assert found.repeat == Source(Origin.READING, "sidewall_mm", "thin")
    assert found.percent == pytest.approx(gap)


def test_less_of_what_is_better_small_is_an_advantage(thin):
    light, heavy = (sized(thin, mass_g=(mass, 1.0, 0.0)) for mass in (500.0, 600.0))
    pairs = [(light, heavy), (heavy, light)]
    assert [by_key(*pair)["mass_g"].is_better for pair in pairs] == [True, False]


def test_the_best_comes_first_and_equal_ones_share_a_rank(thin):
    rims = [sized(thin, mass_g=(m, 0, 0), yield_N=(m, 0, 0)) for m in (620.0, 500.0, 500.0, 700.0)]
    assert ranks(rims, BY_KEY["mass_g"]) == (3, 1, 1, 4)
    assert ranks(rims, BY_KEY["yield_N"]) == (2, 3, 3, 1)


weights = st.lists(st.tuples(st.integers(1, 6), st.integers(1, 6)), min_size=1, max_size=8)


@given(weights)
def test_unbeaten_are_those_that_no_other_beats_one_by_one(pairs):
    def beats(one, other):
        return one[0] <= other[0] and one[1] >= other[1] and one != other

    mass, strength = (np.array(column, dtype=float) for column in zip(*pairs, strict=True))
    expected = [not any(beats(other, one) for other in pairs) for one in pairs]
    assert unbeaten(mass, strength).tolist() == expected


def test_the_joint_doubt_is_symmetric_with_squares_of_each_ones_own(thick):
    for first, second in (("mass_g", "yield_N"), ("set_N", "squeeze_MPa")):
        cover = joint_doubt(thick, BY_KEY[first], BY_KEY[second])
        own = [thick.sensitivity.expanded(key) / COVERAGE for key in (first, second)]
        np.testing.assert_allclose(cover, cover.T, rtol=1e-14)
        np.testing.assert_allclose(np.diag(cover), np.square(own))
        assert np.linalg.eigvalsh(cover).min() > -1e-9 * cover.max()


def test_metal_that_weighs_and_bears_makes_both_doubts_go_together(thin):
    together = sized(thin, mass_g=(500.0, 2.0, 0.0), yield_N=(900.0, 30.0, 0.0))
    np.testing.assert_allclose(
        joint_doubt(together, BY_KEY["mass_g"], BY_KEY["yield_N"]), [[4.0, 60.0], [60.0, 900.0]]
    )


def test_rims_are_compared_in_their_order_and_each_as_if_alone(sheet_of, monkeypatch):
    """Here in this process, coarsely, and by one dimension."""

    def one_key(around):
        return sensitivity(around, ("sidewall_mm",))

    def coarse(*given, **also):
        return datum(*given, coarseness=2.5, **also)

    def here(function, items, start, *, processes):
        assert processes > 1
        return (function(start(), item) for item in items)

    monkeypatch.setattr(compare, "sensitivity", one_key)
    monkeypatch.setattr(compare, "datum", coarse)
    monkeypatch.setattr(results, "each", here)
    sheets = [sheet_of(name=name, sidewall_mm=wall) for name, wall in (("b", 1.6), ("a", 1.5))]
    found = list(compare.compare(sheets, MOOR, End.FRONT))
    assert [rim.name for rim in found] == ["b", "a"]
    assert [rim.ride.end for rim in found] == [End.FRONT, End.FRONT]
    alone = measured(sheets[1], MOOR, End.FRONT)
    np.testing.assert_array_equal(found[1].sensitivity.base, alone.sensitivity.base)


def test_a_rim_has_one_first_yield_wherever_it_is_told(sheet_of):
    """An analysis, a comparison, a sweep's own point and a choice, to the last digit."""
    sheet = sheet_of()
    told = ride(wheel_of(sheet, MOOR, End.REAR), MOOR, End.REAR)
    force = outcomes(told)["yield_N"]
    assert outcomes(datum(sheet, MOOR, End.REAR).ride)["yield_N"] == force
    asked = Sweep(sheet, MOOR, End.REAR, axes(["sidewall_mm=1.45:1.55:3"]))
    fine = {signature(each).parameters["coarseness"].default for each in (datum, candidate)}
    assert fine == {asked.coarseness} == {1.0}


def test_dents_are_asked_before_the_slopes_and_only_where_they_are_wanted(
    sheet_of, dented, monkeypatch
):
    order = []

    def asked(rides):
        for known in rides:
            order.append("dent")
            vars(known).update(vars(dented(known, work_J=3.0)))

    def one_key(around):
        order.append("slopes")
        return sensitivity(around, ("sidewall_mm",))

    monkeypatch.setattr(compare, "ask_dents", asked)
    monkeypatch.setattr(compare, "lighten", lambda _: order.append("lighter"))
    monkeypatch.setattr(compare, "sensitivity", one_key)
    monkeypatch.setattr(compare, "datum", partial(datum, coarseness=2.5))
    monkeypatch.setattr(
        "rimfea.vary.sensitivity.dent_slopes", lambda *_: {"proof_MPa": (10.0, 0.01)}
    )
    (without,) = compare.compare([sheet_of()], MOOR, End.REAR)
    assert np.isnan(without.sensitivity.value("dent_J"))
    assert order == ["slopes", "lighter"]
    (rim,) = compare.compare([sheet_of()], MOOR, End.REAR, dents=True)
    assert rim.sensitivity.value("dent_J") == pytest.approx(3.0)
    assert order[2:] == ["dent", "slopes", "lighter"]


def test_what_is_not_known_has_the_last_rank_and_makes_no_difference(thin):
    rims = [sized(thin, dent_J=(energy, 0, 0)) for energy in (2.0, np.nan, 3.0)]
    assert ranks(rims, BY_KEY["dent_J"]) == (2, 3, 1)
    assert not by_key(rims[0], rims[1])["dent_J"].is_known
    assert by_key(rims[0], rims[2])["dent_J"].is_known
    deep, none = (sized(thin, own_dent_mm=(depth, np.nan, 0)) for depth in (0.3, 0.0))
    found = by_key(deep, none)["own_dent_mm"]
    assert found.is_known
    assert found.is_better is None
