from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.profile.other_units import OTHERS, bare, with_unit


@pytest.mark.parametrize(
    ("text", "unit", "told"),
    [
        ("2.4 cm", "mm", "write the number alone, 24: 2.4 cm = 24 mm"),
        ("2,4cm", "mm", "write the number alone, 24: 2.4 cm = 24 mm"),
        ("1 in", "mm", "write the number alone, 25.4: 1 in = 25.4 mm"),
        ('1"', "mm", 'write the number alone, 25.4: 1 " = 25.4 mm'),
        ("1.25 mm", "mm", "write the number alone, 1.25: the key says the unit"),
        ("0.55 kg", "g", "write the number alone, 550: 0.55 kg = 550 g"),
        ("36 psi", "bar", "write the number alone, 2.482: 36 psi = 2.482 bar"),
        ("3 stone", "kg", "write the number alone, in kg"),
        ("6061-T6", "", ""),
        ("wide", "mm", ""),
    ],
)
def test_a_number_with_a_unit_is_told_in_that_of_its_key(text, unit, told):
    assert with_unit(text, unit) == told


@pytest.mark.parametrize(
    ("number", "unit", "span", "told"),
    [
        (2.4, "mm", (12, 50), "looks like cm: 2.4 cm = 24 mm"),
        (0.55, "g", (100, 3000), "looks like kg: 0.55 kg = 550 g"),
        (80, "N", (100, 3000), "looks like kgf: 80 kgf = 784.5 N"),
        (0.001, "mm", (12, 50), ""),
        (5, "deg", (10, 80), ""),
    ],
)
def test_a_bare_number_is_told_in_the_units_in_which_it_would_do(number, unit, span, told):
    assert bare(number, unit, *span) == told


@given(st.text(max_size=12), st.sampled_from([*OTHERS, "", "furlong"]))
def test_any_text_is_answered(text, unit):
    assert isinstance(with_unit(text, unit), str)
