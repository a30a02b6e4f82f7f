"""Which triangle holds a point."""

from __future__ import annotations

import numpy as np
from scipy.spatial import KDTree

from rimfea.arrays import Floats, Ints

CANDIDATES = 16


def barycentric(corners: Floats, points: Floats) -> Floats:
    """Barycentric coordinates (..., 3) of points (..., 2) in triangles (..., 3, 2)."""
    a, b, c = corners[..., 0, :], corners[..., 1, :], corners[..., 2, :]
    twice_area = _cross(b - a, c - a)
    second = _cross(points - a, c - a) / twice_area
    third = _cross(b - a, points - a) / twice_area
    return np.stack([1 - second - third, second, third], axis=-1)


def containing(corners: Floats, points: Floats) -> Ints:
    """For each point (p, 2) the triangle (p,) of ``corners`` (e, 3, 2) that holds it; of a
    point just outside (under the bulge of an arc) the one it is least outside of.
    """
    tree = KDTree(corners.mean(axis=1))
    _, near = tree.query(points, k=min(CANDIDATES, len(corners)))
    near = near.reshape(len(points), -1)
    inside = barycentric(corners[near], points[:, None]).min(axis=-1)
    return np.asarray(near[np.arange(len(points)), inside.argmax(axis=1)], dtype=np.int64)


def _cross(u: Floats, v: Floats) -> Floats:
    return np.asarray(u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0])
