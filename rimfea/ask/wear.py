"""How thin a rim brake may wear the sidewalls before the air in the tyre bends them open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.elastic.harmonics import ONE_DENSE_THREAD
from rimfea.elastic.loads import Pressure, SpokeTension
from rimfea.elastic.ring import Ring, solve_ring, with_seat
from rimfea.elastic.ring_field import solve_loads
from rimfea.elastic.spokes import PATTERN
from rimfea.errors import LoadError
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring as Edges
from rimfea.geometry.ring import normals_at, points_at
from rimfea.mesh.build import mesh_outline
from rimfea.mesh.mesh import Mesh
from rimfea.profile.brake import Brake
from rimfea.profile.build import outline as drawn
from rimfea.profile.heads import HOOKLESS
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.stress.around import around, linearised_around
from rimfea.stress.cuts import cuts
from rimfea.stress.walls import WallStress, wall_stresses
from rimfea.study.cases import Loading, bearing_of, inflation, laced, spoke_tension, usual_lacing

USUAL_MARGIN = 2.0
LEAST_MM = 1.0  # no advice goes below; common practice
THINNEST, STEPS = 0.4, 7  # the thinnest sidewall looked at, of today's; how many
OF_A_PITCH = np.arange(0, PATTERN, 0.25)  # places looked at around the rim, in pitches of spokes
STATIONS = 8  # cuts to a thickness: the root's bending grows fast towards the fillet
NO_BLOCKS = {
    Brake.DISC: "a disc brakes the wheel",
    Brake.ROD: "rods brake it on the inside",
}
UPRIGHT = np.cos(np.radians(10.0))


@dataclass(frozen=True)
class Wear:
    """A sidewall at its root, from today's thickness down: ``thickness_mm`` (k,), falling.

    ``membrane_MPa``, ``bending_MPa`` (its size) and ``peak_MPa`` (k,) are the stress along the
    wall and the von Mises stress at its worst cut, under ``air`` and ``tension`` together;
    ``first_yield`` and ``hinge`` (k,) utilisations of the air, the tension standing by.
    ``margin`` is the factor on the pressure that is asked for against first yield.
    """

    sheet: Sheet
    air: Pressure
    tension: SpokeTension
    margin: float
    thickness_mm: Floats
    membrane_MPa: Floats
    bending_MPa: Floats
    peak_MPa: Floats
    first_yield: Floats
    hinge: Floats

    __repr__ = brief

    @property
    def today_mm(self) -> float:
        """The sidewall as measured."""
        return self.sheet.sidewall_mm

    @property
    def mark_mm(self) -> float | None:
        """The sidewall at which the maker's wear mark is gone, if the sheet says it."""
        return self.sheet.wear_mark_mm

    @property
    def first_yield_MPa(self) -> Floats:
        """Pressures (k,) at which the root first yields; 0 where the tension alone is too much."""
        return self.air.pressure_MPa / self.first_yield

    @property
    def hinge_MPa(self) -> Floats:
        """Pressures (k,) at which the root bends open."""
        return self.air.pressure_MPa / self.hinge

    @property
    def margin_gone_mm(self) -> float | None:
        """The thickness at which the margin is used up: None if it is kept by the thinnest
        sidewall looked at, infinite if it is missing today.
        """
        return _reached(self.thickness_mm, self.first_yield, self.margin)

    @property
    def hinge_mm(self) -> float | None:
        """The thickness at which the pressure bends the root open, told in the same way."""
        return _reached(self.thickness_mm, self.hinge, 1.0)

    @property
    def yields_mm(self) -> float | None:
        """The thickness at which the pressure alone makes the root yield, told in the same way."""
        return _reached(self.thickness_mm, self.first_yield, 1.0)

    @property
    def limit_mm(self) -> float:
        """Where wear must end: the margin, the maker's mark or the least that is common practice,
        whichever is met first. Infinite if the margin is missing today.
        """
        return max(self.margin_gone_mm or 0.0, self.mark_mm or 0.0, LEAST_MM)

    @property
    def left_mm(self) -> float:
        """What may still be worn off."""
        return max(self.today_mm - self.limit_mm, 0.0)


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def wear(
    sheet: Sheet,
    loading: Loading,
    margin: float = USUAL_MARGIN,
    thicknesses: Sequence[float] | None = None,
    *,
    coarseness: float = 1.0,
) -> Wear:
    """The sidewalls' root under the loading's air and spoke tension, at today's thickness and at
    ``thicknesses`` (mm, thinner; down to 0.4 of today's if None).

    The root is that of a cantilever of height h whose face bears the air and whose top the casing
    pulls outward: M = p (√(ρ² − W²/4) h + h²/2), see :class:`~rimfea.elastic.loads.Pressure`.

    Raises :class:`~rimfea.errors.LoadError` for a margin below 1, for a rim that no brake block
    wears, and for a tyre narrower than the rim, whose casing the model does not know.
    """
    air = inflation(sheet, loading)
    _check(sheet, air, margin)
    kept = _thinner(sheet.sidewall_mm, thicknesses)
    new = drawn(sheet)
    roots = [
        _root(sheet, worn(new, sheet.sidewall_mm - each), loading, coarseness) for each in kept
    ]
    return Wear(
        sheet=sheet,
        air=air,
        tension=spoke_tension(sheet, loading),
        margin=margin,
        thickness_mm=kept,
        membrane_MPa=np.array([root.membrane_MPa for root in roots]),
        bending_MPa=np.array([abs(root.bending_MPa) for root in roots]),
        peak_MPa=np.array([root.peak_MPa for root in roots]),
        first_yield=np.array([root.first_yield for root in roots]),
        hinge=np.array([root.hinge for root in roots]),
    )


