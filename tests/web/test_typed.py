from __future__ import annotations

import tomllib

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rimfea.errors import Fault
from rimfea.profile.fields import BY_KEY
from rimfea.web.typed import Typed, as_typed, typed

HOOK, MASS = BY_KEY["bead_hook_mm"], BY_KEY["weighed_mass_g"]


@pytest.mark.parametrize(
    ("text", "value", "written"),
    [
        ("2.1", 2.1, "2.1"),
        (" 2.10 ", 2.1, "2.10"),
        ("2,1", 2.1, "2.1"),
        (".5", 0.5, "0.5"),
        ("2.", 2.0, "2"),
        ("2.1 mm", 2.1, "2.1"),
        ("0.21cm", 2.1, "2.1"),
        ("0.083 in", 2.1082, "2.1082"),
        ('0.083"', 2.1082, "2.1082"),
        ("2.1 2.15 2.1", {"readings": [2.1, 2.15, 2.1]}, "{ readings = [2.1, 2.15, 2.1] }"),
        ("2,1; 2,15", {"readings": [2.1, 2.15]}, "{ readings = [2.1, 2.15] }"),
        ("2.1, 2.15", {"readings": [2.1, 2.15]}, "{ readings = [2.1, 2.15] }"),
        ("0.083 0.084 in", {"readings": [2.1082, 2.1336]}, "{ readings = [2.1082, 2.1336] }"),
        (
            "2.1 2.15 ± 0.02",
            {"readings": [2.1, 2.15], "tolerance_mm": 0.02},
            "{ readings = [2.1, 2.15], tolerance_mm = 0.02 }",
        ),
        ("2.1 2.15 +-0.02 mm", {"readings": [2.1, 2.15], "tolerance_mm": 0.02}, None),
    ],
)
def test_a_number_is_taken_as_builders_type_it(text, value, written):
    """Points or commas, with a unit or without, once or several times; written digit by digit."""
    found = typed(HOOK, text)
    assert isinstance(found, Typed), found
    assert found.value == value
    assert written is None or found.written == written
    assert tomllib.loads(f"x = {found.written}")["x"] == value


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("two", "cannot be read"),
        ("2.1mm5", "cannot be read"),
        ("2.1.5", "cannot be read"),
        ("2.1 ± 0.02", "±"),
        ("2.1 2.2 ±", "cannot be read"),
        ("2.1 kg", "kg"),
        ("2.1 in 2.2", "unit"),
        ("2.1 mm 2.2 2.3 mm", "unit"),
        ("9" * 500, "too long"),
    ],
)
def test_what_is_no_number_is_told_with_the_remedy(text, told):
    """At its key."""
    found = typed(HOOK, text)
    assert isinstance(found, Fault)
    assert found.field == HOOK.key
    assert told in found.problem
    assert found.remedy


def test_a_mass_has_units_of_its_own():
    """A hoop of 0.56 kg."""
    assert typed(MASS, "0.56 kg").value == 560.0
    assert isinstance(typed(MASS, "56 mm"), Fault)


@pytest.mark.parametrize("text", ["2.10", "2.1 2.15 2.1", "2.1 2.15 ± 0.02", "0.083 in"])
def test_what_was_typed_is_shown_again(text):
    """Also where the sheet has it in other units: its comment says how it was typed."""
    found = typed(HOOK, text)
    assert as_typed(HOOK, found.written, found.comment) == text


def test_a_comment_that_no_longer_holds_is_passed_over():
    """Somebody changed the number in an editor."""
    assert as_typed(HOOK, "2.3", "# typed: 0.083 in") == "2.3"


@given(st.text(max_size=30))
@example("\x7f")
def test_whatever_is_typed_is_a_value_or_a_fault(text):
    """And never breaks the page."""
    for key in ("bead_hook_mm", "spoke_count", "tones_Hz", "name", "poisson"):
        found = typed(BY_KEY[key], text)
        assert isinstance(found, Typed | Fault)
        if isinstance(found, Typed):
            assert tomllib.loads(f"x = {found.written}")["x"] == found.value
