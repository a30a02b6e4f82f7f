"""The caliper laid on an outline: every number of the sheet read back from the drawing.

Works on any outline whose edges are named after walls, drawn from a sheet or traced.
"""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.geometry.chords import chords, stations
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring
from rimfea.profile.walls import Wall

SPACING = 0.25
PARALLEL = np.radians(1.0)
FACING = np.cos(np.radians(30.0))
STRAIGHT = 1e-9


def measure(outline: Outline) -> dict[str, float]:
    """Caliper numbers (mm) of an outline by the sheet's keys; walls it has not are left out.

    A wall's thickness is the median of the chords between its parallel faces, away from the
    fillets; of a wall without parallel faces, the median of all its chords.
    """
    points, normals, label = stations(outline, SPACING)
    names = np.array(list(dict.fromkeys(outline.labels)))[label]
    crown, bottom = points[:, 1].max(), _lowest(outline)
    seat = float(np.median(points[_facing_out(normals) & (names == Wall.BEAD_SEAT), 1]))
    sizes = {
        "inner_width_mm": _inner_width(outline),
        "overall_depth_mm": float(crown - bottom),
        "hook_height_mm": float(crown - seat),
    }
    return sizes | _well(outline, seat) | _thicknesses(outline)


def _thicknesses(outline: Outline) -> dict[str, float]:
    found = chords(outline, SPACING)
    sizes = {}
    for wall in Wall:
        here = found.of(wall)
        level = here & (found.lean < PARALLEL)
        lengths = found.lengths[level if level.any() else here]
        if len(lengths):
            sizes[f"{wall.replace(' ', '_')}_mm"] = float(np.median(lengths))
    return sizes


def _inner_width(outline: Outline) -> float:
    """Clear width at the narrowest place between the two sides above the bead seat."""
    above = {Wall.BEAD_HOOK, Wall.HOOK_LIP, Wall.SIDEWALL}
    x = np.array(
        [
            corner[0]
            for corner, label, before in zip(
                outline.outer.corners, outline.outer.labels, _before(outline.outer), strict=True
            )
            if label in above or before in above
        ]
    )
    return float(x[x > 0].min() - x[x < 0].max())


def _well(outline: Outline, seat: float) -> dict[str, float]:
    """Depth of the well's floor on the tyre side and its width at the height of the seat."""
    outer = outline.outer
    side, floor = _well_side(outer), _floor(outline)
    if side is None:
        return {"tyre_well_depth_mm": seat - floor}
    (x_1, y_1), (x_2, y_2) = side
    half = x_1 + (seat - y_1) * (x_2 - x_1) / (y_2 - y_1)
    return {"tyre_well_depth_mm": seat - floor, "tyre_well_width_mm": 2 * abs(float(half))}


def _floor(outline: Outline) -> float:
    """Height of the lowest face that looks outward from the middle of the tyre side."""
    points, normals, _ = stations(Outline(outline.outer), SPACING)
    return float(points[_facing_out(normals), 1].min())


def _lowest(outline: Outline) -> float:
    return float(stations(outline, SPACING)[0][:, 1].min())


def _well_side(ring: Ring) -> Floats | None:
    """Ends (2, 2) of the longest straight steep face of the tyre well that looks inward."""
    ends = np.roll(ring.corners, -1, axis=0)
    along = ends - ring.corners
    well = np.array([label == Wall.TYRE_WELL for label in ring.labels])
    looks_inward = along[:, 1] * (ring.corners + ends)[:, 0] < 0
    steep = np.abs(along[:, 1]) > np.abs(along[:, 0])
    usable = well & looks_inward & steep & (np.abs(ring.bulge) < STRAIGHT)
    if not usable.any():
        return None
    k = int(np.argmax(np.where(usable, np.linalg.norm(along, axis=1), -1.0)))
    return np.array([ring.corners[k], ends[k]])


def _facing_out(normals: Floats) -> Bools:
    return np.asarray(normals[:, 1] > FACING)


def _before(ring: Ring) -> tuple[str, ...]:
    return (ring.labels[-1], *ring.labels[:-1])
