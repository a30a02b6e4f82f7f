from __future__ import annotations

import pytest

from rimfea.errors import UnitError
from rimfea.units import INSIDE, from_unit, to_unit, units_of


@pytest.mark.parametrize(
    ("value", "unit", "inside"),
    [
        (1.0, "kgf", 9.80665),
        (1.0, "lbf", 4.4482216152605),
        (1.0, "bar", 0.1),
        (1.0, "psi", 0.006894757293168361),
        (250.0, "kPa", 0.25),
        (1.0, "inch", 25.4),
        (0.5, "kg", 500.0),
    ],
)
def test_a_unit_is_worth_its_definition(value, unit, inside):
    assert from_unit(value, unit) == pytest.approx(inside, rel=1e-12)


@pytest.mark.parametrize("unit", [unit for units in INSIDE.values() for unit in units])
def test_there_and_back_gives_the_same_number(unit):
    assert from_unit(to_unit(123.4, unit), unit) == pytest.approx(123.4, rel=1e-14)


def test_the_first_unit_of_a_quantity_is_the_one_used_inside():
    for quantity in INSIDE:
        assert to_unit(7.0, units_of(quantity)[0]) == 7.0


def test_an_unknown_unit_is_refused_with_the_choices():
    with pytest.raises(UnitError, match=r"'stone'.*kgf.*psi"):
        to_unit(1.0, "stone")
