"""The outline of a section: one outer ring, any number of holes, every edge named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from shapely import Polygon
from shapely.validation import explain_validity

from rimfea.arrays import Floats
from rimfea.errors import OutlineError
from rimfea.geometry.ring import (
    Ring,
    chorded,
    signed_area,
    signed_moments,
    turned_over,
)


@dataclass(frozen=True)
class Outline:
    """Outer ring counter-clockwise, holes clockwise: the metal is to the left of every edge.

    Checked at birth: no ring crosses itself or another, every hole lies inside. Raises
    :class:`~rimfea.errors.OutlineError` with the place of the trouble.
    """

    outer: Ring
    holes: tuple[Ring, ...] = ()

    def __repr__(self) -> str:
        return f"<Outline of {len(self.labels)} edges, {len(self.holes)} holes>"

    def __post_init__(self) -> None:
        object.__setattr__(self, "outer", _walked(self.outer, counter_clockwise=True))
        object.__setattr__(
            self, "holes", tuple(_walked(hole, counter_clockwise=False) for hole in self.holes)
        )
        shape = polygon(self)
        if not shape.is_valid:
            raise OutlineError(f"the outline crosses itself (mm): {explain_validity(shape)}")
        if shape.area <= 0:
            raise OutlineError("the outline encloses no metal")

    @property
    def rings(self) -> tuple[Ring, ...]:
        """The outer ring, then the holes."""
        return (self.outer, *self.holes)

    @property
    def labels(self) -> tuple[str, ...]:
        """The names of all edges, outer ring first."""
        return tuple(label for ring in self.rings for label in ring.labels)


def from_rings(outer: ArrayLike, holes: Sequence[ArrayLike] = ()) -> Outline:
    """An outline with straight edges and no names from plain rings of (x, y) in mm.

    A ring may repeat its first point at the end, and run either way round.
    """
    return Outline(
        _plain(outer, "the outer ring"),
        tuple(_plain(hole, f"hole {k}") for k, hole in enumerate(holes, 1)),
    )


def polygon(outline: Outline) -> Polygon:
    """The outline as a shapely polygon, arcs replaced by chords."""
    fine = [chorded(ring) for ring in outline.rings]
    return Polygon(fine[0].corners, [ring.corners for ring in fine[1:]])


def moments(outline: Outline) -> Floats:
    """Integrals (6,) of 1, x, y, x², y², xy over the metal, exact on lines and arcs."""
    return np.asarray(sum(signed_moments(ring) for ring in outline.rings))


def _plain(points: ArrayLike, what: str) -> Ring:
    try:
        corners = np.asarray(points, dtype=float)
    except (TypeError, ValueError) as error:
        raise OutlineError(f"{what} is not a list of (x, y) numbers: {error}") from error
    if corners.ndim != 2 or corners.shape[1] != 2 or len(corners) < 3:
        raise OutlineError(
            f"{what} needs at least three (x, y) points; it has shape {corners.shape}"
        )
    if np.array_equal(corners[0], corners[-1]):
        corners = corners[:-1]
    return Ring(corners, np.zeros(len(corners)), ("",) * len(corners))


def _walked(ring: Ring, *, counter_clockwise: bool) -> Ring:
    if (signed_area(ring) > 0) == counter_clockwise:
        return ring
    return turned_over(ring)
