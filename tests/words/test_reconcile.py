"""What was scaled, or why nothing was, in words and as a table."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rimfea.ask.reconcile import Ending, Reconciled, reconcile
from rimfea.profile.sheet import Sheet
from rimfea.words.reconcile import (
    UNCHANGED,
    reconcile_headline,
    reconcile_table,
    sheet_heading,
)

TWITE = Sheet(
    {
        "name": "twite",
        "bead_seat_diameter_mm": 622,
        "inner_width_mm": 25,
        "overall_depth_mm": 21,
        "bead_hook_mm": 1.6,
        "hook_lip_mm": 2.6,
        "sidewall_mm": 1.5,
        "tyre_well_mm": 1.3,
        "nipple_seat_mm": 2.8,
        "weighed_mass_g": 740,
    }
)
SCALED = Reconciled(
    before=TWITE,
    after=TWITE.varied(flank_mm=1.04, bead_seat_mm=1.235, tyre_well_mm=1.287),
    ending=Ending.SCALED,
    weighed_g=740.0,
    computed_g=786.2,
    reached_g=740.0,
    open_g=9.4,
    free=("bead_seat_mm", "flank_mm", "tyre_well_mm"),
)


def ended(ending):
    return replace(SCALED, after=TWITE, ending=ending, reached_g=760.04)


def test_the_headline_gives_both_masses_and_the_largest_change():
    assert reconcile_headline(SCALED) == (
        "drawn mass 786.2 g, weighed 740.0 g: 3 numbers are scaled, by the least change that "
        "meets it; most of all flank_mm, by -20.0 %."
    )


@pytest.mark.parametrize(
    ("ending", "told"),
    [
        (
            Ending.AGREES,
            "weighed 740.0 g: within the ±9 g that caliper, joint and scales leave open",
        ),
        (Ending.NOTHING_FREE, "every length that matters was measured"),
        (
            Ending.OUT_OF_REACH,
            "by 0.6 to 1.6 that makes a section comes nearer than 760.0 g",
        ),
    ],
)
def test_where_nothing_is_changed_the_headline_says_why_and_that_it_is_so(ending, told):
    said = reconcile_headline(ended(ending))
    assert told in said
    assert said.endswith(UNCHANGED)


def test_the_table_has_every_change_the_largest_on_top_and_the_mass_last():
    table = reconcile_table(SCALED)
    assert table.rows[:3] == (
        ("flank_mm", "1.300", "1.040", "-20.0 %", "was assumed"),
        ("bead_seat_mm", "1.300", "1.235", "-5.0 %", "was assumed"),
        ("tyre_well_mm", "1.300", "1.287", "-1.0 %", "was measured"),
    )
    assert {row[4] for row in table.rows[3:-1]} == {"follows"}
    assert table.rows[-1] == ("mass, g", "786.2", "740.0", "-5.9 %", "weighed 740.0")
    assert table.marked == {len(table.rows) - 1}


def test_the_heading_of_the_new_sheet_says_what_is_not_measured():
    assert sheet_heading(SCALED).splitlines() == [
        "twite: scaled to the weighed mass, not measured:",
        "tyre_well_mm: 1.3 before, was measured",
        "bead_seat_mm: 1.3 before, was assumed",
        "flank_mm: 1.3 before, was assumed",
    ]


def test_what_a_real_study_found_can_be_told():
    found = reconcile(TWITE)
    assert reconcile_headline(found).startswith("drawn mass 786.2 g, weighed 740.0 g: ")
    assert len(reconcile_table(found).rows) == len(found.changes) + 1
