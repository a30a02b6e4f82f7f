from __future__ import annotations

import pytest

from rimfea.alloys import ALLOYS, DEFAULT_ALLOY, alloy, listed_alloy, unlisted_alloy
from rimfea.errors import SheetError

# EN 1999-1-1:2007 Table 3.2b, extruded: 0.2 % proof and ultimate strength, MPa; the same in the
# zone softened by a weld, and the factors printed beside them.
EUROCODE = {
    "6060-T5": (120, 160, 50, 80, 0.42, 0.50),
    "6060-T6": (140, 170, 60, 100, 0.43, 0.59),
    "6060-T66": (160, 215, 65, 110, 0.41, 0.51),
    "6061-T4": (110, 180, 95, 150, 0.86, 0.83),
    "6061-T6": (240, 260, 115, 175, 0.48, 0.67),
    "6063-T5": (130, 175, 60, 100, 0.46, 0.57),
    "6063-T6": (160, 195, 65, 110, 0.41, 0.56),
    "6063-T66": (200, 245, 75, 130, 0.38, 0.53),
    "6005A-T6": (215, 255, 115, 165, 0.53, 0.65),
    "6106-T6": (200, 250, 95, 160, 0.48, 0.64),
}
# The same table, citation from memory.
REMEMBERED = {
    "6082-T5": (230, 270, 125, 185, 0.54, 0.69),
    "6082-T6": (250, 290, 125, 185, 0.50, 0.64),
    "7020-T6": (290, 350, 205, 280, 0.71, 0.80),
}
WELDED = {**EUROCODE, **REMEMBERED}
# EN 755-2, citation from memory.
UNWELDED = {"7005-T6": (290, 350), "7075-T6": (460, 530)}
# Aluminum Association, Aluminum Standards and Data, nominal density, kg/m³, citation from memory;
# 7020 is not in that book: as 7005, which has as much zinc.
DENSITY = {"7005-T6": 2780, "7020-T6": 2780, "7075-T6": 2810}


@pytest.mark.parametrize("name", WELDED)
def test_strengths_are_those_of_the_table_and_agree_with_the_factors_printed_there(name):
    metal = alloy(name)
    proof, ultimate, weld_proof, weld_ultimate, *factors = WELDED[name]
    assert (metal.proof_MPa, metal.ultimate_MPa) == (proof, ultimate)
    assert (metal.weld_proof_MPa, metal.weld_ultimate_MPa) == (weld_proof, weld_ultimate)
    ours = [metal.weld_proof_MPa / metal.proof_MPa, metal.weld_ultimate_MPa / metal.ultimate_MPa]
    assert ours == pytest.approx(factors, abs=0.0051)
    assert "EN 1999-1-1:2007 Table 3.2b" in metal.source


@pytest.mark.parametrize("name", UNWELDED)
def test_what_is_not_in_the_table_of_welded_strengths_has_none(name):
    metal = alloy(name)
    assert (metal.proof_MPa, metal.ultimate_MPa) == UNWELDED[name]
    assert (metal.weld_proof_MPa, metal.weld_ultimate_MPa) == (None, None)
    assert "EN 755-2" in metal.source


def test_every_alloy_of_the_program_is_looked_at_here():
    assert set(ALLOYS) == {*WELDED, *UNWELDED}


def test_only_values_not_checked_against_the_book_are_marked_as_from_memory():
    assert {name for name in ALLOYS if not ALLOYS[name].from_memory} == set(EUROCODE)
    assert all(("not checked" in metal.source) == metal.from_memory for metal in ALLOYS.values())


def test_alloys_of_zinc_and_copper_are_heavier_than_those_of_magnesium_and_silicon():
    for name, metal in ALLOYS.items():
        assert metal.density_kg_m3 == DENSITY.get(name, 2700)


def test_every_strength_is_a_minimum_value_and_says_so():
    assert all(", minimum, " in metal.source for metal in ALLOYS.values())


def test_every_alloy_yields_before_it_breaks():
    for metal in ALLOYS.values():
        assert 0 < metal.proof_MPa < metal.ultimate_MPa
        assert (metal.weld_proof_MPa or 0) < metal.proof_MPa


@pytest.mark.parametrize("written", ["6061-T6", "6061 t6", "6061T6"])
def test_capitals_and_hyphens_do_not_matter(written):
    assert alloy(written).name == DEFAULT_ALLOY


def test_an_unknown_alloy_is_answered_with_the_nearest():
    with pytest.raises(SheetError, match=r"did you mean .*6061-T6"):
        alloy("6061-T7")


def test_an_unknown_alloy_is_answered_with_what_to_give_instead():
    with pytest.raises(SheetError, match="give proof_MPa and ultimate_MPa"):
        alloy("tin")
    assert listed_alloy("tin") is None


def test_an_alloy_that_is_not_in_the_table_has_its_own_strengths_and_is_aluminium_otherwise():
    own = unlisted_alloy("Fellmetal", 300, 340)
    assert (own.name, own.proof_MPa, own.ultimate_MPa) == ("Fellmetal", 300, 340)
    assert (own.youngs_MPa, own.poisson, own.density_kg_m3) == (70_000, 0.3, 2700)
    assert own.weld_proof_MPa is own.weld_ultimate_MPa is None


@pytest.mark.parametrize("name", ["carbon", "CFRP", "a composite", "laminate"])
def test_a_laminate_is_refused_with_the_reason(name):
    with pytest.raises(SheetError, match="lay-up"):
        alloy(name)
