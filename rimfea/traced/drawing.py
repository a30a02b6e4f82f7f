"""What a file from outside draws: lines of straight pieces and arcs, and where each stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rimfea.arrays import Floats
from rimfea.errors import SectionError
from rimfea.geometry.ring import Ring

WIDEST_BULGE = 1.0  # of an arc kept whole: beyond half a circle its ends say little of its place


@dataclass(frozen=True)
class Trail:
    """Corners (p, 2) in mm with y upward, the bulge (p,) of the edge that leaves each, as a
    :class:`~rimfea.geometry.ring.Ring` has it, and where (p,) in the file each corner stands, such
    as "line 12". The last edge leads back to the first corner if ``is_closed``, else there is none.
    """

    corners: Floats
    bulge: Floats
    where: NDArray[Any]
    is_closed: bool

    def __repr__(self) -> str:
        kind = "closed" if self.is_closed else "open"
        return f"<Trail of {len(self.bulge)} corners, {kind}>"

    @property
    def ends(self) -> Floats:
        """First and last corner (2, 2)."""
        return self.corners[[0, -1]]

    def turned_over(self) -> Trail:
        """The same line walked the other way."""
        bulge = -np.roll(self.bulge[::-1], -1)
        return replace(self, corners=self.corners[::-1], bulge=bulge, where=self.where[::-1])

    def scaled(self, factor: float) -> Trail:
        """The same line in another unit."""
        return replace(self, corners=factor * self.corners)

    def ring(self) -> Ring:
        """The closed line as a ring without names."""
        return Ring(self.corners, self.bulge, ("",) * len(self.bulge))


@dataclass(frozen=True)
class Drawing:
    """The lines of a file in mm, the unit it had, how that is known, and what was left out.

    ``source`` is the file's name for messages.
    """

    trails: tuple[Trail, ...]
    source: str
    unit: str
    unit_from: str
    dropped: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return f"<Drawing of {len(self.trails)} lines from {self.source}>"


def trail(
    corners: ArrayLike,
    bulge: ArrayLike | None = None,
    *,
    is_closed: bool,
    where: str | Sequence[str] = "",
) -> Trail:
    """A line from its corners (p, 2); straight without any ``bulge`` (p,).

    An arc of more than half a circle is halved; a first corner repeated at the end closes the
    line. Raises :class:`~rimfea.errors.SectionError` for what is no list of finite points.
    """
    points = np.asarray(corners, dtype=float)
    bent = np.zeros(len(points)) if bulge is None else np.array(bulge, dtype=float)
    names = np.array([where] * len(points) if isinstance(where, str) else list(where), dtype=object)
    if points.ndim != 2 or points.shape[1] != 2 or len(points) < 2:
        raise SectionError("a line needs at least two points x, y", entity=_first(names))
    finite = np.isfinite(points).all(axis=1) & np.isfinite(bent)
    if not finite.all():
        raise SectionError("is not a finite number", entity=str(names[np.argmin(finite)]))
    if not is_closed:
        bent[-1] = 0.0
        if len(points) > 2 and np.array_equal(points[0], points[-1]):
            points, bent, names, is_closed = points[:-1], bent[:-1], names[:-1], True
    return _halved(Trail(points, bent, names, is_closed))


def visible(trails: Sequence[Trail]) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The lines as plain points, for a picture; arcs by their ends."""
    drawn = (
        np.vstack([each.corners, each.corners[:1]]) if each.is_closed else each.corners
        for each in trails
    )
    return tuple(tuple((float(x), float(y)) for x, y in each) for each in drawn)


def _halved(line: Trail) -> Trail:
    """Arcs of more than half a circle cut in the middle."""
    wide = np.flatnonzero(np.abs(line.bulge) > WIDEST_BULGE)
    if not len(wide):
        return line
    start = line.corners[wide]
    chord = np.roll(line.corners, -1, axis=0)[wide] - start
    # The middle of an arc lies beside that of its chord, by bulge times half the chord.
    aside = np.column_stack([chord[:, 1], -chord[:, 0]])
    middle = start + chord / 2 + line.bulge[wide, None] * aside / 2
    bulge = line.bulge.copy()
    bulge[wide] = half = np.tan(np.arctan(line.bulge[wide]) / 2)
    at = wide + 1
    return Trail(
        np.insert(line.corners, at, middle, axis=0),
        np.insert(bulge, at, half),
        np.insert(line.where, at, line.where[wide]),
        line.is_closed,
    )


def _first(names: NDArray[Any]) -> str:
    return str(names[0]) if len(names) else ""
