"""The caliper on drawn walls whose faces lean."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, cut_every, subdivided
from rimfea.profile.build import outline
from rimfea.profile.families import DRAWN
from rimfea.traced.leaning import leaning, peak

ALL = {"sidewall_foot_mm": 1.75, "lip_taper_mm": 0.3, "crown_slope_deg": -9.0}


@pytest.mark.parametrize("family", DRAWN)
@pytest.mark.parametrize("left_out", ["", *ALL])
def test_every_lean_of_a_drawing_is_read_as_the_sheet_says(sheet_of, family, left_out):
    changes = {key: by for key, by in ALL.items() if key != left_out}
    sheet = sheet_of(family, **changes)
    found = leaning(outline(sheet), 0.0)
    assert found == pytest.approx({key: getattr(sheet, key) for key in found}, abs=1e-9)
    assert found.keys() >= changes.keys()
    assert left_out not in found


@pytest.mark.parametrize("family", DRAWN)
def test_of_a_flat_rim_nothing_leans(sheet_of, family):
    assert leaning(outline(sheet_of(family)), 0.0) == {}


def test_of_a_traced_rim_nothing_is_told(sheet_of):
    drawn = outline(sheet_of(**ALL))
    fine = [subdivided(ring, cut_every(ring, sweep=np.radians(6)))[0] for ring in drawn.rings]
    straight = [Ring(ring.corners, np.zeros(len(ring.labels)), ring.labels) for ring in fine]
    assert leaning(Outline(straight[0], tuple(straight[1:])), 0.0) == {}


def test_the_crown_of_a_flat_rim_is_where_it_was_found_and_of_a_sloping_one_on_its_arc(sheet_of):
    assert peak(outline(sheet_of()), 6.0) == 6.0
    sloping = outline(sheet_of(crown_slope_deg=10))
    highest = float(sloping.outer.corners[:, 1].max())
    assert highest < 6.0 - 1e-3
    assert peak(sloping, highest) == pytest.approx(6.0, abs=1e-12)
