"""A section from outside: from what a file draws or shows to an outline in a rim's own axes.

Nothing is guessed on the way: what was put right, moved and left out is told, and what a scan
leaves open is carried into its walls.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rimfea.brief import brief
from rimfea.errors import SectionError
from rimfea.geometry.outline import Outline, moments
from rimfea.profile.families import Family
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.scanned.scan import Scanned, mirrored_half
from rimfea.study import analysis as study
from rimfea.study.analysis import Analysis
from rimfea.traced.as_traced import CENTRED_MM, bed_middle, trace_of
from rimfea.traced.drawing import Drawing, trail, visible
from rimfea.traced.label import named_for, usually_named
from rimfea.traced.like import with_ramps
from rimfea.traced.measure import measure
from rimfea.traced.place import Move, placed
from rimfea.traced.repair import repaired

MOST_PLACES = 3  # of burrs that are told


@dataclass(frozen=True)
class Traced:
    """A section read from a file: its outline in the axes of a drawn one (mm), without names, and
    how it came to be.

    ``unit`` is what the file's numbers were taken for and ``unit_from`` how that is known, for a
    scan its scale; ``repaired`` and ``dropped`` say in words what was put right and left out;
    ``move`` how it was moved; ``half`` which half of a scan was mirrored, "" if none.
    """

    source: str
    outline: Outline
    unit: str
    unit_from: str
    repaired: tuple[str, ...]
    dropped: tuple[str, ...]
    move: Move
    scan: Scanned | None = None
    half: str = ""

    __repr__ = brief

    @property
    def wall_mm(self) -> float:
        """By how much (mm) every wall may be thicker or thinner for the doubt in the grey level
        that parts metal from ground; 0 for a drawing.
        """
        return self.scan.wall_mm if self.scan else 0.0

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and depth over all, mm."""
        low, high = self.outline.outer.corners.min(axis=0), self.outline.outer.corners.max(axis=0)
        return float(high[0] - low[0]), float(high[1] - low[1])

    @property
    def area_mm2(self) -> float:
        """Area of the metal, mm²."""
        return float(moments(self.outline)[0])

    def measured(self) -> Mapping[str, float]:
        """Caliper numbers by the sheet's keys, mm, walls first; raises
        :class:`~rimfea.errors.OutlineError` where no walls can be told apart.
        """
        whole = usually_named(self.outline)
        sizes = measure(whole)
        walls = [wall.key_mm for wall in Wall if wall.key_mm in sizes]
        return {key: sizes[key] for key in (*walls, *(key for key in sizes if key not in walls))}


def from_drawing(drawing: Drawing) -> Traced:
    """The section that a drawing shows.

    Raises :class:`~rimfea.errors.SectionError`, with the place, for one that is no rim's.
    """
    found = repaired(drawing)
    outline, move = _placed(found.outline, drawing)
    return Traced(
        source=drawing.source,
        outline=outline,
        unit=drawing.unit,
        unit_from=drawing.unit_from,
        repaired=found.done,
        dropped=drawing.dropped,
        move=move,
    )


def from_scan(face: Scanned, source: str, scale_from: str, *, mirror: bool = False) -> Traced:
    """The section whose face was scanned; with ``mirror`` its calmer half and the image of that.

    Raises :class:`~rimfea.errors.SectionError`, with the place, for one that is no rim's, and where
    its halves are too unlike to be one another's image.
    """
    rings, half = face.rings, ""
    if mirror:
        if not face.mirror.is_trusted:
            raise SectionError(
                "the halves are too unlike for one to stand for both: they differ by up to "
                f"{face.mirror.unlike_mm:.2f} mm",
                source=source,
                remedy="leave --mirror out",
            )
        rings, half = mirrored_half(rings)
    lines = tuple(trail(ring, is_closed=True) for ring in rings)
    drawing = Drawing(lines, source, f"{face.scale.dpi:.5g} dpi", scale_from)
    found = repaired(drawing)
    outline, move = _placed(found.outline, drawing, is_straight=face.mirror.is_trusted)
    return Traced(
        source=source,
        outline=outline,
        unit=drawing.unit,
        unit_from=scale_from,
        repaired=_of_scan(face),
        dropped=_left_out(face),
        move=move,
        scan=face,
        half=half,
    )


def looked_at(plain: Outline, **numbers: object) -> Analysis:
    """A section of plain rings, its walls named and measured, only looked at. ``numbers`` are those
    of a sheet that no outline shows, by its keys; name and bead_seat_diameter_mm must be given.
    Walls among them are made as thick.
    """
    return study.inspect(as_traced(plain, **numbers))


def as_traced(plain: Outline, **numbers: object) -> Sheet:
    """The sheet of a section as it was traced, its walls named by where they lie. ``numbers`` as
    for :func:`looked_at`.
    """
    aside = bed_middle(plain)
    usual = usually_named(plain, aside if abs(aside) > CENTRED_MM else 0.0)
    sheet = Sheet({"family": Family.TRACED, "section": trace_of(usual), **numbers})
    return sheet.varied(section=trace_of(with_ramps(named_for(sheet, plain))))


def _placed(
    outline: Outline, drawing: Drawing, *, is_straight: bool = False
) -> tuple[Outline, Move]:
    """In a rim's axes; what is refused has what was drawn around its place."""
    try:
        return placed(outline, is_straight=is_straight)
    except SectionError as error:
        raise error.within(drawing.source, visible(drawing.trails)) from None


def _of_scan(face: Scanned) -> tuple[str, ...]:
    if not face.burrs:
        return ()
    places = ", ".join(f"({x:.1f}, {y:.1f})" for x, y in face.burrs[:MOST_PLACES])
    more = " and elsewhere" if len(face.burrs) > MOST_PLACES else ""
    what = "a burr" if len(face.burrs) == 1 else f"{len(face.burrs)} burrs"
    return (f"cut off {what} at x, y = {places} mm of the scan{more}",)


def _left_out(face: Scanned) -> tuple[str, ...]:
    specks = face.specks
    return (f"{specks} speck{'s' if specks > 1 else ''} of dust",) if specks else ()
