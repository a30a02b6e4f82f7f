"""Scans made by drawing: the demo rims' sections as grey levels, with all that a scan suffers from.

Every pixel has its true share of metal along a row, and the mean of eight rows; then come blur,
uneven light, noise and dust.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from scipy.ndimage import gaussian_filter
from shapely import affinity, union_all
from shapely.geometry import Polygon

from rimfea.files.sheet_toml import read_sheet
from rimfea.geometry.outline import polygon
from rimfea.profile.build import outline

PROFILES = Path(__file__).parents[2] / "profiles"
ROWS = 8  # of a pixel
ROOM_MM = 4.0


@dataclass(frozen=True)
class Faults:
    """What a scan suffers from: blur (px), noise (grey levels), light (share of the ground's level
    that is lost across the picture), tilt (degrees), how many burrs and how much dust.
    """

    blur: float = 0.8
    noise: float = 0.0
    light: float = 0.0
    tilt: float = 0.0
    burrs: int = 0
    dust: int = 0


def drawn_scan(face, dpi=600, faults=Faults(), metal=45.0, ground=232.0, seed=3):
    """Grey levels (h, w) of a face (a polygon in mm), a scan of ``dpi``."""
    random = np.random.default_rng(seed)
    for place in np.linspace(0.11, 0.91, faults.burrs):
        root = face.exterior.interpolate(place, normalized=True)
        face = union_all(
            [
                face,
                root.buffer(0.04).union(affinity.translate(root, 0.05, 0.0).buffer(0.06)),
                Polygon(_spike(face, place)),
            ]
        )
    face = affinity.rotate(face, -faults.tilt, origin=(0, 0))
    low_x, low_y, high_x, high_y = face.bounds
    mm = 25.4 / dpi
    width, height = (
        int((high - low + 2 * ROOM_MM) / mm) for low, high in ((low_x, high_x), (low_y, high_y))
    )
    # The face lies at no whole pixel.
    face = affinity.translate(face, ROOM_MM - low_x + 0.37 * mm, ROOM_MM - low_y + 0.21 * mm)
    share = gaussian_filter(covered(face, width, height, mm), faults.blur)
    down, along = np.mgrid[0 : 1 : height * 1j, 0 : 1 : width * 1j]
    light = 1 - faults.light * (0.6 * along + 0.4 * down**2)
    grey = light * (ground + (metal - ground) * share)
    grey += random.normal(0, faults.noise, grey.shape)
    for row, column in random.uniform(0.02, 0.98, (faults.dust, 2)):
        at = int(row * height), int(column * width)
        level = metal if share[at] < 0.5 else ground
        grey[at[0] : at[0] + 3, at[1] : at[1] + 4] = level
    return np.clip(np.round(grey), 0, 255).astype(np.uint8)


def _spike(face, place, long=0.35, wide=0.12):
    ring = face.exterior
    one, two = (
        np.array(ring.interpolate(place + by, normalized=True).coords[0]) for by in (0, 1e-4)
    )
    along = (two - one) / np.linalg.norm(two - one)
    out = np.array([along[1], -along[0]]) * (1 if ring.is_ccw else -1)
    return [
        one - wide / 2 * along - 0.05 * out,
        one + wide / 2 * along - 0.05 * out,
        one + long * out,
    ]


def covered(face, width, height, mm):
    """The share of metal in each pixel (h, w)."""
    rows = (height - (np.arange(height * ROWS) + 0.5) / ROWS) * mm
    share = np.zeros((height * ROWS, width + 2))
    parts = getattr(face, "geoms", [face])
    for ring in (ring for part in parts for ring in (part.exterior, *part.interiors)):
        points = np.array(ring.coords)
        for (x_1, y_1), (x_2, y_2) in pairwise(points):
            crossed = np.flatnonzero((rows > min(y_1, y_2)) & (rows <= max(y_1, y_2)))
            x = (x_1 + (rows[crossed] - y_1) * (x_2 - x_1) / (y_2 - y_1 or 1.0)) / mm
            column, sign = np.floor(x).astype(int), 1.0 if y_2 < y_1 else -1.0
            np.add.at(share, (crossed, column), sign * (column + 1 - x))
            np.add.at(share, (crossed, column + 1), sign * (x - column))
    whole = np.abs(np.cumsum(share, axis=1)[:, :width])
    return whole.reshape(height, ROWS, width).mean(axis=1)


def scan_of(name, **given):
    """The same of a demo rim's section: ``scan_of("curlew", dpi=600, faults=Faults(blur=2))``."""
    return drawn_scan(polygon(section_of(name)), **given)


def section_of(name):
    """The drawn section of a demo rim."""
    return outline(sheet_of(name))


def sheet_of(name):
    """The sheet of a demo rim."""
    return read_sheet(PROFILES / f"{name}.toml")
