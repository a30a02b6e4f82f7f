from __future__ import annotations

from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.elastic.spokes import spokes
from rimfea.errors import SheetError
from rimfea.strike.tyre import Tyre, cushion, flat_ground
from rimfea.study.cases import Loading, tyre
from rimfea.study.setup import (
    FIELDS,
    End,
    Setup,
    blow,
    lacing,
    loading,
    obstacle,
)

BOG = Setup.from_values({"name": "bog", "tyre_width_mm": 45.0})
shares = st.floats(0.06, 0.94)


def test_the_table_of_keys_is_the_set_up():
    assert [field.key for field in FIELDS] == [field.name for field in fields(Setup)]


def test_all_faults_of_a_set_up_are_told_at_once():
    wrong = {"rider_kg": 900, "front_share": "half", "ridder_kg": 80, "obstacle": "kerp"}
    with pytest.raises(SheetError) as caught:
        Setup.from_values(wrong)
    told = str(caught.value)
    assert {fault.field for fault in caught.value.faults} == {*wrong, "name"}
    assert "did you mean rider_kg" in told
    assert "did you mean kerb" in told


@pytest.mark.parametrize("raw", [True, float("nan"), float("inf"), [], None])
def test_no_number_is_taken_from_what_is_none(raw):
    given_none = raw is None
    if given_none:
        assert Setup.from_values({"name": "bog", "rider_kg": raw}).rider_kg == 80
    else:
        with pytest.raises(SheetError, match="rider_kg"):
            Setup.from_values({"name": "bog", "rider_kg": raw})


@given(shares)
def test_both_wheels_bear_all_of_the_weight(share):
    setup = BOG.varied(front_share=share)
    weight = sum(setup.wheel_N(end) for end in End)
    assert weight == pytest.approx((80 + 12) * 9.80665)


@given(st.floats(0, 1))
def test_a_rider_who_gives_way_is_less_of_a_blow_than_of_a_weight(rigid):
    setup = BOG.varied(rigid_share=rigid)
    assert setup.rigid_kg(End.REAR) * 9.80665 <= setup.wheel_N(End.REAR) * (1 + 1e-12)


def test_each_wheel_has_its_own_air_tension_and_hub():
    setup = BOG.varied(front_pressure_bar=2.0, rear_tension_N=1100.0, rear_left_mm=20.0)
    front, rear = (loading(setup, end) for end in (End.FRONT, End.REAR))
    assert (front.pressure_MPa, rear.pressure_MPa) == pytest.approx((0.2, 0.25))
    assert (front.tension_N, rear.tension_N) == (None, 1100.0)


def test_the_strike_is_that_of_the_loading_given():
    assert loading(BOG, End.REAR, Loading(strike_N=700.0)).strike_N == 700.0


def test_a_rear_hub_that_nobody_described_has_the_usual_dish(sheet_of):
    """Sprockets take room on the right: those spokes stand steeper, and pull harder."""
    rear, front = (lacing(BOG, end, sheet_of()) for end in (End.REAR, End.FRONT))
    assert rear.right_mm < rear.left_mm
    assert front.right_mm == front.left_mm
    right, left = spokes(rear, 300.0).tension[:2]
    assert left < 0.7 * right


def test_the_hub_of_the_set_up_makes_the_dish(sheet_of):
    laced = lacing(BOG.varied(rear_left_mm=20.0), End.REAR, sheet_of())
    assert (laced.right_mm, laced.left_mm) == (20.0, 20.0)


def test_a_tyre_without_a_width_is_one_that_suits_and_stands_as_high_as_it_is_wide(sheet_of):
    bare = loading(BOG.varied(tyre_width_mm=None, rear_pressure_bar=3.1), End.REAR)
    on = tyre(sheet_of(inner_width_mm=24.0), bare)
    assert (on.width_mm, on.height_mm) == pytest.approx((40.0, 40.0))
    assert (on.casing_mm, on.pressure_MPa) == pytest.approx((1.5, 0.31))
    assert on.most_MPa == pytest.approx(0.5)


@pytest.mark.parametrize(("name", "share"), [("flat ground", 0.5), ("kerb", 0.5), ("Rock", 1.0)])
def test_a_rock_meets_one_hook_and_all_else_both(name, share):
    assert obstacle(BOG.varied(obstacle=name)).right_share == share


def test_a_blow_has_the_set_ups_drop_speed_and_step_under_all_the_load_of_the_wheel():
    on = Tyre(45.0, 44.0, 1.5, 0.25)
    both = blow(BOG.varied(drop_mm=500.0), End.REAR, on, 311.0)
    assert (both.drop_mm, both.speed_m_s) == pytest.approx((500.0, 12 / 3.6))
    assert both.mass_kg == pytest.approx(0.55 * (0.3 * 80 + 12))
    assert both.weight_N == pytest.approx(0.55 * 92 * 9.80665)
    met = both.step
    assert (met.height_mm, met.edge_mm, met.wheel_radius_mm) == (30.0, 60.0, 355.0)
    flat = cushion(on, flat_ground(), 311.0, 6.0)
    assert met.ground_per_MPa == pytest.approx(flat.stiffness_per_MPa)


def test_on_level_ground_a_wheel_only_drops():
    level = blow(BOG.varied(obstacle="flat ground"), End.REAR, Tyre(45.0, 44.0, 1.5, 0.25), 311.0)
    assert level.step is None
    assert not level.rolls
