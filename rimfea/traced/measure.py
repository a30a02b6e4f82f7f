"""The caliper laid on an outline: every number of the sheet read back from the drawing.

Works on any outline whose edges are named after walls, drawn from a sheet or traced.
"""

from __future__ import annotations

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.geometry.chords import Chords, chords, stations
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, points_at
from rimfea.profile.walls import Wall
from rimfea.traced.flats import STRAIGHT, Flats, flats
from rimfea.traced.leaning import leaning, peak

SPACING = 0.25
PARALLEL = np.radians(1.0)
FACING = np.cos(np.radians(30.0))
ON_FLAT = 1e-6
LOWEST_RIDGE_MM = 0.15  # what stands less above a bead seat is no ridge
# Of two traced flats that do not face each other one must be as long, mm.
GUIDING_FLAT_MM = 0.5
STEEP = 0.99  # of the side of a well, up to 45 degrees and what a drawing is off
# At least this share of a wall's chords has to be parallel to speak for the wall.
ENOUGH_PARALLEL = 0.1
FINE_STATIONS = 2000  # along an edge, where one is looked for at a height
# A side of the well in pieces of which none is longer than the rest: fewest for a line, and the
# share between its roundings.
STANDS_OUT = 2.0
FEWEST_IN_LINE = 4
WITHOUT_ROUNDINGS = (0.2, 0.8)


def measure(outline: Outline) -> dict[str, float]:
    """Caliper numbers (mm) of an outline by the sheet's keys; walls it has not are left out.

    A wall's thickness is the median of the chords between its parallel flats; where these do
    not face each other, the distance between their lines; of a wall without parallel flats,
    the median of its chords. What leans is read where the sheet says, and its lean besides.
    """
    points, normals, label = stations(outline, SPACING)
    names = np.array(list(dict.fromkeys(outline.labels)))[label]
    crown, bottom = peak(outline, points[:, 1].max()), points[:, 1].min()
    seat = _seat(points, normals, names == Wall.BEAD_SEAT)
    sizes = {
        "inner_width_mm": _inner_width(outline),
        "overall_depth_mm": float(crown - bottom),
        "hook_height_mm": float(crown - seat),
    }
    walls = _thicknesses(outline, seat)
    stands = _ridge(outline, seat) | _bed_offset(outline) | _web_height(outline)
    curved = _middle_width(outline, (seat - walls.get("bead_seat_mm", 0.0) + bottom) / 2)
    return sizes | _well(outline, seat) | walls | leaning(outline, seat) | stands | curved


def _seat(points: Floats, normals: Floats, named: Bools) -> float:
    """Height of the bead seat: of its level flat, without the roundings and a ridge beside it."""
    outward = named & _facing_out(normals)
    level = outward & (normals[:, 1] > np.cos(PARALLEL))
    flat = points[level if level.any() else outward, 1]
    return float(np.median(flat[flat < flat.min() + LOWEST_RIDGE_MM]))


def _ridge(outline: Outline, seat: float) -> dict[str, float]:
    """Height of the ridge that keeps the bead, above the seat, if one was drawn."""
    faces = flats(outline)
    level = (faces.name == Wall.BEAD_SEAT) & (faces.normals[:, 1] > np.cos(PARALLEL))
    top = float(faces.start[level, 1].max(initial=seat))
    ridge = top > seat + LOWEST_RIDGE_MM and not faces.traced
    return {"bead_ridge_mm": top - seat} if ridge else {}


def _bed_offset(outline: Outline) -> dict[str, float]:
    """How far the nipple seat of a drawn outline lies to the right, if it does."""
    faces = flats(outline)
    below = faces.chosen((faces.name == Wall.NIPPLE_SEAT) & (faces.normals[:, 1] < -FACING))
    if faces.traced or not len(below.name):
        return {}
    x = np.concatenate([below.start[:, 0], below.end[:, 0]])
    offset = float(x.max() + x.min()) / 2
    return {"spoke_bed_offset_mm": offset} if abs(offset) > STRAIGHT else {}


def _web_height(outline: Outline) -> dict[str, float]:
    """Clear height from the spoke bed up to a web."""
    faces = flats(outline)
    under = faces.chosen((faces.name == Wall.WEB) & (faces.normals[:, 1] < -FACING))
    bed = faces.chosen((faces.name == Wall.SPOKE_BED) & (faces.normals[:, 1] > FACING))
    if not (len(under.name) and len(bed.name)):
        return {}
    return {"web_height_mm": float(np.median(under.start[:, 1]) - np.median(bed.start[:, 1]))}


def _middle_width(outline: Outline, y: float) -> dict[str, float]:
    """Width at height ``y`` over the flanks of a drawn outline, if they are curved: then their two
    straight ends are not parallel.
    """
    outer = outline.outer
    faces = flats(Outline(outer))
    ends = faces.normals[faces.name == Wall.FLANK]
    if faces.traced or not any(_turns(ends[side * ends[:, 0] > STRAIGHT]) for side in (1, -1)):
        return {}
    named = np.array([label == Wall.FLANK for label in outer.labels])
    edge = np.repeat(np.flatnonzero(named), FINE_STATIONS)
    along = np.tile(np.linspace(0, 1, FINE_STATIONS), int(named.sum()))
    points = points_at(outer, edge, along)
    points = points[np.argsort(points[:, 1])]
    right, left = (points[side * points[:, 0] > 0].T for side in (1, -1))
    return {"middle_width_mm": float(np.interp(y, *right[::-1]) - np.interp(y, *left[::-1]))}


