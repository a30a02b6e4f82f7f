"""The middle line of a face: the mirror in which it comes nearest to itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy
import shapely
from scipy.spatial import KDTree
from shapely import Polygon

from rimfea.arrays import Floats

EVERY_MM = 0.1
LARGEST_TILT = np.radians(12.0)
FIRST_TILTS = 25
ALIKE_MM = 0.03  # halves that differ by more count less, so that a burr turns nothing
UNLIKE_MM = 0.25  # of a tenth of the contour: such a rim is not symmetrical


@dataclass(frozen=True)
class Mirror:
    """The middle line: through the point (2,), and by how much it leans to the right from upright
    (radians); and how far (mm) nine tenths of the contour lie from its mirror image at most.
    """

    point: Floats
    lean: float
    unlike_mm: float

    @property
    def is_trusted(self) -> bool:
        """Whether the halves are alike enough to straighten the face by."""
        return self.unlike_mm < UNLIKE_MM and bool(abs(self.lean) < 0.99 * LARGEST_TILT)


def mirror(face: Polygon) -> Mirror:
    """The middle line of a face that stands upright within twelve degrees."""
    points = _along(face)
    tree = KDTree(points)
    normal = _normals(points)
    middle = np.array(face.centroid.coords[0])

    def off(given: Floats) -> Floats:
        seen = _reflected(points, middle, float(given[0]), float(given[1]))
        near = tree.query(seen)[1]
        return np.asarray(((seen - points[near]) * normal[near]).sum(axis=1))

    def rough(lean: float) -> float:
        seen = _reflected(points[::4], middle, lean, 0.0)
        return float(np.median(tree.query(seen)[0]))

    leans = np.linspace(-LARGEST_TILT, LARGEST_TILT, FIRST_TILTS)
    first = leans[int(np.argmin([rough(float(lean)) for lean in leans]))]
    found = scipy.optimize.least_squares(
        off, [first, 0.0], loss="soft_l1", f_scale=ALIKE_MM, x_scale=[0.01, 0.1]
    )
    lean, aside = (float(each) for each in found.x)
    across = np.array([np.cos(lean), -np.sin(lean)])
    far = np.abs(off(found.x))
    return Mirror(middle + aside * across, lean, float(np.quantile(far, 0.9)))


def in_mirror(face: Polygon, about: Mirror) -> Polygon:
    """The mirror image of a face in its middle line."""
    return shapely.transform(face, lambda xy: _reflected(xy, about.point, about.lean, 0.0))


def straightened(places: Floats, by: Mirror) -> Floats:
    """Places (p, 2) turned until the middle line is upright and at x = 0; the point of it that the
    mirror names keeps its height.
    """
    c, s = np.cos(by.lean), np.sin(by.lean)
    return np.asarray((places - by.point) @ np.array([[c, s], [-s, c]]) + [0.0, by.point[1]])


def tilted(places: Floats, by: Mirror) -> Floats:
    """The reverse."""
    c, s = np.cos(by.lean), np.sin(by.lean)
    return np.asarray((places - [0.0, by.point[1]]) @ np.array([[c, -s], [s, c]]) + by.point)


def _along(face: Polygon) -> Floats:
    """Points (p, 2) every tenth of a millimetre along the contour."""
    rings = [face.exterior, *face.interiors]
    parts = [
        shapely.line_interpolate_point(ring, np.arange(0.0, ring.length, EVERY_MM))
        for ring in rings
    ]
    return np.asarray(shapely.get_coordinates(np.concatenate(parts)))


def _normals(points: Floats) -> Floats:
    """Unit normals (p, 2) of the line through the neighbours of each point."""
    near = KDTree(points).query(points, k=5)[1]
    gap = points[near] - points[near].mean(axis=1, keepdims=True)
    spread = np.einsum("pki,pkj->pij", gap, gap)
    return np.asarray(np.linalg.eigh(spread)[1][:, :, 0])


def _reflected(points: Floats, middle: Floats, lean: float, aside: float) -> Floats:
    across = np.array([np.cos(lean), -np.sin(lean)])
    out = (points - middle) @ across - aside
    return np.asarray(points - 2 * out[:, None] * across)
