"""The landmarks of a traced section: where the faces lie from which its walls are told apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.errors import OutlineError
from rimfea.geometry.chords import cast, faces
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, edge_lengths, normals_at, points_at

NEAR_SEAT_MM = 0.6
SMALLEST_STEP_MM = 0.08  # of a seat or hook that a trace can tell from its own noise
NEAR_STEP_MM = 0.3
SMALLEST_TOLERANCE_MM = 0.005
SPREADS = 3.0  # of a face's points about its plane, that still belong to it
STEEP, LEVEL = np.cos(np.radians(45.0)), np.cos(np.radians(25.0))


@dataclass(frozen=True)
class Edges:
    """Middle (m, 2), outward normal (m, 2) and length (m,) of the edges of a ring."""

    middle: Floats
    normal: Floats
    length: Floats

    @classmethod
    def of(cls, ring: Ring) -> Edges:
        """The edges of a ring, in its order."""
        k, t = np.arange(len(ring.labels)), np.full(len(ring.labels), 0.5)
        return cls(points_at(ring, k, t), normals_at(ring, k, t), edge_lengths(ring))

    @property
    def y(self) -> Floats:
        """Height (m,) of the middles."""
        return self.middle[:, 1]

    def chosen(self, wanted: Bools) -> Edges:
        """Only the wanted (m,) ones."""
        return Edges(self.middle[wanted], self.normal[wanted], self.length[wanted])

    def mirrored(self) -> Edges:
        """Seen in the mirror of x = 0."""
        flip = np.array([-1.0, 1.0])
        return Edges(self.middle * flip, self.normal * flip, self.length)


@dataclass(frozen=True)
class Plane:
    """The straight face that edges share, up to its roughness: normal (2,), offset, and how far
    (mm) the middle of an edge on it may lie beside it.
    """

    normal: Floats
    offset: float
    tolerance: float

    @classmethod
    def through(cls, edges: Edges) -> Plane | None:
        """The plane of most of these edges by length, or None if there are none."""
        if not len(edges.length):
            return None
        angle = np.arctan2(edges.normal[:, 1], edges.normal[:, 0])
        first = angle[int(np.argmax(edges.length))]
        turn = (angle - first + np.pi) % (2 * np.pi) - np.pi
        lean = first + _median(turn, edges.length)
        normal = np.array([np.cos(lean), np.sin(lean)])
        along = edges.middle @ normal
        offset = _median(along, edges.length)
        spread = _median(np.abs(along - offset), edges.length)
        return cls(normal, offset, max(SMALLEST_TOLERANCE_MM, SPREADS * spread))

    def above(self, edges: Edges) -> Floats:
        """How far (m,) each middle lies out of the metal."""
        return np.asarray(edges.middle @ self.normal - self.offset)

    def holds(self, edges: Edges) -> Bools:
        """Which edges (m,) are part of this face."""
        beside = np.abs(self.above(edges)) < self.tolerance
        return np.asarray(beside & (edges.normal @ self.normal > LEVEL))


@dataclass(frozen=True)
class Half:
    """What the names on one half follow from: height of the hook's underside, of the well's
    floor, of the innermost face and of the seat's underside, half width of the nipple seat and how
    far its middle lies to this side, and the planes of the straight faces.
    """

    nose: float
    floor: float
    lowest: float
    shelf: float
    zone: float
    shift: float
    seat: Plane
    bottom: Plane
    inside: Plane | None
    outside: Plane | None
    well: Plane | None
    well_back: Plane | None


def near_seat(edges: Edges) -> Bools:
    """Which edges (m,) look outward near y = 0, where the bead seat has to be."""
    return np.asarray((np.abs(edges.y) < NEAR_SEAT_MM) & (edges.normal[:, 1] > LEVEL))


def tyre_side(ring: Ring) -> Bools:
    """Which edges (m,) lie between the two crowns on the side of the tyre."""
    x, y = ring.corners.T
    right = int(np.argmax(np.where(x > 0, y, -np.inf)))
    left = int(np.argmax(np.where(x < 0, y, -np.inf)))
    m = len(x)
    return np.asarray((np.arange(m) - right) % m < (left - right) % m)


def half_of(outline: Outline, side: int, bearing: float, seat_offset: float = 0.0) -> Half:
    """The landmarks of the right (1) or the left (-1) half, as if it were the right one;
    ``seat_offset`` is how far the nipple seat lies to the right.

    Raises :class:`~rimfea.errors.OutlineError` where there is no bead seat or spoke bed.
    """
    every, tyre = Edges.of(outline.outer), tyre_side(outline.outer)
    here = every.middle[:, 0] * side > 0
    inner, outer = every.chosen(here & tyre), every.chosen(here & ~tyre)
    if side < 0:
        inner, outer = inner.mirrored(), outer.mirrored()
    nose = _nose(inner, outer)
    seat = Plane.through(inner.chosen(near_seat(inner)))
    lowest = float(outline.outer.corners[:, 1].min())
    all_bottom = every.chosen((every.normal[:, 1] < -STEEP) & (every.y < lowest + 1.0))
    bottom = Plane.through(all_bottom.mirrored() if side < 0 else all_bottom)
    if seat is None or bottom is None:
        raise OutlineError("the bead seat or the spoke bed was not found: look at the axes")
    floor = float(every.y[tyre].min())
    return Half(
        nose=nose,
        floor=floor,
        lowest=lowest,
        shelf=-_shelf(outline, inner.chosen(seat.holds(inner)), side),
        zone=_zone(outline, side, bearing, seat_offset) if outline.holes else bearing / 2,
        shift=side * seat_offset,
        seat=seat,
        bottom=bottom,
        inside=Plane.through(inner.chosen(_upright(inner, 0.2 * nose, nose))),
        outside=Plane.through(outer.chosen(_upright(outer, 0.0, nose))),
        well=Plane.through(inner.chosen(_sides(inner, floor))),
        well_back=Plane.through(outer.chosen(_sides(outer, lowest))),
    )


def _upright(edges: Edges, low: float, high: float) -> Bools:
    between = (edges.y > low) & (edges.y < high)
    return np.asarray(between & (np.abs(edges.normal[:, 0]) > LEVEL))


def _sides(edges: Edges, lowest: float) -> Bools:
    """The leaning sides of the well, without its edge and its floor."""
    between = (edges.y > 0.9 * lowest) & (edges.y < 0.1 * lowest)
    return np.asarray(between & (np.abs(edges.normal[:, 0]) > STEEP - 0.1))


def _nose(inner: Edges, outer: Edges) -> float:
    """Height of the hook's underside; without a hook or lip that stands out, as far below the
    crown as the wall is wide.
    """
    crown = float(max(inner.y.max(), outer.y.max()))
    for edges in (inner, outer):
        under = edges.chosen((edges.normal[:, 1] < -LEVEL) & (edges.y > 0.1 * crown))
        if under.length.sum() > SMALLEST_STEP_MM:
            plane = Plane.through(under)
            flat = under.chosen(plane.holds(under)) if plane else under
            return _median(flat.y, flat.length)
    high = 0.3 * crown
    width = outer.middle[outer.y > high, 0].max() - inner.middle[inner.y > high, 0].min()
    return max(0.2 * crown, crown - float(width))


def _shelf(outline: Outline, seat: Edges, side: int) -> float:
    """Thickness of the metal under the bead seat."""
    flip = np.array([side, 1.0])
    thick, hit = cast(seat.middle * flip, -seat.normal * flip, faces(outline))
    found = hit >= 0
    return _median(thick[found], seat.length[found]) if found.any() else NEAR_SEAT_MM


def _zone(outline: Outline, side: int, bearing: float, middle: float) -> float:
    """Half the width of the nipple seat: to where the spoke bed gets thinner, if it does."""
    low, high = outline.outer.corners.min(axis=0), outline.outer.corners.max(axis=0)
    x = np.arange(0.0, high[0], 0.05)
    from_below = np.column_stack([middle + side * x, np.full_like(x, low[1] - 1.0)])
    up = np.tile([0.0, 1.0], (len(x), 1))
    bed = cast(from_below, up, faces(outline))[0]
    seat = float(np.median(bed[x < 0.45 * bearing]))
    beyond = x > bearing / 2
    thinner, thicker = beyond & (bed < seat - SMALLEST_STEP_MM), beyond & (bed > seat + 0.2)
    end = float(x[thinner].min(initial=np.inf))
    if end >= x[thicker].min(initial=high[0]):
        return bearing / 2
    corners = (np.vstack([hole.corners for hole in outline.holes])[:, 0] - middle) * side
    nearest = float(corners[np.argmin(np.abs(corners - end))])
    return nearest if abs(nearest - end) < NEAR_STEP_MM else end


def _median(values: Floats, weights: Floats) -> float:
    """The value with half the weight on either side."""
    order = np.argsort(values)
    total = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(total, total[-1] / 2)])
