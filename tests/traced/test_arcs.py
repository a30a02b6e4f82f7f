"""Roundings that were traced as chords are arcs again."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.geometry.outline import from_rings, moments
from rimfea.geometry.ring import arc_radii, cut_every, subdivided
from rimfea.profile.build import outline
from rimfea.profile.families import Family
from rimfea.traced.arcs import arced


def chords(drawn, degrees=8):
    rings = [
        subdivided(ring, cut_every(ring, sweep=np.radians(degrees), rise=0.002))[0].corners
        for ring in drawn.rings
    ]
    return from_rings(rings[0], rings[1:])


@pytest.mark.parametrize("family", [Family.HOOKED, Family.SINGLE])
def test_the_roundings_of_a_drawing_come_back(sheet_of, family):
    drawn = outline(sheet_of(family))
    found = arced(chords(drawn))
    for one, other in zip(found.rings, drawn.rings, strict=True):
        radii, wanted = (np.sort(arc_radii(ring)[ring.bulge != 0]) for ring in (one, other))
        assert len(radii) >= len(wanted) - 2  # two that run on into one another are one
        near = np.sort(np.abs(radii[:, None] - wanted).min(axis=1))
        assert near[:-2].max() < 0.02
    assert moments(found)[0] == pytest.approx(moments(drawn)[0], rel=1e-4)


def test_a_curved_flank_is_one_arc(sheet_of):
    deep = {"overall_depth_mm": 40, "spoke_bed_width_mm": 15, "middle_width_mm": 27}
    drawn = outline(sheet_of(**deep))
    found = arced(chords(drawn))
    largest = [max(arc_radii(ring)[ring.bulge != 0]) for ring in (found.outer, drawn.outer)]
    assert largest[0] == pytest.approx(largest[1], rel=0.02)


def test_a_corner_with_a_chamfer_and_a_ring_with_arcs_stay_as_they_are(sheet_of):
    square = np.array([[0, 0], [10, 0], [10, 9], [9, 10], [0, 10]], dtype=float)
    found = arced(from_rings(square))
    assert not found.outer.bulge.any()
    assert len(found.outer.labels) == 5
    drawn = outline(sheet_of())
    assert arced(drawn).outer is drawn.outer


def test_arcs_of_both_ways_and_a_corner_on_a_straight_line(sheet_of):
    del sheet_of
    angle = np.linspace(0, np.pi / 2, 9)
    out = np.column_stack([5 + np.sin(angle), 1 - np.cos(angle)])  # a fillet to the left
    back = np.column_stack([1 - np.sin(angle), 6 + np.cos(angle)])
    points = np.vstack([[0, 0], [2.5, 0], out, [6, 7], back[::-1][:1] * 0 + [1, 7], back[1:]])
    found = arced(from_rings(points)).outer
    assert (found.bulge > 0).sum() == 2
    assert sorted(arc_radii(found)[found.bulge != 0].round(6))[0] == pytest.approx(1.0, abs=1e-3)
    assert not (found.corners == [2.5, 0]).all(axis=1).any()
