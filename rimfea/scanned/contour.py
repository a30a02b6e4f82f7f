"""The contour of a face at sub-pixel, without dust."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from rimfea.arrays import Floats
from rimfea.errors import SectionError

SPECK_MM2 = 0.2  # a ring below is dust on the face, or a bright scratch
LARGEST_DUST_MM2 = 2.0  # beside the face: anything larger is another body
CALM_PX = 0.8  # smoothing before the contour is taken: noise, and no corner that a tyre would feel


@dataclass(frozen=True)
class Grid:
    """Where the pixels of a part of a picture lie: mm a pixel (2,), along and up, the column and
    the row of the part's first pixel, and the picture's height in pixels.

    The mm count from the lower left corner of the picture.
    """

    mm: tuple[float, float]
    first: tuple[int, int]
    height: int

    def in_mm(self, pixels: Floats) -> Floats:
        """Places (p, 2) of columns and rows (p, 2) of the part."""
        column, row = (pixels + self.first + 0.5).T
        return np.column_stack([column * self.mm[0], (self.height - row) * self.mm[1]])

    def in_pixels(self, places: Floats) -> Floats:
        """The reverse."""
        x, y = places.T
        row = self.height - y / self.mm[1]
        return np.asarray(np.column_stack([x / self.mm[0], row]) - self.first - 0.5)


def calmed(share: Floats) -> Floats:
    """The share of metal with its noise smoothed."""
    return np.asarray(scipy.ndimage.gaussian_filter(share, CALM_PX))


def contour(share: NDArray[np.floating], level: float, grid: Grid) -> tuple[Polygon, int]:
    """The face where the share of metal is above ``level``, mm, and how many specks were dropped.

    Raises :class:`~rimfea.errors.SectionError` without a face, or with two.
    """
    import contourpy  # noqa: PLC0415 -- only who reads a scan waits for it

    found = contourpy.contour_generator(z=share).lines(level)
    rings = [grid.in_mm(np.asarray(line)) for line in found if _is_closed(line)]
    shapes = sorted((Polygon(ring) for ring in rings), key=lambda each: -each.area)
    large = [each for each in shapes if each.area > SPECK_MM2]
    if not large:
        raise SectionError(
            "there is no face in the picture", remedy="blacken the sawn face and scan it whole"
        )
    face, *others = large
    inside = [each for each in others if face.contains(each)]
    holes = [
        each
        for each in inside
        if not any(other.contains(each) for other in inside if other is not each)
    ]
    beside = [each for each in others if not any(each is hole for hole in holes)]
    for each in beside:
        if each.area > LARGEST_DUST_MM2:
            x, y = each.representative_point().coords[0]
            raise SectionError(
                f"there is a second dark body of {each.area:.0f} mm² in the picture",
                spots=[(x, y)],
                remedy="crop the picture to the section alone",
            )
    specks = len(shapes) - 1 - len(holes)
    return Polygon(face.exterior, [hole.exterior for hole in holes]), specks


def largest(shape: shapely.Geometry) -> Polygon:
    """The largest polygon of a shape."""
    return max(polygons(shape), key=lambda each: each.area)


def polygons(shape: shapely.Geometry) -> Sequence[Polygon]:
    """The polygons of a shape, without its points and lines."""
    if isinstance(shape, Polygon):
        return [shape] if not shape.is_empty else []
    if isinstance(shape, MultiPolygon) or hasattr(shape, "geoms"):
        return [each for each in shape.geoms if isinstance(each, Polygon)]
    return []


def _is_closed(line: object) -> bool:
    points = np.asarray(line)
    return len(points) > 3 and bool((points[0] == points[-1]).all())
