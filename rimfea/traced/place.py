"""A section from outside moved into the axes of a drawn one: bead seats at y = 0, middle at x = 0.

It is shifted and turned a little, never mirrored, scaled or turned over.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimfea.arrays import Floats
from rimfea.errors import SectionError
from rimfea.geometry.chords import cast, faces
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, cut_every, subdivided
from rimfea.traced.landmarks import LEVEL, Edges, Plane, tyre_side

SMALLEST_SHIFT_MM = 0.005
SMALLEST_TURN, LARGEST_TURN = np.radians(0.05), np.radians(8.0)
BELOW_CROWN_MM = 1.8  # a bead seat lies at least this far below the crown of the hook
IN_THE_MIDDLE_MM = 0.5  # of the crown, so high the middle of a section never reaches
SHORTEST_SEAT_MM = 0.5
ONE_FACE_MM = 0.7  # a seat's faces lie within so much of its highest
PIECE_MM = 0.5
PASSES = 3


@dataclass(frozen=True)
class Move:
    """First turned counter-clockwise about (0, 0) by ``turn`` (radians), then shifted, mm."""

    x_mm: float = 0.0
    y_mm: float = 0.0
    turn: float = 0.0

    def __bool__(self) -> bool:
        return bool(self.x_mm or self.y_mm or self.turn)

    def applied(self, points: Floats) -> Floats:
        """The points (p, 2) moved."""
        c, s = np.cos(self.turn), np.sin(self.turn)
        return np.asarray(points @ np.array([[c, s], [-s, c]]) + [self.x_mm, self.y_mm])

    def undone(self, points: Floats) -> Floats:
        """The points (p, 2) as they were before."""
        c, s = np.cos(self.turn), np.sin(self.turn)
        return np.asarray((points - [self.x_mm, self.y_mm]) @ np.array([[c, -s], [s, c]]))

    def then(self, other: Move) -> Move:
        """One move and after it the other, as one."""
        ((x, y),) = other.applied(np.array([[self.x_mm, self.y_mm]]))
        return Move(float(x), float(y), self.turn + other.turn)


def placed(outline: Outline, *, is_straight: bool = False) -> tuple[Outline, Move]:
    """The section with its bead seats at y = 0 and the middle between its sides at x = 0, and how
    it was moved: not at all where it lies there already, within 0.005 mm. One that ``is_straight``,
    upright and in the middle by its symmetry, is shifted along y only.

    Raises :class:`~rimfea.errors.SectionError` if it lies upside down or has no two bead seats.
    """
    whole = Move()
    for _ in range(PASSES):
        step = _step(moved(outline, whole), is_straight=is_straight)
        if not step:
            break
        whole = whole.then(step)
    return moved(outline, whole), whole


def moved(outline: Outline, move: Move) -> Outline:
    """The section moved."""
    if not move:
        return outline
    rings = [replace(ring, corners=move.applied(ring.corners)) for ring in outline.rings]
    return Outline(rings[0], tuple(rings[1:]))


def _step(outline: Outline, *, is_straight: bool) -> Move:
    low, high = outline.outer.corners.min(axis=0), outline.outer.corners.max(axis=0)
    middle = float(low[0] + high[0]) / 2
    centred = moved(outline, Move(-middle, 0.0))
    _upright(centred, middle)
    right, left = _seat(centred, 1, middle), _seat(centred, -1, middle)
    along = right - left
    tilt = float(np.arctan2(along[1], along[0]))
    if abs(tilt) > LARGEST_TURN:
        raise SectionError(
            f"the bead seats are out of level by {np.degrees(abs(tilt)):.0f}°",
            spots=[_spot(left, middle), _spot(right, middle)],
            remedy="turn the section until the tyre's side is up",
        )
    turn = 0.0 if is_straight or abs(tilt) < SMALLEST_TURN else -tilt
    if turn:
        return Move(turn=turn)
    seat = float(right[1] + left[1]) / 2
    sideways = 0.0 if is_straight else _between_sides(centred, seat) + middle
    return Move(*(0.0 if abs(by) < SMALLEST_SHIFT_MM else -by for by in (sideways, seat)))


def _upright(outline: Outline, middle: float) -> None:
    """Refuse what is highest in its middle."""
    onto, corners = faces(Outline(outline.outer)), outline.outer.corners
    crown, height = float(corners[:, 1].max()), float(corners[:, 1].min()) - 1.0
    while True:
        distance, hit = cast(np.array([[0.0, height]]), np.array([[0.0, 1.0]]), onto)
        if hit[0] < 0:
            break
        height += float(distance[0])
    if height > crown - IN_THE_MIDDLE_MM:
        raise SectionError(
            "the section lies upside down or on its side: it is highest in its middle",
            spots=[(middle, height)],
            remedy="turn it until the hooks are up and the spoke bed is down",
        )


def _seat(outline: Outline, side: int, middle: float) -> Floats:
    """The middle (2,) of a bead seat: of the highest faces on the tyre's side, well below the
    crown, that look outward.
    """
    # In short pieces, so that a floor from side to side has a part on either.
    ring = subdivided(outline.outer, cut_every(outline.outer, length=PIECE_MM))[0]
    every, tyre = Edges.of(ring), tyre_side(ring)
    here = every.chosen(tyre & (every.middle[:, 0] * side > 0))
    crown = float(here.y.max(initial=-np.inf))
    level = here.chosen((here.normal[:, 1] > LEVEL) & (here.y < crown - BELOW_CROWN_MM))
    order = np.argsort(-level.y)
    while len(order):
        near = level.y > level.y[order[0]] - ONE_FACE_MM
        near &= level.y <= level.y[order[0]]
        face = level.chosen(near)
        plane = Plane.through(face)
        if plane and face.length.sum() > SHORTEST_SEAT_MM:
            own = face.chosen(plane.holds(face))
            x = float(np.average(own.middle[:, 0], weights=own.length))
            y = float((plane.offset - plane.normal[0] * x) / plane.normal[1])
            return np.array([x, y])
        order = order[1:]
    x, y = side * float(np.abs(outline.outer.corners[:, 0]).max()), crown
    raise SectionError(
        f"there is no bead seat on the {'right' if side > 0 else 'left'}: no face looks outward "
        f"beside the sidewall, {BELOW_CROWN_MM:g} mm or more below the crown",
        spots=[_spot(np.array([x, y]), middle)],
        remedy="turn the section until the tyre's side is up, and look whether it is whole",
    )


def _between_sides(outline: Outline, seat: float) -> float:
    """Midway between the outer faces of the two sidewalls."""
    corners = _above(outline.outer, seat)
    return float(corners[:, 0].min() + corners[:, 0].max()) / 2


def _above(ring: Ring, height: float) -> Floats:
    return np.asarray(ring.corners[ring.corners[:, 1] > height])


def _spot(place: Floats, middle: float) -> tuple[float, float]:
    return float(place[0]) + middle, float(place[1])
