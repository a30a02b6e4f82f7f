"""From the grey levels of a sawn, blackened face to its rings in mm, and how sure they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray
from shapely import Polygon, transform, union_all

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.errors import SectionError
from rimfea.scanned.burrs import smoothed, without_bumps, without_burrs
from rimfea.scanned.contour import Grid, calmed, contour, largest, polygons
from rimfea.scanned.levels import Levels, share_of_metal, standing_out
from rimfea.scanned.symmetry import Mirror, mirror, straightened, tilted

COARSE_PIXELS = 3_000_000
MOST_PIXELS = 4_000_000  # of the section alone
ROOM = 0.08  # of the section, around it
OTHER_BODY = 0.2  # of the section, from which on a second dark thing is none of its dust
HALFWAY = 0.5
# A scanner that writes brightness by a power law puts the edge at 0.3 to 0.7 of the step: nobody
# knows of a picture, so that all of this is its doubt.
DOUBT = 0.2
BESIDE_MM = 0.5  # places of one burr
TOLERANCE_PX = 0.2  # by which the contour may be simplified


@dataclass(frozen=True)
class Scale:
    """Millimetres a pixel, along and up the picture."""

    x_mm: float
    y_mm: float

    def times(self, factor: float) -> Scale:
        """So many times as large."""
        return Scale(factor * self.x_mm, factor * self.y_mm)

    @property
    def dpi(self) -> float:
        """Pixels an inch."""
        return 25.4 / float(np.sqrt(self.x_mm * self.y_mm))


@dataclass(frozen=True)
class Known:
    """A dimension of the section that somebody measured: overall ``depth`` or outer ``width``."""

    what: str
    mm: float


@dataclass(frozen=True)
class Scanned:
    """The face of a scan: its rings (p, 2) in mm, the outer one first, y upward, upright and in the
    middle if the halves were alike enough, and all that its picture tells.

    ``edge_mm`` is how far a face may lie on either side for the doubt in the threshold;
    ``tolerance_mm`` how far the rings may lie beside the contour; ``burrs`` where some were cut
    off; ``picture`` (h, w) the part of the scan with the section, ``grid`` its place.
    """

    rings: tuple[Floats, ...]
    scale: Scale
    levels: Levels
    edge_mm: float
    tolerance_mm: float
    mirror: Mirror
    burrs: tuple[tuple[float, float], ...]
    specks: int
    picture: NDArray[np.uint8]
    grid: Grid

    __repr__ = brief

    @property
    def wall_mm(self) -> float:
        """By how much a wall may be thicker or thinner for the doubt in the threshold."""
        return 2 * self.edge_mm

    def in_picture(self, places: Floats) -> Floats:
        """Places (p, 2) beside the rings as columns and rows of ``picture``."""
        there = tilted(places, self.mirror) if self.mirror.is_trusted else places
        return self.grid.in_pixels(there)


def scanned(grey: NDArray[np.uint8], scale: Scale, known: Known | None = None) -> Scanned:
    """The face in the grey levels (h, w), the first row on top; with a ``known`` dimension the
    scale follows from it.

    Raises :class:`~rimfea.errors.SectionError` where there is no face or more than one, where it
    reaches the edge of the picture, and where it can hardly be told from the ground.
    """
    rows, columns, is_dark = _where(grey, scale)
    if not is_dark:
        grey = 255 - grey
    if known:
        seen = rows.stop - rows.start if known.what == "depth" else columns.stop - columns.start
        scale = Scale(known.mm / seen, known.mm / seen)
    for _ in range(3 if known else 1):
        found = _traced(grey, scale, rows, columns)
        if known:
            size = np.ptp(found.rings[0], axis=0)[1 if known.what == "depth" else 0]
            scale = scale.times(known.mm / float(size))
    return found


def _traced(grey: NDArray[np.uint8], scale: Scale, rows: slice, columns: slice) -> Scanned:
    top, bottom, left, right = _with_room(grey, rows, columns)
    part = np.ascontiguousarray(grey[top:bottom, left:right])
    halved = 1
    while part.size > MOST_PIXELS:
        part, halved = _halved(part), 2 * halved
    fine = scale.times(halved)
    grid = Grid(
        (fine.x_mm, fine.y_mm), (left // halved, top // halved), -(-grey.shape[0] // halved)
    )
    share, levels = share_of_metal(part)
    share = calmed(share)
    face, specks = contour(share, HALFWAY, grid)
    edge = _edge_doubt(share, grid, face)
    tolerance = TOLERANCE_PX * max(fine.x_mm, fine.y_mm)
    face = largest(face.simplify(tolerance / 4))  # a point a pixel is more than the rest needs
    face, burrs = without_burrs(face)
    about = mirror(face)
    face, bumps = without_bumps(face, about)
    face = smoothed(face)
    face = largest(face.simplify(tolerance))
    rings = [np.array(ring.coords)[:-1] for ring in (face.exterior, *face.interiors)]
    if about.is_trusted:
        rings = [straightened(ring, about) for ring in rings]
    return Scanned(
        tuple(rings),
        scale,
        levels,
        edge,
        tolerance,
        about,
        _apart([*burrs, *bumps]),
        specks,
        part,
        grid,
    )


def mirrored_half(rings: tuple[Floats, ...]) -> tuple[tuple[Floats, ...], str]:
    """The calmer half of a section that stands on x = 0 and its mirror image, and which half it
    was: the one whose contour turns to and fro less.
    """
    face = Polygon(rings[0], rings[1:])
    high = float(np.abs(np.vstack(rings)).max()) + 1.0
    halves = {
        "right": Polygon([(0, -high), (high, -high), (high, high), (0, high)]),
        "left": Polygon([(-high, -high), (0, -high), (0, high), (-high, high)]),
    }
    cut = {name: face.intersection(half) for name, half in halves.items()}
    chosen = min(cut, key=lambda name: sum(_turning(part) for part in polygons(cut[name])))
    flip = np.array([-1.0, 1.0])
    whole = largest(union_all([cut[chosen], transform(cut[chosen], lambda xy: xy * flip)]))
    whole = largest(whole.simplify(1e-6))
    both = (whole.exterior, *whole.interiors)
    return tuple(np.array(ring.coords)[:-1] for ring in both), chosen


def _apart(spots: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Places without those that are beside one before."""
    kept: list[tuple[float, float]] = []
    for x, y in spots:
        if all(np.hypot(x - a, y - b) > BESIDE_MM for a, b in kept):
            kept.append((x, y))
    return tuple(kept)


