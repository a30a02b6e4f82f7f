"""Walls of a trace named after those of the drawing that lies nearest."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.errors import OutlineError, RimfeaError
from rimfea.geometry.outline import from_rings
from rimfea.geometry.ring import cut_every, points_at, subdivided
from rimfea.profile.build import outline
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.traced.fit import fitted
from rimfea.traced.label import named_for
from rimfea.traced.like import agreement, in_boxes, named_like, with_ramps
from tests.profile.test_build import drawn_values

ENOUGH = 0.99  # of the length of all faces
FITS_MM = 0.03


def chords(drawn):
    rings = [
        subdivided(ring, cut_every(ring, sweep=np.radians(8), rise=0.002))[0].corners
        for ring in drawn.rings
    ]
    return from_rings(rings[0], rings[1:])


def alike(drawn, named):
    """The share of the whole length with the drawn names."""
    share = agreement(drawn, named)
    length = dict.fromkeys(share, 0.0)
    for ring in drawn.rings:
        along = np.linalg.norm(np.roll(ring.corners, -1, axis=0) - ring.corners, axis=1)
        for name, mm in zip(ring.labels, along, strict=True):
            length[Wall(name)] += mm
    return sum(share[wall] * length[wall] for wall in share) / sum(length.values())


@pytest.mark.parametrize("family", DRAWN)
def test_a_trace_of_a_drawing_has_its_names(sheet_of, family):
    sheet = sheet_of(family)
    drawn = outline(sheet)
    assert alike(drawn, named_like(chords(drawn), sheet)) > 0.999


def test_a_section_a_little_off_has_them_too(sheet_of):
    """As the nearest sheet of a section that no sheet draws."""
    sheet = sheet_of(bead_hook_mm=1.7, flank_mm=1.5, corner_radius_mm=0.6)
    drawn = outline(sheet_of())
    assert alike(drawn, named_like(chords(drawn), sheet)) > 0.97


@pytest.mark.long
def test_random_rims_of_every_family_are_named_as_drawn_on_99_hundredths_of_their_length():
    """Of those that a sheet is found for. Where a lip ends that does not stand out from its
    sidewall, no section shows.
    """
    random, shares, tried = np.random.default_rng(11), [], 0
    while tried < len(DRAWN):
        family = DRAWN[tried % len(DRAWN)]
        values = drawn_values(family, lambda low, high: float(random.uniform(low, max(low, high))))
        own = {"name": "knot", "family": family, "bead_seat_diameter_mm": 622}
        try:
            sheet = Sheet({**own, **values})
            drawn = outline(sheet)
        except RimfeaError:
            continue
        if not sheet.lip_step_mm:
            continue
        tried += 1
        bears = {key: values[key] for key in ("spoke_hole_mm", "nipple_head_mm", "washer_mm")}
        try:
            fit = fitted(chords(drawn), name="knot", bead_seat_diameter_mm=622, **bears)
        except RimfeaError:
            continue
        if fit.typical_mm < FITS_MM:
            shares.append(alike(drawn, named_like(chords(drawn), fit.sheet)))
            print(family, round(shares[-1], 4), f"{fit.typical_mm:.4f} mm")
    assert len(shares) >= len(DRAWN) - 1
    assert min(shares) > ENOUGH


def test_a_builder_says_where_a_wall_is(sheet_of):
    named = named_for(sheet_of(), outline(sheet_of()))
    boxed = in_boxes(named, {Wall.SIDEWALL: [(9.0, -0.2, 11.0, 0.2)]})
    ring = boxed.outer
    k = np.arange(len(ring.labels))
    x, y = points_at(ring, k, np.full(len(k), 0.5)).T
    held = (x > 9) & (x < 11) & (abs(y) < 0.2)
    assert {ring.labels[k] for k in np.flatnonzero(held)} == {Wall.SIDEWALL}
    beside = (x > 11.01) & (x < 12) & (abs(y) < 0.2)
    assert {ring.labels[k] for k in np.flatnonzero(beside)} == {Wall.BEAD_SEAT}
    with pytest.raises(OutlineError, match="no face of the section lies in the box of the flank"):
        in_boxes(named, {Wall.FLANK: [(0.0, 50.0, 1.0, 51.0)]})


def test_ramps_stand_on_both_sides_of_a_change_on_a_straight_face(sheet_of):
    drawn = outline(sheet_of(Family.HOOKLESS))
    ramped = with_ramps(drawn)
    assert len(ramped.labels) > len(drawn.labels)
    assert set(ramped.labels) == set(drawn.labels)
    assert alike(drawn, ramped) == 1.0