def worn(outline: Outline, depth_mm: float) -> Outline:
    """The outline with the outer face of both sidewalls ``depth_mm`` further in.

    Brake blocks touch the sidewall only, so hook, bead seat and flank stay as they were and the
    face ends in two steps. Thinning the sheet's sidewall would not do: that moves the inner face
    of a rim with a hook, and the flank of one without.
    """
    if depth_mm == 0:
        return outline
    edges = outline.outer
    every = np.arange(len(edges.labels))
    half = np.full(len(every), 0.5)
    side = np.sign(points_at(edges, every, half)[:, 0])
    outward = normals_at(edges, every, half)[:, 0] * side > UPRIGHT
    faces = np.flatnonzero(outward & (np.array(edges.labels) == Wall.SIDEWALL))
    ends = edges.corners[np.column_stack([faces, (faces + 1) % len(every)])]
    moved = ends - side[faces, None, None] * np.array([depth_mm, 0.0])
    after = np.repeat(faces + 1, 2)
    return Outline(
        Edges(
            np.insert(edges.corners, after, moved.reshape(-1, 2), axis=0),
            np.insert(edges.bulge, after, 0.0),
            tuple(np.insert(np.array(edges.labels, dtype=object), after, Wall.SIDEWALL)),
        ),
        outline.holes,
    )


def _check(sheet: Sheet, air: Pressure, margin: float) -> None:
    if not 1 <= margin < float("inf"):
        raise LoadError(f"the margin against first yield = {margin:g}: must be 1 or more")
    if sheet.brake in NO_BLOCKS:
        raise LoadError(f"{sheet.name}: {NO_BLOCKS[sheet.brake]}, so its sidewalls do not wear")
    if sheet.brake is None and sheet.family.head is HOOKLESS:
        raise LoadError(
            f"{sheet.name}: a rim without hooks mostly goes with a disc brake, which does not wear "
            'it; if blocks do run on it, say brake = "rim" in the sheet'
        )
    if air.tyre_width_mm <= sheet.inner_width_mm:
        raise LoadError(
            f"a tyre {air.tyre_width_mm:g} mm wide is too narrow for a rim "
            f"{sheet.inner_width_mm:g} mm wide inside: its beads' pull is not known"
        )


def _thinner(today: float, thicknesses: Sequence[float] | None) -> Floats:
    """Thicknesses (k,), falling from today's."""
    if thicknesses is None:
        return np.linspace(1.0, THINNEST, STEPS) * today
    asked = np.asarray(thicknesses, dtype=np.float64)
    if not ((asked > 0) & (asked <= today)).all():
        raise ValueError(f"a worn sidewall is thinner than today's {today:g} mm, and more than 0")
    return np.unique(np.append(asked, today))[::-1]


def _root(sheet: Sheet, shape: Outline, loading: Loading, coarseness: float) -> WallStress:
    """The worst cut of the sidewalls, at a spoke or between spokes."""
    mesh = mesh_outline(shape, coarseness=coarseness)
    across = cuts(shape, mesh, spacing=sheet.sidewall_mm / STATIONS)
    ring = _ring(sheet, mesh, loading)
    parts = around(across, ring)
    fields = solve_loads(ring, [[inflation(sheet, loading)], [spoke_tension(sheet, loading)]])
    theta = 2 * np.pi / sheet.spoke_count * OF_A_PITCH
    air, tension = (linearised_around(parts, field, theta) for field in fields)
    walls = wall_stresses(across, air, sheet.metal.proof_MPa, standing=tension, theta=theta)
    return next(each for each in walls if each.wall == Wall.SIDEWALL)


def _ring(sheet: Sheet, mesh: Mesh, loading: Loading) -> Ring:
    """The ring with few harmonics: air is alike all around, and of the waves that the spokes'
    tension makes at the sidewalls the first is nearly all.
    """
    return solve_ring(
        mesh,
        sheet.metal,
        sheet.seat_radius_mm,
        laced(sheet, usual_lacing(sheet, loading)),
        bearing_of(sheet),
        sheet.spoke_count,
        columns=with_seat(()),
    )


def _reached(thickness: Floats, utilisation: Floats, factor: float) -> float | None:
    """The thickness at which ``factor`` times the load meets the limit of these utilisations.

    The factor a bent strip bears goes with the square of its thickness, so its root is nearly
    straight and is what is interpolated; what the mesh makes rise with wear counts as level.
    """
    with np.errstate(divide="ignore"):
        strength = np.minimum.accumulate(1 / np.sqrt(utilisation))
    wanted = np.sqrt(factor)
    if strength[0] < wanted:
        return float("inf")
    if strength[-1] >= wanted:
        return None
    return float(np.interp(wanted, strength[::-1], thickness[::-1]))
