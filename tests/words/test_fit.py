"""What is said of the sheet that was made of a section."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from rimfea.ask.fit import Rated
from rimfea.profile.build import outline
from rimfea.profile.families import Family
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.traced.as_traced import trace_of
from rimfea.traced.fit import Fit
from rimfea.words.fit import fit_words, named_table, sheet_heading

POINTS = np.array([[1.0, 2.0], [3.0, 4.0]])


def rated(sheet_of, away, *, kept=False, alike=0.95):
    sheet, slopes = sheet_of(Family.SINGLE), np.zeros((2, 1))
    fit = Fit(sheet, POINTS, np.array(away), {"sidewall_mm": 0.01}, slopes) if away else None
    if kept:
        own = {"name": "knot", "bead_seat_diameter_mm": 622, "family": Family.TRACED}
        sheet = Sheet({**own, "section": trace_of(outline(sheet))})
    return Rated(sheet, fit, {Wall.SIDEWALL: 0.97, Wall.FLANK: alike} if kept else {})


def test_a_sheet_that_draws_the_section_is_told_with_how_near_and_where_it_is_worst(sheet_of):
    assert fit_words(rated(sheet_of, [0.001, -0.012])) == (
        "As a sheet it is a single wall, drawn within 0.009 mm, at worst 0.01 mm at x 3.0, "
        "y 4.0 mm."
    )


def test_where_none_does_the_section_is_kept(sheet_of):
    told = fit_words(rated(sheet_of, [0.3, 0.1], kept=True))
    assert told.startswith("No sheet draws this section: the nearest, a single wall, misses it by")
    assert told.endswith("only its walls can be made thicker.")
    assert "No sheet draws" in fit_words(rated(sheet_of, [], kept=True))
    assert fit_words(rated(sheet_of, [0.001, 0.001], kept=True)).startswith("It is kept as it was")


def test_walls_that_two_ways_of_naming_do_not_tell_alike_are_to_be_looked_at(sheet_of):
    table = named_table(rated(sheet_of, [0.3, 0.1], kept=True, alike=0.7))
    assert table.rows == (("sidewall", "97 %", ""), ("flank", "70 %", "look at it"))


def test_the_file_says_where_the_sheet_is_from_and_what_to_add(sheet_of):
    found = SimpleNamespace(scan=object(), source="/somewhere/face.png")
    told = sheet_heading(found, rated(sheet_of, [0.001, 0.001])).splitlines()
    assert told[0] == "From the scan face.png."
    assert told[-1].startswith("Add alloy, spoke_count")
