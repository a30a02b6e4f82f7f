"""What was read of a section from outside: in sentences, a table and plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import PurePath

import numpy as np

from rimfea.ask.trace import Traced
from rimfea.errors import OutlineError
from rimfea.geometry.ring import edge_lengths
from rimfea.profile.walls import Wall
from rimfea.scanned.scan import DOUBT, HALFWAY, Scanned
from rimfea.study.analysis import Analysis
from rimfea.words.numbers import figures, listed, no_finer, plus_minus
from rimfea.words.plain import as_text, heading
from rimfea.words.tables import Table

MOST_TOLD = 4  # of what was put right and left out
NOTICED_LEVELS = 10.0  # of 255, by which the light changes
NOTICED_TILT = 0.05  # degrees


def trace_headline(found: Traced) -> str:
    """What to check first."""
    width, depth = found.size_mm
    doubt = found.wall_mm
    return (
        f"{PurePath(found.source).name}: Check with the caliper: the section is "
        f"{no_finer(width, doubt, 4)} mm wide and {no_finer(depth, doubt, 4)} mm deep over all."
    )


def trace_lines(
    found: Traced, rim: Analysis | None = None, *, is_rated: bool = False
) -> Iterator[str]:
    """What to do next, how the file was read, what was put right and moved; the mass of ``rim``.
    Nothing more is to be done for a sheet where the section ``is_rated``.
    """
    if found.scan:
        yield "Then look at it (--picture seen.png): the line must lie on every face."
    holes = len(found.outline.holes)
    inside = {0: "no chamber", 1: "one chamber"}.get(holes, f"{holes} chambers")
    yield f"It has {figures(found.area_mm2)} mm² of metal and {inside}."
    if rim:
        yield _mass(found, rim)
    yield from _scan_lines(found, found.scan) if found.scan else _drawing_lines(found)
    done = {"Put right": found.repaired, "Left out": found.dropped}
    told = " ".join(f"{what}: {_some(parts)}." for what, parts in done.items() if parts)
    if told:
        yield told
    yield _moved(found)
    if not _sizes(found):
        yield f"The walls cannot be told apart: {_trouble(found)}."
    if not is_rated:
        yield (
            "Next: --bead-seat-diameter 622 --sheet mine.toml makes it a sheet for every other "
            "command."
        )


def trace_table(found: Traced, *, details: bool = False) -> Table:
    """A row a wall, as a caliper reads it off the outline; with ``details`` also the other sizes.
    A scan's have the ± of its grey level.
    """
    walls = {wall.key_mm: str(wall) for wall in Wall}
    sizes = {key: mm for key, mm in _sizes(found).items() if details or key in walls}
    names = [walls.get(key, key.removesuffix("_mm").replace("_", " ")) for key in sizes]
    told = [f"{mm:.2f} mm" for mm in sizes.values()]
    title, head = "What a caliper would read", ("dimension", "value", "±")
    if not found.scan:
        return Table(title, head[:2], tuple(zip(names, told, strict=True)))
    doubt = f"±{found.wall_mm:.2f} mm"
    return Table(title, head, tuple((*row, doubt) for row in zip(names, told, strict=True)))


def trace_json(found: Traced, rim: Analysis | None = None) -> str:
    """All of it as data: the outline with its bulges, sizes, scale and doubt."""
    rings = [
        {"corners_mm": ring.corners, "bulge": ring.bulge, "is_hole": k > 0}
        for k, ring in enumerate(found.outline.rings)
    ]
    width, depth = found.size_mm
    data = {
        **heading("rimfea trace 1"),
        "source": found.source,
        "unit": found.unit,
        "unit_from": found.unit_from,
        "width_mm": width,
        "depth_mm": depth,
        "area_mm2": found.area_mm2,
        "mass_g": rim.hoop.mass_g if rim else None,
        "sizes_mm": dict(_sizes(found)),
        "wall_expanded_mm": found.wall_mm,
        "repaired": list(found.repaired),
        "left_out": list(found.dropped),
        "moved": {
            "x_mm": found.move.x_mm,
            "y_mm": found.move.y_mm,
            "turn_deg": float(np.degrees(found.move.turn)),
        },
        "scan": _scan_data(found.scan) if found.scan else None,
        "mirrored_half": found.half or None,
        "rings": rings,
    }
    return as_text(data)


def _mass(found: Traced, rim: Analysis) -> str:
    doubt = 0.0
    if found.scan:
        around = sum(float(edge_lengths(ring).sum()) for ring in found.outline.rings)
        doubt = rim.hoop.mass_g * found.scan.edge_mm * around / found.area_mm2
    told = f" {plus_minus(doubt)}" if doubt else ""
    return (
        f"At a bead seat diameter of {rim.sheet.bead_seat_diameter_mm:g} mm the rim weighs "
        f"{no_finer(rim.hoop.mass_g, doubt)}{told} g as drawn, in {rim.sheet.metal.name}: weigh it."
    )


def _drawing_lines(found: Traced) -> Iterator[str]:
    yield f"A number of the file was read as {found.unit}, {found.unit_from}."


def _scan_lines(found: Traced, face: Scanned) -> Iterator[str]:
    levels = face.levels
    pixel = max(face.scale.x_mm, face.scale.y_mm)
    yield f"The scale is {face.scale.dpi:.0f} dpi, {found.unit_from}: a pixel is {pixel:.3f} mm."
    step = levels.ground - levels.metal
    low, high = (levels.ground - step * (HALFWAY + by) for by in (DOUBT, -DOUBT))
    yield (
        f"Metal is at grey level {levels.metal:.0f} of 255, the ground at {levels.ground:.0f}, the "
        f"edge was read at {levels.threshold:.0f}. By how a scanner writes brightness it may be at "
        f"{low:.0f} to {high:.0f}: every wall is up to {figures(face.wall_mm, 1)} mm thicker or "
        "thinner."
    )
    uneven = levels.uneven > NOTICED_LEVELS
    light = (
        f"The light changes by {levels.uneven:.0f} levels and was evened out. " if uneven else ""
    )
    half = f" The {found.half} half was calmer: the other is its image." if found.half else ""
    yield light + _symmetry(face) + half


def _symmetry(face: Scanned) -> str:
    unlike = figures(face.mirror.unlike_mm, 1)
    if not face.mirror.is_trusted:
        return f"The halves differ by up to {unlike} mm, so that symmetry straightened nothing."
    lean = float(np.degrees(face.mirror.lean))
    side = "right" if lean > 0 else "left"
    stood = f"leant {abs(lean):.1f}° to the {side}" if abs(lean) > NOTICED_TILT else "stood upright"
    return f"The face {stood}, its halves differ by {unlike} mm at most: it was straightened."


def _moved(found: Traced) -> str:
    move = found.move
    if not move:
        return "It lies in a rim's axes already: bead seats at y = 0, the middle at x = 0."
    parts = []
    if move.turn:
        way = "left" if move.turn > 0 else "right"
        parts.append(f"turned by {abs(np.degrees(move.turn)):.1f}° to the {way}")
    if move.x_mm:
        parts.append(f"moved {abs(move.x_mm):.2f} mm to the {'right' if move.x_mm > 0 else 'left'}")
    if move.y_mm:
        parts.append(f"moved {abs(move.y_mm):.2f} mm {'outward' if move.y_mm > 0 else 'inward'}")
    return f"It was {listed(parts)}: now the bead seats are at y = 0 and the middle at x = 0."


def _some(parts: Sequence[str]) -> str:
    more = len(parts) - MOST_TOLD
    return listed([*parts[:MOST_TOLD], *([f"{more} more"] if more > 0 else [])])


def _sizes(found: Traced) -> dict[str, float]:
    try:
        return dict(found.measured())
    except OutlineError:
        return {}


def _trouble(found: Traced) -> str:
    try:
        found.measured()
    except OutlineError as error:
        return str(error)
    return ""


def _scan_data(face: Scanned) -> dict[str, object]:
    return {
        "dpi": face.scale.dpi,
        "metal_level": face.levels.metal,
        "ground_level": face.levels.ground,
        "threshold": face.levels.threshold,
        "noise": face.levels.noise,
        "edge_mm": face.edge_mm,
        "tolerance_mm": face.tolerance_mm,
        "lean_deg": float(np.degrees(face.mirror.lean)),
        "halves_differ_mm": face.mirror.unlike_mm,
        "is_straightened": face.mirror.is_trusted,
    }
