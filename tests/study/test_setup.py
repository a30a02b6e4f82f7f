from __future__ import annotations

from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.elastic.spokes import spokes
from rimfea.errors import SheetError
from rimfea.study.cases import Loading
from rimfea.study.setup import (
    FIELDS,
    End,
    Setup,
    blow,
    lacing,
    loading,
    obstacle,
    tyre,
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


def test_a_tyre_without_a_width_is_one_that_suits_and_stands_as_high_as_it_is_wide():
    on = tyre(BOG.varied(tyre_width_mm=None), End.REAR, 41.0)
    assert (on.width_mm, on.height_mm) == (41.0, 41.0)


@pytest.mark.parametrize(("name", "share"), [("flat ground", 0.5), ("kerb", 0.5), ("Rock", 1.0)])
def test_a_rock_meets_one_hook_and_all_else_both(name, share):
    assert obstacle(BOG.varied(obstacle=name)).right_share == share


def test_the_harder_of_drop_and_step_is_the_blow():
    on = tyre(BOG, End.REAR, 45.0)
    rolled = blow(BOG, End.REAR, on, 311.0).drop_mm
    assert rolled > 50
    assert blow(BOG.varied(drop_mm=500.0), End.REAR, on, 311.0).drop_mm == 500
    assert blow(BOG.varied(obstacle="flat ground"), End.REAR, on, 311.0).drop_mm == 0
