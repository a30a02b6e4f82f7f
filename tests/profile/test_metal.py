"""The alloy of a sheet with the builder's own numbers."""

from __future__ import annotations

import pytest

from rimfea.alloys import ALLOYS, alloy
from rimfea.errors import SheetError
from rimfea.profile.fields import BY_KEY
from rimfea.profile.metal import metal
from rimfea.profile.sheet import Sheet

LAPWING = {
    "name": "Lapwing",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
}
OWN = {"alloy": "Fellmetal", "proof_MPa": 310, "ultimate_MPa": 360}


def sheet_of(**changes):
    return Sheet({**LAPWING, **changes})


def faults_of(**changes):
    with pytest.raises(SheetError) as caught:
        sheet_of(**changes)
    return {fault.field: str(caught.value) for fault in caught.value.faults}


@pytest.mark.parametrize("name", ALLOYS)
def test_an_alloy_of_the_table_without_numbers_of_ones_own_is_as_the_table_has_it(name):
    assert sheet_of(alloy=name).metal == alloy(name)


@pytest.mark.parametrize(
    ("key", "value", "attribute", "expected"),
    [
        ("proof_MPa", 250, "proof_MPa", 250),
        ("ultimate_MPa", 300, "ultimate_MPa", 300),
        ("youngs_GPa", 68.9, "youngs_MPa", 68_900),
        ("poisson", 0.33, "poisson", 0.33),
        ("density_kg_m3", 2810, "density_kg_m3", 2810),
    ],
)
def test_a_number_of_ones_own_replaces_that_of_a_known_alloy_alone_and_says_so(
    key, value, attribute, expected
):
    own, listed = sheet_of(**{key: value}).metal, alloy("6061-T6")
    sources = {"source", "fatigue_source"}
    changed = {name for name in vars(own) if getattr(own, name) != getattr(listed, name)}
    assert changed - sources == {attribute}
    assert getattr(own, attribute) == pytest.approx(expected, rel=1e-12)
    (told,) = changed & sources
    assert "from the sheet" in getattr(own, told)
    assert told == "fatigue_source" or own.source.endswith(listed.source)


def test_several_numbers_are_told_in_one_source():
    told = sheet_of(proof_MPa=250, density_kg_m3=2710).metal.source
    assert told.startswith("proof stress, density from the sheet; the rest: EN 1999-1-1:2007")


def test_strengths_of_ones_own_are_not_from_memory_but_one_of_them_alone_may_leave_the_other_so():
    assert not sheet_of(alloy="6082-T6", proof_MPa=260, ultimate_MPa=310).metal.from_memory
    assert sheet_of(alloy="6082-T6", proof_MPa=260).metal.from_memory


def test_metal_beside_a_weld_is_never_stronger_than_the_rest():
    soft = sheet_of(proof_MPa=100, ultimate_MPa=150).metal
    assert (soft.weld_proof_MPa, soft.weld_ultimate_MPa) == (100, 150)
    hard = sheet_of(proof_MPa=250, ultimate_MPa=280).metal
    assert (hard.weld_proof_MPa, hard.weld_ultimate_MPa) == (115, 175)


def test_with_proof_and_ultimate_strength_an_alloy_may_have_any_name():
    sheet = sheet_of(**OWN)
    assert (sheet.alloy, sheet.metal.name) == ("Fellmetal", "Fellmetal")
    assert (sheet.metal.proof_MPa, sheet.metal.ultimate_MPa) == (310, 360)
    assert (sheet.metal.youngs_MPa, sheet.metal.poisson) == (70_000, 0.3)
    assert sheet.metal.source.startswith("proof stress, ultimate strength from the sheet")
    assert not sheet.metal.from_memory
    assert sheet.varied(poisson=0.33) != sheet == sheet.varied()


def test_the_blank_sheet_promises_for_an_unknown_alloy_what_it_then_gets():
    own = sheet_of(**OWN).metal
    notes = {key: BY_KEY[key].default_note for key in BY_KEY}
    assert f"{own.youngs_MPa / 1000:g} GPa" == notes["youngs_GPa"]
    assert f"{own.poisson:g}" == notes["poisson"]
    assert notes["density_kg_m3"].endswith(f"not known {own.density_kg_m3:g} kg/m³")


@pytest.mark.parametrize("missing", ["proof_MPa", "ultimate_MPa"])
def test_an_unknown_alloy_without_both_strengths_is_refused_with_what_to_give(missing):
    told = faults_of(**{**OWN, missing: None})
    assert set(told) == {"alloy"}
    assert "give proof_MPa and ultimate_MPa" in told["alloy"]


def test_an_unusable_strength_hides_no_other_fault_and_makes_none():
    assert set(faults_of(**{**OWN, "proof_MPa": "hard"})) == {"proof_MPa"}
    assert set(faults_of(alloy="Fellmetal", proof_MPa="hard")) == {"alloy", "proof_MPa"}
    assert set(faults_of(proof_MPa=-1, ultimate_MPa=100)) == {"proof_MPa"}


@pytest.mark.parametrize("name", ["", "  "])
def test_an_alloy_without_a_name_is_refused(name):
    assert "must not be empty" in faults_of(**{**OWN, "alloy": name})["alloy"]


def test_a_laminate_stays_refused_whatever_strength_is_given():
    assert "lay-up" in faults_of(**{**OWN, "alloy": "carbon"})["alloy"]
    with pytest.raises(SheetError, match="lay-up"):
        metal("carbon", {"proof_MPa": 310, "ultimate_MPa": 360})


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        ({"proof_MPa": 300, "ultimate_MPa": 299}, "ultimate_MPa", "proof_MPa = 300 MPa"),
        ({"proof_MPa": 300}, "proof_MPa", "ultimate_MPa = 260 MPa (assumed)"),
        ({"ultimate_MPa": 200}, "ultimate_MPa", "proof_MPa = 240 MPa (assumed)"),
    ],
)
def test_strengths_in_the_wrong_order_clash(changes, field, told):
    faults = faults_of(**changes)
    assert set(faults) == {field}
    assert "clash" in faults[field]
    assert told in faults[field]


def test_a_metal_may_break_as_soon_as_it_yields():
    assert sheet_of(proof_MPa=260, ultimate_MPa=260).metal.proof_MPa == 260
