"""How large a triangle may be: by the metal behind the nearest face, finer where asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.spatial import KDTree

from rimfea.arrays import Floats
from rimfea.geometry.chords import stations, thickness
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import arc_radii, cut_every, subdivided

EQUILATERAL = np.sqrt(3) / 4
# Sides this share of the wall give at least two quadratic elements across it.
SHARE_OF_WALL = 0.58
# Stress gathers at inside fillets, not at rounded outside corners.
SHARE_OF_FILLET = 0.4
SHARE_OF_CORNER = 1.2
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
    side = np.minimum(side, _rounding_at_stations(outline))
    factor = np.array([finer.get(name, 1.0) for name in names])[label]
    return SizeField(KDTree(points), side * factor * coarseness)


def _rounding_at_stations(outline: Outline) -> Floats:
    """Largest side that resolves the arc on which each station lies, infinite on straight ones."""
    wished = []
    for ring in outline.rings:
        share = np.where(ring.bulge < 0, SHARE_OF_FILLET, SHARE_OF_CORNER)
        _, edge, _ = subdivided(ring, cut_every(ring, length=STATION_SPACING))
        wished.append((share * arc_radii(ring))[edge])
    return np.concatenate(wished)
