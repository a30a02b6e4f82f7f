"""What is said of the sheet that was made of a section."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from rimfea.profile.families import Family
from rimfea.traced.fit import Fit
from rimfea.words.fit import fit_words, sheet_heading

POINTS = np.array([[1.0, 2.0], [3.0, 4.0]])


def fit(sheet_of, away):
    return Fit(sheet_of(Family.SINGLE), POINTS, np.array(away), {"sidewall_mm": 0.01})


def test_a_sheet_that_draws_the_section_is_told_with_how_near_and_where_it_is_worst(sheet_of):
    assert fit_words(fit(sheet_of, [0.001, -0.012])) == (
        "As a sheet it is a single wall, drawn within 0.009 mm, at worst 0.01 mm at x 3.0, "
        "y 4.0 mm."
    )


def test_one_that_does_not_is_warned_of(sheet_of):
    told = fit_words(fit(sheet_of, [0.3, 0.1]))
    assert told.startswith(
        "WARNING: no sheet draws this section. The nearest, a single wall, misses"
    )
    assert told.endswith("Do not trust its forces.")


def test_the_file_says_where_the_sheet_is_from_and_what_to_add(sheet_of):
    found = SimpleNamespace(scan=object(), source="/somewhere/face.png")
    told = sheet_heading(found, fit(sheet_of, [0.001, 0.001])).splitlines()
    assert told[0] == "From the scan face.png."
    assert told[-1].startswith("Add alloy, spoke_count")
