"""The spoke hole and what bears on its edge: the nipple seat over a turn of the wheel."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from math import gcd, sqrt

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.elastic.harmonics import ONE_DENSE_THREAD
from rimfea.elastic.loads import Case, WheelLoad
from rimfea.elastic.ring_field import RingField, solve_loads, turned_fields
from rimfea.elastic.spokes import PATTERN
from rimfea.elastic.wheel import ROUND_THE_PATTERN
from rimfea.errors import LoadError, SheetError
from rimfea.profile.moved import moved
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.section.rim import GRAM_PER_MM3
from rimfea.stress.around import Around, around, linearised_around
from rimfea.stress.cuts import Cuts
from rimfea.stress.fatigue import relaxed, with_mean
from rimfea.stress.hole import edge_stress
from rimfea.stress.walls import HOOP, along_wall
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.cases import TENSION, spoke_tension, standing, usual_lacing
from rimfea.study.ring_answers import built_ring
from rimfea.study.window import Bound, Limit

# A flat face that presses on another bears 1.5 times the proof stress, as a pin does in its hole
# (EN 1993-1-8 Table 3.10, citation from memory).
BEARS = 1.5
SEAT_STEP_MM = 0.2
WASHER_STEP_MM, WASHER_THICKNESS_MM, STEEL_KG_M3 = 2.0, 0.6, 7850.0


@dataclass(frozen=True)
class Seat:
    """A nipple seat of the kind that fatigue wears out first, under tension and air.

    ``bearing_MPa`` is the tension over the ring between hole and head or washer, ``shear_MPa``
    over the wall round it that would be pulled through; ``bearing`` and ``shear`` are their
    utilisations. ``membrane_MPa`` and ``bending_MPa`` are those of the seat without the hole,
    around the rim and across it, bending as on the face that the nipple bears on; ``edge_MPa`` is
    the largest stress along the edge of the hole. As the wheel turns under its load the worst
    place of the edge swings by ``amplitude_MPa`` about ``mean_MPa``, and ``with_mean_MPa`` is
    √(σ_max σ_a) there, once what exceeds the proof stress has yielded. Stress at the edge is
    elastic: beyond the proof stress it says how much yields, not what is borne.
    """

    bearing_MPa: float
    shear_MPa: float
    bearing: float
    shear: float
    membrane_MPa: tuple[float, float]
    bending_MPa: tuple[float, float]
    edge_MPa: float
    mean_MPa: float
    amplitude_MPa: float
    with_mean_MPa: float

    __repr__ = brief


@dataclass(frozen=True)
class Reinforcement:
    """What is done for the seat, what it weighs, and the seat before and after."""

    what: str
    mass_g: float
    before: Seat
    after: Seat

    @property
    def edge_MPa_per_g(self) -> float:
        """Stress that a gram takes from the edge of the hole."""
        return (abs(self.before.edge_MPa) - abs(self.after.edge_MPa)) / self.mass_g


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def seat(analysis: Analysis, load: WheelLoad) -> Seat:
    """The worst nipple seat of an analysed wheel that turns under ``load``.

    Raises :class:`~rimfea.errors.LoadError` for a slice or a rim only looked at.
    """
    return _worst(analysis, _built(analysis), _tension(analysis), load)


def highest_tension(analysis: Analysis, margin: float) -> Bound:
    """The tension of the tighter side that leaves the seat this ``margin``, and what sets it: first
    yield of the wall with the hole's width taken from it, bearing, or pull-through. A wall
    in bending bears up to half as much again as at first yield before it folds.

    Raises :class:`~rimfea.errors.LoadError` for a slice or a rim only looked at.
    """
    _built(analysis)
    sheet, width = analysis.sheet, _strip(analysis.sheet)
    answer = next(each for each in analysis.answers if each.name == TENSION)
    bearing, shear = _bearing(sheet, answer.load)[2:]
    wall = next(each for each in answer.verdict.walls if each.wall == Wall.NIPPLE_SEAT)
    uses = {
        Limit.SEAT_FOLDS: wall.hinge * width / (width - sheet.spoke_hole_mm),
        Limit.NIPPLE_BEARS: bearing,
        Limit.NIPPLE_PULLS: shear,
    }
    what = max(uses, key=lambda each: uses[each])
    return Bound(answer.load / (margin * uses[what]), what, margin)


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def reinforcements(analysis: Analysis, load: WheelLoad) -> tuple[Reinforcement, ...]:
    """A thicker seat and a wider washer, each drawn, meshed and solved anew; what clashes with
    the rest of the sheet is left out. A washer spreads the pull here, but stiffens nothing.

    Raises :class:`~rimfea.errors.LoadError` for a slice or a rim only looked at.
    """
    before, sheet, wide = seat(analysis, load), analysis.sheet, _wider(analysis.sheet)
    ways: tuple[tuple[str, Callable[[], Sheet], float], ...] = (
        (
            f"nipple seat {SEAT_STEP_MM:g} mm thicker",
            lambda: moved(sheet, {Wall.NIPPLE_SEAT.key_mm: SEAT_STEP_MM}),
            0.0,
        ),
        (
            f"washers of {wide:g} mm",
            lambda: moved(sheet, {"washer_mm": wide - (sheet.washer_mm or 0)}),
            _washers_g(sheet),
        ),
    )
    found = []
    for what, changed, steel_g in ways:
        with suppress(SheetError):
            other = inspect(changed())
            mass = other.hoop.mass_g - analysis.hoop.mass_g + steel_g
            found.append(Reinforcement(what, mass, before, _built_anew(analysis, other, load)))
    return tuple(found)


def _wider(sheet: Sheet) -> float:
    return sheet.bearing_diameter_mm + WASHER_STEP_MM


def _washers_g(sheet: Sheet) -> float:
    """Mass of the steel that all wider washers add."""
    within = sheet.washer_mm or sheet.spoke_hole_mm
    area = np.pi / 4 * (_wider(sheet) ** 2 - within**2)
    return sheet.spoke_count * area * WASHER_THICKNESS_MM * STEEL_KG_M3 * GRAM_PER_MM3


def _built_anew(analysis: Analysis, other: Analysis, load: WheelLoad) -> Seat:
    """The worst seat of another rim in the same wheel."""
    lacing = analysis.lacing or usual_lacing(analysis.sheet, analysis.loading)
    case = Case("a turn of the wheel", (load,), standing(other.sheet, analysis.loading))
    ring = built_ring(other.sheet, other.mesh, analysis.loading, lacing, [case])
    (built,) = solve_loads(ring, [case.standing])
    return _worst(other, built, _tension(analysis), load)


def _tension(analysis: Analysis) -> float:
    return spoke_tension(analysis.sheet, analysis.loading).tension_N


def _built(analysis: Analysis) -> RingField:
    """The field of what acts already in a built wheel."""
    if analysis.built is None:
        raise LoadError("only a rim built into a wheel has spoke holes to judge: analyse its ring")
    return analysis.built


def _worst(rim: Analysis, standing: RingField, tension: float, load: WheelLoad) -> Seat:
    metal, ring = rim.sheet.metal, standing.ring
    kinds = gcd(len(ring.spokes.angle), PATTERN)  # seats of one kind meet the load alike
    here = _at_hole(rim.cuts, rim.sheet.spoke_hole_mm, rim.sheet.seat_offset_mm)
    parts = around(here, ring)
    still = _seat_stress(here, parts, standing)[:, :kinds]
    edge = _edge(rim, still)
    places = np.linspace(0, 2 * np.pi * PATTERN / len(ring.spokes.angle), ROUND_THE_PATTERN + 1)
    fields = turned_fields(ring, load, places[:-1])
    turn = np.stack([_edge(rim, _seat_stress(here, parts, field)) for field in fields])
    by_kind = turn.reshape(-1, *edge.shape)
    high, low = by_kind.max(axis=0), by_kind.min(axis=0)
    amplitude, mean = (high - low) / 2, edge + (high + low) / 2
    left = relaxed(mean, amplitude, metal.proof_MPa)
    worn = with_mean(amplitude, left)
    kind, k = np.unravel_index(worn.argmax(), worn.shape)
    membrane, bending = still[:, kind]
    bearing_MPa, shear_MPa, bearing, shear = _bearing(rim.sheet, tension)
    return Seat(
        bearing_MPa=bearing_MPa,
        shear_MPa=shear_MPa,
        bearing=bearing,
        shear=shear,
        membrane_MPa=(float(membrane[0]), float(membrane[1])),
        bending_MPa=(float(bending[0]), float(bending[1])),
        edge_MPa=float(edge[kind, np.abs(edge[kind]).argmax()]),
        mean_MPa=float(mean[kind, k]),
        amplitude_MPa=float(amplitude[kind, k]),
        with_mean_MPa=float(worn[kind, k]),
    )


def _bearing(sheet: Sheet, tension: float) -> tuple[float, float, float, float]:
    """Stress of bearing and of pull-through, MPa, and the utilisation of each."""
    proof, outer = sheet.metal.proof_MPa, sheet.bearing_diameter_mm
    bearing = tension / (np.pi / 4 * (outer**2 - sheet.spoke_hole_mm**2))
    shear = tension / (np.pi * outer * sheet.nipple_seat_mm)
    return bearing, shear, bearing / (BEARS * proof), shear / (proof / sqrt(3))


def _at_hole(across: Cuts, hole: float, offset: float = 0.0) -> Cuts:
    """The cuts of the nipple seat where the hole is.

    The factors of the hole presume the stress that would be in its own place, even all over it;
    the mean over the hole's width comes nearest to that, as what rises on one side of its middle
    falls on the other.
    """
    x = (across.start[:, 0] + across.end[:, 0]) / 2 - offset
    here = (across.wall == across.names.index(Wall.NIPPLE_SEAT)) & (np.abs(x) <= hole / 2)
    return across.picked(here)


def _seat_stress(here: Cuts, parts: Around, field: RingField) -> Floats:
    """Membrane and bending (2, j, 2) at every seat, around the rim and across it, bending as on
    the outer face: a cut may start on either.
    """
    line = linearised_around(parts, field, field.ring.spokes.angle)
    outward = np.sign(here.end[:, 1] - here.start[:, 1])[:, None, None]
    both = np.stack([line.membrane, outward * line.bending])
    across = np.stack([along_wall(here.tangent, each) for each in both])
    return np.stack([both[..., HOOP], across], axis=-1).mean(axis=1)


def _edge(rim: Analysis, stress: Floats) -> Floats:
    """Stress (j, 4) along the edge of the hole of every seat.

    Pull around the rim runs through the width of the bed, pull across it through what lies
    between two holes.
    """
    sheet, spacing = rim.sheet, np.pi * rim.sheet.erd_mm / rim.sheet.spoke_count
    widths = np.array([_strip(sheet), spacing])
    membrane, bending = stress
    return edge_stress(membrane, bending, sheet.spoke_hole_mm, widths, sheet.nipple_seat_mm)


def _strip(sheet: Sheet) -> float:
    """Width (mm) of a strip as thick as the seat that has as much metal as the spoke bed."""
    beside = (sheet.spoke_bed_width_mm - sheet.nipple_seat_width_mm) * sheet.spoke_bed_mm
    return sheet.nipple_seat_width_mm + beside / sheet.nipple_seat_mm
