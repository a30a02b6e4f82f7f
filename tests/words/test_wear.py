"""A worn brake track in words, as a table and as a picture."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.ask.wear import Wear
from rimfea.elastic.loads import Pressure, SpokeTension
from rimfea.picture.wear import wear_figure
from rimfea.profile.sheet import Sheet
from rimfea.words.numbers import CAUTION
from rimfea.words.wear import (
    WEAR_CAUTION,
    brake_words,
    hinge_words,
    rounded_up,
    wear_headline,
    wear_table,
)

TODAY = 1.5
SNIPE = {
    "name": "snipe $1",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": TODAY,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
}


def strip(use=0.125, *, margin=2.0, hinge=0.05, mark=None):
    """Wear of a rim whose sidewall is a strip used to those shares today, at 6 bar."""
    t = np.linspace(TODAY, 0.6, 4)
    bent = (TODAY / t) ** 2
    return Wear(
        sheet=Sheet({**SNIPE, "wear_mark_mm": mark}),
        air=Pressure(0.6, 41.7),
        tension=SpokeTension(900.0, 32, 4.5, 8.0),
        margin=margin,
        thickness_mm=t,
        membrane_MPa=1.234 + 0 * t,
        bending_MPa=20.0 * bent,
        peak_MPa=30.0 * bent,
        first_yield=use * bent,
        hinge=hinge * bent,
    )


def test_the_headline_gives_the_limit_why_and_what_is_left():
    assert wear_headline(strip(use=0.3)) == (
        "at 6 bar no thinner than 1.17 mm, where the margin of 2 is used up; "
        "measured 1.50 mm: 0.33 mm left"
    )


def test_the_headline_says_when_no_margin_is_left():
    assert wear_headline(strip(margin=9.0)) == (
        "at 6 bar the sidewall lacks a margin of 9 even now (measured 1.50 mm): the rim is done"
    )


@pytest.mark.parametrize("use", [0.01, 0.125])
def test_no_advice_goes_below_what_is_common_practice(use):
    assert wear_headline(strip(use=use)) == (
        "at 6 bar no thinner than 1.00 mm, the least that is common practice; "
        "measured 1.50 mm: 0.50 mm left"
    )


def test_the_makers_mark_has_the_last_word():
    assert wear_headline(strip(mark=1.1)) == (
        "at 6 bar no thinner than 1.10 mm, where the maker's wear mark is gone; "
        "measured 1.50 mm: 0.40 mm left"
    )
    assert wear_headline(strip(mark=0.7)) == wear_headline(strip())


def test_a_sidewall_at_its_limit_is_done():
    assert wear_headline(strip(mark=1.4999)).endswith("measured 1.50 mm: the rim is done")


def test_a_limit_is_rounded_to_the_thicker_hundredth_and_agrees_with_what_is_left():
    told = wear_headline(strip(use=0.3201))  # 1.2002 mm
    assert "no thinner than 1.21 mm" in told
    assert told.endswith("0.29 mm left")
    assert rounded_up(0.75) == 0.75
    assert rounded_up(0.29 + 1e-12) == 0.29


@pytest.mark.parametrize(
    ("use", "hinge", "told"),
    [
        (0.1, 0.05, "No sidewall down to 0.60 mm yields at its root by 6 bar."),
        (0.25, 0.05, "At 0.75 mm 6 bar makes the sidewall yield at its root."),
        (
            0.36,
            0.25,
            "At 0.90 mm 6 bar makes the sidewall yield at its root, and at 0.75 mm bends it open.",
        ),
        (
            1.2,
            0.9,
            "WARNING: 6 bar makes the sidewall yield at its root even now. Do not inflate it.",
        ),
    ],
)
def test_it_is_told_when_the_pressure_alone_is_too_much_for_the_sidewall(use, hinge, told):
    assert hinge_words(strip(use=use, hinge=hinge)) == told


def test_what_is_told_never_stands_above_a_row_that_says_otherwise():
    """No row of the table may yield at less than the pressure that no sidewall is said to mind."""
    for use in np.linspace(0.05, 1.1, 12):
        known = strip(use=use, hinge=use / 1.4)
        says_none = hinge_words(known).startswith("No sidewall")
        assert says_none == (known.first_yield_MPa.min() >= known.air.pressure_MPa)


def test_an_unsaid_brake_is_told():
    assert "blocks on the rim" in brake_words(strip())
    said = replace(strip(), sheet=strip().sheet.varied(brake="rim"))
    assert brake_words(said) == ""


def test_the_table_gives_a_row_a_thickness_with_the_pressures_it_bears():
    table = wear_table(strip())
    assert table.title == (
        "Root of the sidewall worn from outside, 6 bar in a tyre 42 mm wide, 900 N a spoke"
    )
    assert table.rows[0] == ("1.50", "48.0 bar", "120 bar", "1.2 MPa", "20.0 MPa")
    assert table.rows[-1] == ("0.60", "7.7 bar", "19.2 bar", "1.2 MPa", "125 MPa")
    assert table.marked == {0}


@pytest.mark.parametrize("known", [strip(), strip(margin=9.0), strip(mark=1.1), strip(np.inf)])
def test_the_picture_shows_today_limit_and_mark_and_ends_with_the_caution(known):
    figure = wear_figure(known)
    figure.canvas.draw()
    for axes in figure.axes:
        told = {text.get_text() for text in axes.texts}
        assert "today, 1.50 mm" in told
        assert ("limit, 1.00 mm" in told) == (known.limit_mm == 1.0)
        assert ("wear mark, 1.10 mm" in told) == (known.mark_mm is not None)
        left, right = axes.get_xlim()
        assert right < known.thickness_mm.min()
        assert left > TODAY
    assert figure.get_suptitle().startswith(r"snipe \$1: at 6 bar")
    assert figure.get_supxlabel() == f"{WEAR_CAUTION}\n{CAUTION}"
