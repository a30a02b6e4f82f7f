"""At what frequencies a bare rim rings, hung up and tapped: no tyre, no tape, no spokes.

The modes are those of the section swept round. Spoke holes and what is in the joint are small, and
come in by Rayleigh's quotient with the same forms: holes take their metal from what moves, and give
way as round holes in a plate do; a joint weighs along, spread all around. The metal of a weld, the
valve hole and the drag of the air are left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.brief import brief
from rimfea.elastic.modes import (
    TONNE_PER_MM3,
    Mode,
    energies,
    free_modes,
    mode_strains,
    movements,
)
from rimfea.errors import MeshError
from rimfea.fem.elements import Elements, elements
from rimfea.fem.revolution import isotropic
from rimfea.fem.solve import solvable
from rimfea.mesh.mesh import Mesh
from rimfea.profile.sheet import Sheet
from rimfea.stress.hole import given_way
from rimfea.study.analysis import Analysis, spoke_holes

WAVES = range(2, 7)  # a microphone hears more, but then the section itself begins to twist
GRAM_PER_TONNE = 1e6
AROUND, ACROSS, SHEAR = 2, 0, 4  # of the strains xx yy zz yz zx xy, those in the spoke bed


@dataclass(frozen=True)
class Ringing:
    """The free modes of a bare rim, the lowest tone first, and their tones in Hz (m,). ``drilled``
    (e, q) are the points of the mesh that stand for the metal of the spoke holes.
    """

    modes: tuple[Mode, ...]
    hertz: Floats
    drilled: Bools

    __repr__ = brief


@solvable()
def ringing(looked: Analysis, waves: Sequence[int] = WAVES) -> Ringing:
    """The slowest modes of each kind of a rim that was looked at, as drawn."""
    sheet, mesh = looked.sheet, looked.mesh
    modes = free_modes(mesh.nodes, mesh.triangles, sheet.metal, sheet.seat_radius_mm, waves)
    drilled = _drilled(sheet, elements(mesh.nodes, mesh.triangles))
    hertz = tones(sheet, mesh, modes, drilled)
    order = np.argsort(hertz)
    return Ringing(tuple(modes[k] for k in order), hertz[order], drilled)


def tones(sheet: Sheet, mesh: Mesh, modes: Sequence[Mode], drilled: Bools) -> Floats:
    """Tones (m,), Hz, of a rim by forms that are, or are nearly, those of its modes: on a mesh
    moved with the sheet the forms of another give its tones to the second order of the move.
    """
    stiff, moving = held(sheet, mesh, modes, drilled)
    return np.asarray(np.sqrt(stiff / moving) / (2 * np.pi))


def held(sheet: Sheet, mesh: Mesh, modes: Sequence[Mode], drilled: Bools) -> tuple[Floats, Floats]:
    """Twice the energies of strain and of movement at 1 rad/s (m,) of the whole rim, drilled and
    joined, by π: N mm.
    """
    el, metal, radius = elements(mesh.nodes, mesh.triangles), sheet.metal, sheet.seat_radius_mm
    stiff, moving = energies(el, metal, radius, modes)
    around = el.w * (radius + el.points[..., 1])
    whole = TONNE_PER_MM3 * metal.density_kg_m3 * 2 * np.pi * around.sum()
    joined = moving * (1 + sheet.joint_mass_g / GRAM_PER_TONNE / whole)
    volume = spoke_holes(sheet).volume_mm3
    if not volume:
        return stiff, joined
    here = drilled.any(axis=1)
    bed = elements(mesh.nodes, mesh.triangles[here])
    share = np.where(drilled, around, 0.0)[here] / around[drilled].sum() * volume / (2 * np.pi)
    D = isotropic(metal.youngs_MPa, metal.poisson)
    stress = np.einsum("st,eqtm->seqm", D, mode_strains(bed, radius, modes))
    soft = given_way(stress[AROUND], stress[ACROSS], stress[SHEAR]) / metal.youngs_MPa
    lost = (movements(bed, modes) ** 2).sum(axis=2) * TONNE_PER_MM3 * metal.density_kg_m3
    return (
        stiff - np.einsum("eqm,eq->m", soft, share),
        joined - np.einsum("eqm,eq->m", lost, share),
    )


def _drilled(sheet: Sheet, el: Elements) -> Bools:
    """Points (e, q) of the spoke bed within the width of a hole, from its lowest one up."""
    holes = spoke_holes(sheet)
    x, y = el.points[..., 0], el.points[..., 1]
    beside = np.abs(x - sheet.seat_offset_mm) <= holes.diameter_mm / 2
    if not beside.any():
        raise MeshError("no triangle of the spoke bed lies where its holes are: mesh it finer")
    return np.asarray(beside & (y <= y[beside].min() + holes.bed_thickness_mm))