def _turning(face: Polygon) -> float:
    """By how much the contour turns in all, whichever way."""
    total = 0.0
    for ring in (face.exterior, *face.interiors):
        along = np.diff(np.array(ring.coords), axis=0)
        angle = np.arctan2(along[:, 1], along[:, 0])
        turn = np.diff(angle, append=angle[0])
        total += float(np.abs((turn + np.pi) % (2 * np.pi) - np.pi).sum())
    return total


def _edge_doubt(share: Floats, grid: Grid, face: Polygon) -> float:
    """How far the contour moves where the threshold is in doubt, mm."""
    inner, outer = (contour(share, HALFWAY + by, grid)[0] for by in (DOUBT, -DOUBT))
    return float(outer.area - inner.area) / (2 * float(face.length))


def _where(grey: NDArray[np.uint8], scale: Scale) -> tuple[slice, slice, bool]:
    """Rows and columns of the largest body in the picture, and whether it is dark."""
    every = max(1, int(np.ceil(np.sqrt(grey.size / COARSE_PIXELS))))
    seen, is_dark = standing_out(np.ascontiguousarray(grey[::every, ::every]))
    found, count = scipy.ndimage.label(seen)
    size = np.bincount(found.ravel())[1:]
    order = np.argsort(-size)
    boxes = scipy.ndimage.find_objects(found.astype(np.int64))
    coarse = Grid((every * scale.x_mm, every * scale.y_mm), (0, 0), seen.shape[0])
    if count > 1 and size[order[1]] > OTHER_BODY * size[order[0]]:
        raise _refused(
            "there are two bodies in the picture, and which is the section is not sure",
            "crop the picture to the section alone",
            [boxes[k] for k in order[:2]],
            coarse,
        )
    rows, columns = boxes[order[0]]
    height, width = seen.shape
    if rows.start == 0 or columns.start == 0 or rows.stop == height or columns.stop == width:
        raise _refused(
            "the face reaches the edge of the picture",
            "scan it with room all around",
            [(rows, columns), (slice(0, height), slice(0, width))],
            coarse,
        )
    across, along = (slice(each.start * every, each.stop * every) for each in (rows, columns))
    return across, along, is_dark


def _refused(
    problem: str, remedy: str, boxes: Sequence[tuple[slice, slice]], grid: Grid
) -> SectionError:
    """The error with the frames of what is meant, and the middle of the first."""
    lines = []
    for rows, columns in boxes:
        low, high = (columns.start, rows.start), (columns.stop, rows.stop)
        corners = [low, (high[0], low[1]), high, (low[0], high[1]), low]
        lines.append([(x, y) for x, y in grid.in_mm(np.array(corners, dtype=float)).tolist()])
    first = np.array(lines[0])
    x, y = (first.min(axis=0) + first.max(axis=0)) / 2
    return SectionError(problem, spots=[(float(x), float(y))], remedy=remedy, lines=lines)


def _with_room(grey: NDArray[np.uint8], rows: slice, columns: slice) -> tuple[int, int, int, int]:
    """First and last row and column of the section with some ground around it."""
    room = 8 + int(ROOM * max(rows.stop - rows.start, columns.stop - columns.start))
    top, left = max(0, rows.start - room) // 8 * 8, max(0, columns.start - room) // 8 * 8
    height, width = grey.shape
    return top, min(height, rows.stop + room), left, min(width, columns.stop + room)


def _halved(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Half as many pixels each way, each the mean of four; an odd last row or column twice."""
    even = np.pad(grey, ((0, grey.shape[0] % 2), (0, grey.shape[1] % 2)), mode="edge")
    rows = even[::2].astype(np.uint16) + even[1::2]
    return ((rows[:, ::2] + rows[:, 1::2] + 2) // 4).astype(np.uint8)
