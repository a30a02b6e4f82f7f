"""What was scaled, or why nothing was, in words and as a table."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rimfea.ask.reconcile import Ending, Held, Reconciled, reconcile
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
MASS = Held("mass", "g", 740.0, 786.2, 742.4, 9.4)
ERD = Held("ERD", "mm", 604.0, 597.6, 600.9, 2.36)
SCALED = Reconciled(
    before=TWITE,
    after=TWITE.varied(flank_mm=1.04, bead_seat_mm=1.235, tyre_well_mm=1.287),
    ending=Ending.SCALED,
    held=(MASS,),
    free=("bead_seat_mm", "flank_mm", "tyre_well_mm"),
)


def ended(ending, *held):
    return replace(SCALED, after=TWITE, ending=ending, held=held or (MASS,))


def test_the_headline_gives_both_masses_and_the_largest_change():
    assert reconcile_headline(SCALED) == (
        "drawn mass 786 g, weighed 740 g: 3 numbers are scaled, by the least change for which they "
        "agree within the ±9.4 g that the measurements leave open; most of all flank_mm, by "
        "-20.0 %."
    )


@pytest.mark.parametrize(
    ("ending", "told"),
    [
        (Ending.AGREES, "weighed 740 g: within the ±9.4 g that the measurements leave open"),
        (Ending.NOTHING_FREE, "every length that matters was measured"),
        (
            Ending.OUT_OF_REACH,
            "tyre_well_mm brings the mass to 760 g, off by more than the ±9.4 g",
        ),
    ],
)
def test_where_nothing_is_changed_the_headline_says_why_and_that_it_is_so(ending, told):
    said = reconcile_headline(ended(ending, replace(MASS, after=760.04)))
    assert told in said
    assert said.endswith(UNCHANGED)


def test_an_erd_that_fits_nothing_is_told_with_what_to_do():
    said = reconcile_headline(ended(Ending.OUT_OF_REACH, MASS, ERD))
    assert said.startswith(
        "drawn mass 786 g, weighed 740 g; drawn ERD 598 mm, measured 604 mm: the best change"
    )
    assert "brings the ERD to 601 mm, off by more than the ±2.4 mm" in said
    assert "measure it again, or take it out of the sheet" in said
    assert "take it out" not in reconcile_headline(
        ended(Ending.OUT_OF_REACH, replace(MASS, after=760.0))
    )


def test_the_table_has_every_change_the_largest_on_top_and_the_mass_last():
    table = reconcile_table(SCALED)
    assert table.rows[:3] == (
        ("flank_mm", "1.300", "1.040", "-20.0 %", "was assumed"),
        ("bead_seat_mm", "1.300", "1.235", "-5.0 %", "was assumed"),
        ("tyre_well_mm", "1.300", "1.287", "-1.0 %", "was measured"),
    )
    assert {row[4] for row in table.rows[3:-1]} == {"follows"}
    assert table.rows[-1] == ("mass, g", "786", "742", "-5.6 %", "weighed 740 ± 9.4")
    assert table.marked == {len(table.rows) - 1}
    both = reconcile_table(replace(SCALED, held=(MASS, ERD)))
    assert both.rows[-1] == ("ERD, mm", "598", "601", "+0.6 %", "measured 604 ± 2.4")
    assert len(both.marked) == 2


def test_the_heading_of_the_new_sheet_says_what_is_not_measured():
    assert sheet_heading(SCALED).splitlines() == [
        "twite: scaled to fit, not measured:",
        "tyre_well_mm: 1.3 before, was measured",
        "bead_seat_mm: 1.3 before, was assumed",
        "flank_mm: 1.3 before, was assumed",
    ]


def test_what_a_real_study_found_can_be_told():
    found = reconcile(TWITE)
    assert reconcile_headline(found).startswith("drawn mass 786 g, weighed 740 g: ")
    assert len(reconcile_table(found).rows) == len(found.changes) + 1