def _turns(normals: Floats) -> bool:
    """Whether flats with these normals (f, 2) are not all parallel."""
    return bool(np.linalg.norm(normals - normals[:1], axis=1).max(initial=0.0) > PARALLEL)


def _thicknesses(outline: Outline, seat: float) -> dict[str, float]:
    found, faces = chords(outline, SPACING), flats(outline)
    ridge = (faces.name == Wall.BEAD_SEAT) & (
        np.minimum(faces.start[:, 1], faces.end[:, 1]) > seat + LOWEST_RIDGE_MM
    )
    faces = faces.chosen(~ridge)
    on_flats = (found.lean < PARALLEL) & _on(faces, found.start) & _on(faces, found.end)
    sizes = {wall.key_mm: _thickness(wall, found, on_flats, faces) for wall in Wall}
    return {key: size for key, size in sizes.items() if size is not None}


def _thickness(wall: Wall, found: Chords, on_flats: Bools, faces: Flats) -> float | None:
    radial = _radial(found.end - found.start)
    # No wall reaches from one side of the rim to the other, but for a chord through its middle.
    here = found.of(wall) & (radial | (found.start[:, 0] * found.end[:, 0] > 0))
    own = faces.chosen(faces.name == wall)
    if wall is Wall.BEAD_HOOK:  # from crown to underside, never across the lip
        here &= radial
        own = own.chosen(_radial(own.normals))
    if (here & on_flats).any():
        return float(np.median(found.lengths[here & on_flats]))
    parallel = here & (found.lean < PARALLEL)
    enough = parallel.sum() > ENOUGH_PARALLEL * here.sum()
    between = _between(own)
    if between is None and here.any():
        between = float(np.median(found.lengths[parallel if enough else here]))
    return between


def _between(faces: Flats) -> float | None:
    """Distance between the lines of two parallel flats that lie back to back, of all such pairs
    the one that is longest for its distance; None where there is no pair.
    """
    length, normal, middle = faces.lengths, faces.normals, (faces.start + faces.end) / 2
    apart = np.einsum("fgi,fi->fg", middle[:, None] - middle[None], normal)
    same_side = _radial(normal) | (middle[:, None, 0] * middle[:, 0] > 0)
    usable = (normal @ normal.T < -np.cos(PARALLEL)) & (apart > STRAIGHT) & same_side
    if faces.traced:
        usable &= np.maximum(length[:, None], length) > GUIDING_FLAT_MM
    if not usable.any():
        return None
    worth = np.minimum(length[:, None], length) / np.where(usable, apart, np.inf)
    return float(apart.flat[int(np.argmax(worth))])


def _on(faces: Flats, points: Floats) -> Bools:
    """Which points (p, 2) lie on any of the flats."""
    along = faces.end - faces.start
    reach = points[:, None] - faces.start
    share = np.clip((reach * along).sum(axis=2) / (along**2).sum(axis=1), 0, 1)
    gap = np.linalg.norm(reach - share[..., None] * along, axis=2)
    return np.asarray((gap < ON_FLAT).any(axis=1))


def _radial(vectors: Floats) -> Bools:
    return np.asarray(np.abs(vectors[:, 1]) > np.abs(vectors[:, 0]))


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


def well_slope(outline: Outline) -> float | None:
    """Lean (degrees) of the tyre well's sides from the radial; None where no side is straight."""
    side = _well_side(outline.outer)
    if side is None:
        return None
    across, along = np.abs(side[1] - side[0])
    return float(np.degrees(np.arctan2(across, along)))


def _floor(outline: Outline) -> float:
    """Height of the lowest face that looks outward from the middle of the tyre side."""
    points, normals, _ = stations(Outline(outline.outer), SPACING)
    return float(points[_facing_out(normals), 1].min())


def _well_side(ring: Ring) -> Floats | None:
    """Two points (2, 2) on the line of a straight steep face of the tyre well that looks inward:
    the ends of the longest, or where it is traced in short pieces the line through the middles.
    """
    ends = np.roll(ring.corners, -1, axis=0)
    along, middle = ends - ring.corners, (ends + ring.corners) / 2
    well = np.array([label == Wall.TYRE_WELL for label in ring.labels])
    looks_inward = along[:, 1] * middle[:, 0] < 0
    steep = np.abs(along[:, 1]) > STEEP * np.abs(along[:, 0])
    usable = well & looks_inward & steep & (np.abs(ring.bulge) < STRAIGHT)
    if not usable.any():
        return None
    length = np.where(usable, np.linalg.norm(along, axis=1), -1.0)
    k = int(np.argmax(length))
    beside = usable & (middle[:, 0] * middle[k, 0] > 0)
    flat = length[k] > min(GUIDING_FLAT_MM, STANDS_OUT * np.median(length[beside]))
    if flat or beside.sum() < FEWEST_IN_LINE:
        return np.array([ring.corners[k], ends[k]])
    low, high = np.quantile(middle[beside, 1], WITHOUT_ROUNDINGS)
    x, y = middle[beside & (middle[:, 1] >= low) & (middle[:, 1] <= high)].T
    slope, at_zero = np.polyfit(y, x, 1)
    return np.array([[at_zero, 0.0], [at_zero + slope * low, low]])


def _facing_out(normals: Floats) -> Bools:
    return np.asarray(normals[:, 1] > FACING)


def _before(ring: Ring) -> tuple[str, ...]:
    return (ring.labels[-1], *ring.labels[:-1])
