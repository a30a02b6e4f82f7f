"""How large a triangle may be: by the metal behind the nearest face, finer where asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.spatial import KDTree

from rimfea.arrays import Floats, Ints
from rimfea.geometry.chords import stations, thickness
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, arc_radii, cut_every, subdivided

EQUILATERAL = np.sqrt(3) / 4
# Sides this share of the wall give at least two quadratic elements across it.
SHARE_OF_WALL = 0.58
# Stress gathers at inside fillets, not at rounded outside corners.
SHARE_OF_FILLET = 0.4
SHARE_OF_CORNER = 1.2
# A rounding that is small beside its walls is drawn, not resolved: its stress stays within a
# depth of about its radius, which no cut across the wall feels.
SMALLEST_SHARE = 0.1
STATION_SPACING = 0.25


@dataclass(frozen=True)
class SizeField:
    """Wished side of a triangle (s,) in mm at stations of the outline."""

    tree: KDTree
    side: Floats

    def side_at(self, points: Floats) -> Floats:
        """Wished side (p,) of a triangle around each point (p, 2), mm."""
        _, nearest = self.tree.query(points)
        return self.side[nearest]

    def area_at(self, points: Floats) -> Floats:
        """Largest area (p,) of a triangle around each point (p, 2), mm²."""
        return np.asarray(EQUILATERAL * self.side_at(points) ** 2)


def size_field(outline: Outline, coarseness: float, finer: Mapping[str, float]) -> SizeField:
    """Sizes from the local thickness of the metal.

    ``coarseness`` scales all sizes; ``finer`` maps a label to the factor by which its
    triangles are smaller than the rest.
    """
    points, normals, label = stations(outline, STATION_SPACING)
    names = tuple(dict.fromkeys(outline.labels))
    side = SHARE_OF_WALL * thickness(outline, points, normals)
    side = np.minimum(side, _rounding_at_stations(outline, side))
    factor = np.array([finer.get(name, 1.0) for name in names])[label]
    return SizeField(KDTree(points), side * factor * coarseness)


def _rounding_at_stations(outline: Outline, side: Floats) -> Floats:
    """Largest side that resolves the arc on which each station (s,) lies, infinite on straight
    ones, where the walls alone would have ``side`` (s,).
    """
    wished, start = [], 0
    for ring in outline.rings:
        share = np.where(ring.bulge < 0, SHARE_OF_FILLET, SHARE_OF_CORNER)
        _, edge, _ = subdivided(ring, cut_every(ring, length=STATION_SPACING))
        least = SMALLEST_SHARE * _beside(ring, edge, side[start : start + len(edge)])
        wished.append(np.maximum(share * arc_radii(ring), least)[edge])
        start += len(edge)
    return np.concatenate(wished)


def _beside(ring: Ring, edge: Ints, side: Floats) -> Floats:
    """The smaller of the sides (m,) that the two straight edges next to each edge wish, given that
    of stations (s,) on ``edge`` (s,): a rounding that is small beside a thick wall may be large at
    the root of the thin one. 0 in a ring without any.
    """
    smallest = np.full(len(ring.labels), np.inf)
    np.minimum.at(smallest, edge, side)
    straight = np.flatnonzero(ring.bulge == 0)
    if not len(straight):
        return np.zeros(len(ring.labels))
    after = np.searchsorted(straight, np.arange(len(ring.labels)))
    before, after = straight[after - 1], straight[after % len(straight)]
    return np.minimum(smallest[before], smallest[after])
