from __future__ import annotations

import pytest

from rimfea.errors import UnknownError
from rimfea.study.outcome import OUTCOMES, named
from rimfea.study.outcome_names import NAMES


def test_every_outcome_has_one_name_in_the_order_of_tables():
    assert list(NAMES) == [each.key for each in OUTCOMES]
    assert len({*NAMES.values()}) == len(NAMES)
    assert not {*NAMES.values()} & {*NAMES}


def test_an_outcome_goes_by_its_name_and_by_its_key_in_data():
    for key, name in NAMES.items():
        assert named(name) is named(key)
        assert named(name).name == name


@pytest.mark.parametrize(
    ("typed", "meant"), [("fist-yield", "first-yield"), ("yeld_N", "yield_N"), ("colour", "")]
)
def test_a_wrong_name_is_answered_with_the_one_meant_and_the_names_there_are(typed, meant):
    with pytest.raises(UnknownError) as refused:
        named(typed)
    told = str(refused.value)
    assert (f"did you mean {meant}" in told) == bool(meant)
    assert told.endswith(f"there are: {', '.join(NAMES.values())}")
