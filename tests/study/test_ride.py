"""One wheel of a set-up: ladder, air, casing, window."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.elastic.harmonics import TOLERANCE
from rimfea.elastic.loads import Strike
from rimfea.errors import LoadError, MeshError, SolveError
from rimfea.strike import tyre
from rimfea.strike.blow import drop_for, hook_force, peak_force
from rimfea.strike.casing import Casing, crown_profile, squeeze
from rimfea.strike.ladder import SPRINGY, Event
from rimfea.strike.tyre import LAYERS
from rimfea.study import cases
from rimfea.study import setup as setups
from rimfea.study.analysis import analyse_slice
from rimfea.study.cases import BOTH_HOOKS, ONE_HOOK
from rimfea.study.outcome import outcomes
from rimfea.study.ride import ride, rides, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.study.window import Limit
from rimfea.vary.datum import datum

COARSE = 2.0
FAST = {"step_mm": 50.0, "speed_km_h": 25.0}  # higher than what the tyre gives way
MOOR = Setup.from_values({"name": "moor", "tyre_width_mm": 45.0, "radius_mm": 60.0})


def ridden(sheet, setup=MOOR, end=End.REAR):
    return ride(wheel_of(sheet, setup, end, coarseness=COARSE), setup, end)


def again(known, **changes):
    """The analysed wheel of a ride under a set-up changed in what does not act already."""
    return ride(known.analysis, known.setup.varied(**changes), known.end)


def rung(known, event):
    return next(each for each in known.ladder.rungs if each.event is event)


def drops(known):
    return {event: rung(known, event).drop_mm for event in SPRINGY}


@pytest.fixture(scope="module")
def rear(sheet_of):
    return ridden(sheet_of())


@pytest.fixture(scope="module")
def kerb(rear):
    return again(rear, obstacle="kerb", radius_mm=20.0)


@pytest.fixture(scope="module", params=["rock", "kerb"])
def either(request, rear, kerb):
    return {"rock": rear, "kerb": kerb}[request.param]


def test_rungs_are_in_the_order_in_which_they_are_reached(either):
    rungs = either.ladder.rungs
    assert len(rungs) == 4
    assert (rungs[0].event, rungs[0].hook_N) == (Event.FLAT, 0.0)
    for name in ("hook_N", "energy_J", "drop_mm"):
        reached = [getattr(each, name) for each in rungs]
        assert reached == sorted(reached), name
    high = again(either, **FAST).ladder
    assert list(high.speed_m_s) == sorted(high.speed_m_s)
    assert 0 < high.speed_m_s[0] < high.speed_m_s[-1] < np.inf
    assert list(high.pressure_MPa) == sorted(high.pressure_MPa, reverse=True)


def test_yield_and_set_on_the_ladder_are_those_of_the_answer(either):
    answer = either.answer
    first, full = answer.verdict.governing, answer.verdict.by_hinge[0]
    assert rung(either, Event.YIELD).wall == first.wall
    assert rung(either, Event.YIELD).hook_N == answer.load_at(first.first_yield)
    assert rung(either, Event.SET).wall == full.wall
    assert rung(either, Event.SET).hook_N == answer.load_at(full.hinge)


def test_the_drop_of_a_rung_brings_its_force(either):
    for each in either.ladder.rungs:
        blow = replace(either.blow, drop_mm=each.drop_mm, step=None)
        force = hook_force(blow, either.ladder.stiffness_N_mm, either.ladder.cushion)
        assert each.drop_mm == 0 or force == pytest.approx(each.hook_N, abs=1e-6)


def test_the_speed_of_a_rung_brings_its_force(either):
    high = again(either, **FAST)
    for each, speed in zip(high.ladder.rungs, high.ladder.speed_m_s, strict=True):
        rolled = again(high, speed_km_h=3.6 * speed)
        assert rolled.hook_N == pytest.approx(each.hook_N, rel=0.03, abs=15)


def test_a_step_lower_than_the_tyre_gives_way_reaches_no_rung_at_any_speed(rear):
    fast = again(rear, speed_km_h=120.0)
    assert fast.hook_N == 0
    assert set(fast.ladder.speed_m_s) == {np.inf}
    assert fast.needed_MPa < fast.tyre.pressure_MPa


def test_what_a_blow_needs_beyond_what_tyres_take_is_not_by_air(rear):
    high = again(rear, drop_mm=900.0)
    assert set(high.ladder.pressure_MPa[:2]) == {np.inf}
    assert high.needed_MPa == np.inf
    assert high.tyre.most_MPa == pytest.approx(20 / 45)


def test_the_drop_that_is_as_hard_presses_as_hard(rear):
    high = again(rear, **FAST)
    dropped = replace(high.blow, drop_mm=high.drop_mm, step=None)
    stiff, soft = high.ladder.stiffness_N_mm, high.ladder.cushion
    assert peak_force(dropped, stiff, soft) == pytest.approx(peak_force(high.blow, stiff, soft))
    alone = again(rear, drop_mm=150.0, speed_km_h=0.0)
    assert alone.drop_mm == pytest.approx(150.0)
    assert drop_for(0.0, high.blow, stiff, soft) == 0


def test_at_its_rung_the_casing_is_squeezed_as_hard_as_it_bears(either):
    crown, casing = crown_profile(either.analysis.outline), Casing(LAYERS * 1.5)
    share = 1.0 if either.answer.name == ONE_HOOK else 0.5
    force = rung(either, Event.CASING).hook_N * share / either.answer.landing_mm
    assert squeeze(crown, casing, force).peak_MPa == pytest.approx(60.0, rel=1e-6)


def test_flat_ground_and_a_kerb_meet_both_hooks_and_a_rock_one(rear, kerb):
    flat = again(rear, obstacle="flat ground", drop_mm=200.0)
    assert [each.answer.name for each in (rear, kerb, flat)] == [ONE_HOOK, BOTH_HOOKS, BOTH_HOOKS]
    strike = flat.answer.case.loads[0]
    assert isinstance(strike, Strike)
    assert strike.right_share == 0.5


def test_both_hooks_bear_more_and_give_way_less_than_one(rear, kerb):
    assert rung(kerb, Event.YIELD).hook_N > 1.2 * rung(rear, Event.YIELD).hook_N
    assert kerb.ladder.stiffness_N_mm > 1.2 * rear.ladder.stiffness_N_mm
    assert kerb.squeeze.peak_MPa < rear.squeeze.peak_MPa


def test_on_flat_ground_the_blow_is_the_drop(rear):
    flat = again(rear, obstacle="flat ground", drop_mm=300.0, speed_km_h=40.0)
    assert flat.blow.drop_mm == 300.0
    still = again(rear, obstacle="flat ground", drop_mm=0.0)
    assert still.hook_N == 0
    assert still.drop_mm == pytest.approx(0.0, abs=1e-9)


def test_more_air_raises_every_rung_though_the_flat_tyre_bears_more_then(sheet_of, rear):
    hard = again(ridden(sheet_of(), MOOR.varied(rear_pressure_bar=3.5)), drop_mm=80.0)
    rear = again(rear, drop_mm=80.0)
    for event, drop in drops(rear).items():
        assert drops(hard)[event] > drop
    assert hard.hook_N <= rear.hook_N
    assert rung(hard, Event.YIELD).hook_N < rung(rear, Event.YIELD).hook_N
    margins = [each.tyre.pressure_MPa / each.needed_MPa for each in (rear, hard)]
    assert margins[1] > 1.2 * margins[0]


def test_at_the_air_needed_the_blow_just_brings_first_yield(either):
    """The air that acts already is as it was."""
    fast = again(either, step_mm=45.0, speed_km_h=14.0)
    just = again(fast, rear_pressure_bar=10 * fast.needed_MPa)
    assert 0.05 < fast.needed_MPa < 1.0
    assert fast.hook_N != pytest.approx(just.hook_N, rel=0.01)
    assert just.hook_N == pytest.approx(rung(just, Event.YIELD).hook_N, rel=0.03)


@pytest.mark.long
def test_the_air_needed_hardly_depends_on_the_air_that_stands_by(sheet_of, rear):
    """A wheel built anew at the pressure that it was told to need, half as much again as before,
    needs it but for what its flat tyre presses harder.
    """
    needed = again(rear, **FAST).needed_MPa
    setup = MOOR.varied(**FAST, rear_pressure_bar=10 * needed)
    anew = ridden(sheet_of(), setup)
    print(f"needed {10 * needed:.3f} bar, at that pressure {10 * anew.needed_MPa:.3f} bar")
    assert needed < anew.needed_MPa < 1.02 * needed


def test_with_the_air_needed_for_a_flat_tyre_nothing_reaches_the_hooks(rear):
    fast = again(rear, **FAST)
    enough = 10 * fast.ladder.pressure_MPa[0]
    assert fast.hook_N > 0
    assert again(fast, rear_pressure_bar=1.003 * enough).hook_N == 0
    assert again(fast, rear_pressure_bar=0.997 * enough).hook_N > 0


@pytest.mark.long
def test_a_thicker_hook_never_folds_or_yields_sooner(sheet_of):
    """On the moved mesh of one rim, so that no noise of meshing hides it."""
    around = datum(sheet_of(), MOOR, End.REAR, coarseness=COARSE)
    found = [around.of(sheet_of(bead_hook_mm=hook)) for hook in (1.4, 1.6, 1.8)]
    for event in (Event.SET, Event.YIELD):
        forces = [rung(each, event).hook_N for each in found]
        print(f"{event} at {', '.join(f'{force:.0f} N' for force in forces)}")
        assert forces == sorted(forces)
        assert forces[-1] > 1.015 * forces[0]


@pytest.mark.long
def test_a_wider_lip_never_squeezes_the_casing_harder(sheet_of):
    found = [ridden(sheet_of(hook_lip_mm=lip)) for lip in (2.2, 2.6, 3.0)]
    peaks = [each.squeeze.peak_MPa for each in found]
    cuts = [rung(each, Event.CASING).hook_N for each in found]
    assert peaks == sorted(peaks, reverse=True)
    assert cuts == sorted(cuts)
    assert peaks[-1] < peaks[0] / 1.2


@pytest.mark.long
def test_a_heavier_rider_needs_a_lower_drop_for_every_rung(sheet_of, rear):
    heavy = ridden(sheet_of(), MOOR.varied(rider_kg=120.0))
    assert heavy.blow.mass_kg > rear.blow.mass_kg
    for event, drop in drops(rear).items():
        assert drops(heavy)[event] < drop
    assert heavy.needed_MPa > rear.needed_MPa
    assert heavy.window.lowest.tension_N > rear.window.lowest.tension_N


@pytest.mark.long
def test_front_and_rear_differ_as_their_shares_do(sheet_of):
    setup = MOOR.varied(
        front_share=0.3, rear_pressure_bar=2.5, front_pressure_bar=2.5, rear_right_mm=35.0
    )
    front, rear = (ridden(sheet_of(), setup, end) for end in End)
    assert (front.end, rear.end) == (End.FRONT, End.REAR)
    assert front.blow.mass_kg / rear.blow.mass_kg == pytest.approx(3 / 7)
    assert front.blow.weight_N / rear.blow.weight_N == pytest.approx(3 / 7)
    assert front.ladder.cushion == rear.ladder.cushion
    assert front.ladder.stiffness_N_mm == pytest.approx(rear.ladder.stiffness_N_mm)
    assert front.seat.amplitude_MPa / rear.seat.amplitude_MPa == pytest.approx(3 / 7, rel=0.02)
    assert drops(front)[Event.YIELD] > drops(rear)[Event.YIELD]


@pytest.mark.long
def test_both_wheels_of_a_set_up_come_in_order_with_their_own_tension(sheet_of):
    setup = MOOR.varied(front_tension_N=900.0, rear_tension_N=1100.0, rear_right_mm=20.0)
    both = rides(sheet_of(), setup)
    assert [each.name for each in both] == ["Whimbrel, front", "Whimbrel, rear"]
    assert [each.window.target_N for each in both] == pytest.approx([900.0, 1100.0])
    front, rear = (each.analysis.lacing for each in both)
    assert (front.right_mm, rear.right_mm) == (35.0, 20.0)


def test_the_makers_limit_is_the_last_word_on_tension(sheet_of, rear):
    limited = ridden(sheet_of(tension_limit_N=700.0))
    assert rear.window.highest.tension_N > 700.0
    assert limited.window.highest.tension_N == 700.0
    assert limited.window.highest.limit is Limit.MAKER
    assert not limited.window.fits


def test_a_larger_margin_of_the_seat_lowers_what_it_bears(rear):
    once, twice = (again(rear, seat_margin=margin).window.upper[0] for margin in (1.0, 2.0))
    assert once.tension_N == pytest.approx(2 * twice.tension_N)


def test_a_plane_slice_cannot_be_ridden(sheet_of):
    with pytest.raises(LoadError, match="no wheel to ride on: analyse the ring"):
        ride(analyse_slice(sheet_of()), MOOR, End.REAR)


def test_a_tyre_that_does_not_stand_above_the_hooks_is_refused_with_a_remedy(rear):
    with pytest.raises(LoadError, match=r"does not stand above hooks .* give the height above"):
        again(rear, tyre_height_mm=10.0, casing_mm=3.0)


@pytest.mark.long
def test_an_obstacle_of_ones_own_with_its_own_share_of_the_hooks_is_what_is_struck(
    sheet_of, monkeypatch
):
    """Once a set-up knows its name, no branch elsewhere may take it for a rock."""
    share = 0.75
    known = {**tyre.OBSTACLES, "log": lambda radius: tyre.Obstacle("log", radius, np.inf, share)}
    monkeypatch.setattr(setups, "OBSTACLES", known)
    log = Setup.from_values({"name": "bog", "obstacle": "log", "radius_mm": 90.0})
    met = rides(sheet_of(), log)[0]
    (strike,) = met.answer.case.loads
    assert (met.answer.name, strike.right_share) == (cases.UNEVEN, share)
    one, both = (
        next(each for each in met.analysis.answers if each.name == name)
        for name in (cases.ONE_HOOK, cases.BOTH_HOOKS)
    )
    forces = [each.load_at(each.verdict.governing.first_yield) for each in (one, met.answer, both)]
    print("first yield, N: one hook {:.0f}, three quarters {:.0f}, both {:.0f}".format(*forces))
    assert forces == sorted(forces)
    soft = setups.obstacle(log)
    assert (soft.name, soft.along_mm, soft.across_mm) == ("log", 90.0, np.inf)


def test_dents_stand_on_the_ladder_in_place_of_the_set(rear, dented_by_hand):
    known = dented_by_hand(rear)
    rungs = known.full_ladder.rungs
    dents = [each for each in rungs if each.event is Event.DENT]
    assert Event.SET not in [each.event for each in rungs]
    assert [each.set_mm for each in dents] == [0.1, 0.5, 1.0]
    assert [each.drop_mm for each in dents] == [each.drop_mm for each in known.dents]
    assert [each.hook_N for each in dents] == [each.hook_N for each in known.dents]
    assert [each.drop_mm for each in rungs] == sorted(each.drop_mm for each in rungs)
    for each in dents:  # what brings speed and air is as hard, whatever the hook then bears
        blow = replace(known.blow, drop_mm=each.drop_mm)
        hard = hook_force(blow, known.ladder.stiffness_N_mm, known.ladder.cushion)
        assert each.spring_N == pytest.approx(hard)


def test_a_dent_that_is_asked_for_later_comes_onto_the_full_ladder(rear, dented_by_hand):
    wheel = replace(rear)
    assert wheel.full_ladder is wheel.ladder
    vars(wheel)["dent"] = dented_by_hand(rear).dent
    assert Event.DENT in [rung.event for rung in wheel.full_ladder.rungs]


def test_without_a_dent_the_full_ladder_is_the_ladder(rear):
    assert rear.full_ladder is rear.ladder


def test_a_casing_that_bears_more_than_the_hook_is_never_cut(rear, dented_by_hand):
    cut = rung(rear, Event.CASING)
    weak, strong = (np.array([0.5, 0.7, share, 0.8, 0.7]) * cut.hook_N for share in (0.98, 1.2))
    folded, late = (dented_by_hand(rear, force=tuple(force)) for force in (weak, strong))
    assert Event.CASING not in [each.event for each in folded.full_ladder.rungs]
    (there,) = (each for each in late.full_ladder.rungs if each.event is Event.CASING)
    assert there.hook_N == cut.hook_N
    drops = late._dent_drops
    assert drops[1] < there.drop_mm < drops[2]


@pytest.mark.parametrize("error", [SolveError("no rest"), MeshError("too sharp")])
def test_a_dent_that_cannot_be_followed_spoils_nothing(rear, monkeypatch, error):
    def fails(*_):
        raise error

    monkeypatch.setattr("rimfea.study.ride.dent_of", fails)
    wheel = replace(rear)
    assert not wheel.lost_dent
    assert wheel.found_dent is None
    assert wheel.lost_dent
    assert not wheel.knows_dent
    assert wheel.full_ladder is wheel.ladder
    with pytest.raises(type(error)):
        _ = wheel.dent


def test_the_other_wheel_starts_from_the_first_and_says_the_same(rear):
    """As a front wheel solved alone, on other spokes at another tension, with a third of its
    factorisations; its error is found, not taken over.
    """
    sheet = rear.analysis.sheet
    alone = ride(wheel_of(sheet, MOOR, End.FRONT, coarseness=COARSE), MOOR, End.FRONT)
    beside = ride(wheel_of(sheet, MOOR, End.FRONT, beside=rear.analysis), MOOR, End.FRONT)
    ours, theirs = (each.answer.field.ring for each in (beside, alone))
    assert ours.mesh is rear.analysis.mesh
    assert 0 < ours.harmonics.error < TOLERANCE
    np.testing.assert_array_equal(ours.spokes.tension, theirs.spokes.tension)
    assert abs(ours.spokes.tension / rear.answer.field.ring.spokes.tension - 1).max() > 0.01
    found, expected = (
        np.array([value for value in outcomes(each).values() if np.isfinite(value)])
        for each in (beside, alone)
    )
    np.testing.assert_allclose(found, expected, rtol=1e-4)
