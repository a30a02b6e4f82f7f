"""The straight edges of an outline on which a caliper's jaw can sit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimfea.arrays import Bools, Floats
from rimfea.geometry.outline import Outline

STRAIGHT = 1e-9
# Where roundings are traced as short straight edges, only longer ones count as flats, mm.
SHORTEST_FLAT_MM = 0.15


@dataclass(frozen=True)
class Flats:
    """The straight edges of an outline on which a jaw can sit: start and end (f, 2), name (f,).

    Whether the roundings between them are ``traced``: then two flats that do not face each other
    may be no flats at all.
    """

    start: Floats
    end: Floats
    name: NDArray[np.str_]
    traced: bool

    @property
    def lengths(self) -> Floats:
        """Length (f,) of each, mm."""
        return np.asarray(np.linalg.norm(self.end - self.start, axis=1))

    @property
    def normals(self) -> Floats:
        """Outward unit normals (f, 2)."""
        along = self.end - self.start
        return np.column_stack([along[:, 1], -along[:, 0]]) / self.lengths[:, None]

    def chosen(self, wanted: Bools) -> Flats:
        """Only the wanted (f,) ones."""
        return Flats(self.start[wanted], self.end[wanted], self.name[wanted], self.traced)


def flats(outline: Outline) -> Flats:
    """All straight edges of an outline, of a traced one those that are long enough."""
    corners = np.vstack([ring.corners for ring in outline.rings])
    ends = np.vstack([np.roll(ring.corners, -1, axis=0) for ring in outline.rings])
    straight = np.concatenate([np.abs(ring.bulge) < STRAIGHT for ring in outline.rings])
    edges = Flats(corners, ends, np.array(outline.labels), traced=bool(straight.all()))
    return edges.chosen(straight & (edges.lengths > (SHORTEST_FLAT_MM if edges.traced else 0.0)))
