from __future__ import annotations

import pytest

from rimfea.alloys import ALLOYS, DEFAULT_ALLOY, alloy
from rimfea.errors import SheetError

# EN 1999-1-1:2007 Table 3.2b, extruded: 0.2 % proof and ultimate strength, MPa.
EUROCODE = {
    "6060-T66": (160, 215),
    "6061-T6": (240, 260),
    "6063-T5": (130, 175),
    "6063-T6": (160, 195),
    "6063-T66": (200, 245),
    "6005A-T6": (215, 255),
    "6106-T6": (200, 250),
}


@pytest.mark.parametrize("name", EUROCODE)
def test_strengths_are_those_of_the_table(name):
    metal = alloy(name)
    assert (metal.proof_MPa, metal.ultimate_MPa) == EUROCODE[name]
    assert "EN 1999-1-1:2007 Table 3.2b" in metal.source


def test_only_values_not_checked_against_the_book_are_marked_as_from_memory():
    assert {name for name in ALLOYS if not ALLOYS[name].from_memory} == set(EUROCODE)
    assert all("from memory" in metal.source for metal in ALLOYS.values() if metal.from_memory)


def test_every_alloy_yields_before_it_breaks():
    assert all(0 < metal.proof_MPa < metal.ultimate_MPa for metal in ALLOYS.values())


@pytest.mark.parametrize("written", ["6061-T6", "6061 t6", "6061T6"])
def test_capitals_and_hyphens_do_not_matter(written):
    assert alloy(written).name == DEFAULT_ALLOY


def test_an_unknown_alloy_is_answered_with_the_nearest():
    with pytest.raises(SheetError, match=r"did you mean .*6061-T6"):
        alloy("6061-T7")


@pytest.mark.parametrize("name", ["carbon", "CFRP", "a composite", "laminate"])
def test_a_laminate_is_refused_with_the_reason(name):
    with pytest.raises(SheetError, match="lay-up"):
        alloy(name)
