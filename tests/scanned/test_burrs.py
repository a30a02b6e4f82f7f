"""Burrs are cut off, thin walls and faces that are meant are not."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Point, box, union_all
from shapely.geometry import Polygon

from rimfea.scanned.burrs import smoothed, without_bumps, without_burrs
from rimfea.scanned.symmetry import Mirror

SHARP = box(-10, 0, 10, 3)
PLATE = SHARP.buffer(-0.2).buffer(0.2)  # a scan shows no sharp corner
UPRIGHT = Mirror(np.array([0.0, 1.0]), 0.0, 0.01)


def test_a_thin_spike_is_cut_off_and_told():
    spike = Polygon([(4, 2.9), (4.15, 2.9), (4.1, 3.5)])
    face, spots = without_burrs(PLATE.union(spike))
    assert face.area == pytest.approx(PLATE.area, abs=2e-3)
    assert face.bounds[3] == pytest.approx(3, abs=0.02)
    assert spots[0] == pytest.approx((4.1, 3.2), abs=0.1)


def test_a_thin_wall_between_two_thick_ones_stays():
    ends = [box(x, 0, x + 4, 3).buffer(-0.2).buffer(0.2) for x in (0, 7)]
    bridge = union_all([*ends, box(3, 1, 8, 1.2)])
    face, spots = without_burrs(bridge)
    assert face.area == bridge.area
    assert spots == []


def test_a_sharp_corner_as_a_scan_shows_it_stays():
    rounded = SHARP.buffer(-0.05).buffer(0.05)
    assert without_burrs(rounded)[1] == []


def test_a_low_bump_that_the_other_half_has_not_is_cut_off():
    bump = Polygon([(4.1, 2.9), (4.1, 3), (4.2, 3.07), (4.3, 3), (4.3, 2.9)])
    assert without_burrs(PLATE.union(bump))[1] == []
    face, spots = without_bumps(PLATE.union(bump), UPRIGHT)
    assert face.bounds[3] < 3.02
    assert len(spots) == 1


@pytest.mark.parametrize(
    "face",
    [
        PLATE.difference(box(4, 2.7, 4.4, 3.1)),  # a nick opposite leaves good metal
        PLATE.union(box(4, 2.9, 4.3, 3.08)).union(box(-4.3, 2.9, -4, 3.08)),  # a pair is meant
        PLATE.union(box(4, 2.9, 7, 3.08)),  # a land is no burr
    ],
)
def test_what_is_no_bump_stays(face):
    found, spots = without_bumps(face, UPRIGHT)
    assert found.area == face.area
    assert spots == []


def test_a_narrow_notch_is_filled_a_sharp_point_rounded_and_little_else_moves():
    notched = PLATE.difference(Polygon([(3.9, 3.1), (4, 2.5), (4.1, 3.1)]))
    pointed = notched.union(Polygon([(9.9, 1.4), (10.3, 1.5), (9.9, 1.6)]))
    found = smoothed(pointed)
    assert found.distance(Point(4, 2.7)) == 0
    assert found.bounds[2] < 10.15
    assert found.symmetric_difference(PLATE).area < 0.03


def test_halves_that_are_unlike_tell_nothing():
    bump = Polygon([(4.1, 2.9), (4.1, 3), (4.2, 3.07), (4.3, 3), (4.3, 2.9)])
    unlike = Mirror(UPRIGHT.point, 0.0, 0.4)
    assert without_bumps(PLATE.union(bump), unlike)[1] == []
