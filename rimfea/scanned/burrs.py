"""Burrs that the saw left, cut off: what sticks out of a face thin and far.

Blur makes a burr wide and low. Where the halves of a face are alike, the other half tells what was
there before: so much as sticks out beyond its mirror image, and beyond the face with its edges
rounded, is the burr's.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import shapely
from shapely import Polygon

from rimfea.scanned.contour import largest, polygons
from rimfea.scanned.symmetry import Mirror, in_mirror

THIN_MM = 0.15  # half the width below which what sticks out is a burr
STICKS_OUT_MM = 0.055  # more than a corner of 90° does in a scan, which blurs its 0.062 mm
WIDER_MM = 0.25  # half the width below which a bump that the other half has not is a burr
BUMP_MM = 0.03
NOISE_MM = 0.012  # by which the halves of a good face differ
LARGEST_MM2 = 0.15  # more is no burr but a face that is not symmetrical
MOSTLY = 0.25  # of a bump that rounding takes off: a nick opposite leaves good metal, not a bump
HAIR_MM = 1e-4
NOTCH_MM, POINT_MM = 0.12, 0.06  # radii of the narrowest notch and the sharpest point left
Spots: TypeAlias = list[tuple[float, float]]


def without_burrs(face: Polygon) -> tuple[Polygon, Spots]:
    """The face without what is thinner than 0.3 mm and sticks out further than a sharp corner, and
    where that was; a thin wall between two thick ones stays.
    """
    rounded = face.buffer(-THIN_MM).buffer(THIN_MM)
    cut = [
        piece
        for piece in polygons(face.difference(rounded.buffer(0.002)))
        if _reach(piece, rounded) > STICKS_OUT_MM
        and len(polygons(piece.buffer(0.01).intersection(rounded))) == 1
    ]
    return _cut(face, cut)


def without_bumps(face: Polygon, about: Mirror) -> tuple[Polygon, Spots]:
    """The face without small bumps that its other half has not, and where they were."""
    if not about.is_trusted:
        return face, []
    rounded = face.buffer(-WIDER_MM).buffer(WIDER_MM)
    other = in_mirror(face, about)
    cut = [
        piece
        for piece in polygons(face.difference(other.buffer(NOISE_MM)))
        if piece.area < LARGEST_MM2
        and _reach(piece, other) > BUMP_MM
        and piece.difference(rounded).area > MOSTLY * piece.area
    ]
    return _cut(face, cut)


def smoothed(face: Polygon) -> Polygon:
    """The face with its sharpest notches filled and its sharpest points rounded: what dust at its
    edge leaves, and no metal can be parted into triangles by. A corner of 90° loses a thousandth of
    a square millimetre, or gains three.
    """
    filled = face.buffer(NOTCH_MM).buffer(-NOTCH_MM)
    return largest(filled.buffer(-POINT_MM).buffer(POINT_MM))


def _reach(piece: Polygon, beyond: shapely.Geometry) -> float:
    """How far a piece sticks out of a shape."""
    return float(shapely.distance(shapely.points(np.array(piece.exterior.coords)), beyond).max())


def _cut(face: Polygon, pieces: list[Polygon]) -> tuple[Polygon, Spots]:
    spots = [each.representative_point() for each in pieces]
    for piece in pieces:
        face = largest(face.difference(piece.buffer(HAIR_MM)))
    return face, [(spot.x, spot.y) for spot in spots]
