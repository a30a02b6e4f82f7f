"""Rims that differ from one another by a little: a curve through them has no noise of meshing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from rimfea.arrays import Floats
from rimfea.errors import MeshError, OutlineError
from rimfea.fem.interpolate import places
from rimfea.geometry.outline import Outline
from rimfea.mesh.mesh import Mesh
from rimfea.mesh.move import Feet, Mover, facing, feet, same_edges, standing
from rimfea.profile.build import outline as drawn
from rimfea.profile.sheet import Sheet
from rimfea.section.properties import section_properties
from rimfea.stress.cuts import GAUSS, Cuts
from rimfea.study.analysis import Analysis, inspect, whole
from rimfea.study.cases import USUAL

AS_DRAWN = 1e-9  # mm
# The end of a cut is sought in steps of at most a tenth of its edge.
NEWTON_STEPS = 4
NUDGE = 1e-5
LONGEST_STEP = 0.1


@dataclass(frozen=True)
class Variant:
    """One rim like another but for some numbers, only looked at. ``remeshed`` says why it could
    not have the mesh and the cuts of the other moved along; empty where it has.
    """

    analysis: Analysis
    remeshed: str = ""


@dataclass(frozen=True)
class Variants:
    """Rims like ``base``, whose mesh, made at ``coarseness``, and cuts they reuse.

    A cut starts at the same fraction of the same edge, ends on the same edge and crosses the wall
    at the same angle: cuts neither come nor go. Where the end of the edge is in the way, a cut
    leans. Raises :class:`~rimfea.errors.OutlineError` for a base not drawn from its sheet.
    """

    base: Analysis
    coarseness: float = 1.0

    def __post_init__(self) -> None:
        shape, redrawn = self.base.outline, drawn(self.base.sheet)
        if not same_edges(shape, redrawn) or _largest_gap(shape, redrawn) > AS_DRAWN:
            raise OutlineError("a section that was not drawn from its sheet cannot be varied by it")

    def __getstate__(self) -> dict[str, object]:
        """To another process it goes without what is only kept to be quick."""
        return {"base": self.base, "coarseness": self.coarseness}

    def inspect(self, sheet: Sheet) -> Variant:
        """Draw a sheet and give its section, mass and cuts on the moved mesh, without any load;
        on a fresh one where the mesh cannot follow. Raises errors of :mod:`rimfea.errors`.
        """
        shape = drawn(sheet)
        try:
            mesh = self._mover.moved(shape)
        except MeshError as error:
            fresh = inspect(sheet, outline=shape, coarseness=self.coarseness)
            return Variant(fresh, str(error))
        section = section_properties(shape, mesh)
        rim = whole(sheet, section)
        across = self._cuts(shape, mesh)
        return Variant(Analysis(sheet, shape, mesh, section, rim, across, USUAL))

    def ready(self) -> None:
        """Factorise now what moves the mesh, in the thread that asks: SuperLU gives its memory back
        only to the thread that took it, and threads which are done can give nothing back.
        """
        self._mover.ready()

    @cached_property
    def _mover(self) -> Mover:
        return Mover(self.base.outline, self.base.mesh)

    @cached_property
    def _starts(self) -> Feet:
        return feet(self.base.outline, self.base.cuts.start)

    @cached_property
    def _ends(self) -> Feet:
        return feet(self.base.outline, self.base.cuts.end)

    @cached_property
    def _lean(self) -> Floats:
        return _leans(self.base.outline, self._starts, self._ends)

    def _cuts(self, shape: Outline, mesh: Mesh) -> Cuts:
        """The base's cuts, carried along."""
        across, was = self.base.cuts, self.base.outline
        ends = _turned_back(shape, self._starts, self._ends, self._lean)
        start = across.start + (standing(shape, self._starts) - standing(was, self._starts))
        end = across.end + (standing(shape, ends) - standing(was, self._ends))
        middle, half = (start + end) / 2, (end - start) / 2
        points = middle[:, None] + GAUSS[:, None] * half[:, None]
        along = places(mesh.nodes, mesh.triangles, points.reshape(-1, 2))
        length = np.linalg.norm(end - start, axis=1)
        return replace(across, start=start, end=end, length=length, along=along)


def _turned_back(shape: Outline, starts: Feet, ends: Feet, lean: Floats) -> Feet:
    """The ends (c,) of cuts, each slid along its edge until the cut leans as before (Newton)."""
    for _ in range(NEWTON_STEPS):
        now = _leans(shape, starts, ends)
        nudged = _leans(shape, starts, replace(ends, t=ends.t + NUDGE))
        step = NUDGE * (lean - now) / (nudged - now)
        t = ends.t + np.clip(step, -LONGEST_STEP, LONGEST_STEP)
        ends = replace(ends, t=np.clip(t, 0.0, 1.0))
    return ends


def _leans(shape: Outline, starts: Feet, ends: Feet) -> Floats:
    """Sine (c,) of the angle between each cut and the direction midway between the normals of
    its faces, which is at right angles to the mid-line of the wall.
    """
    cut = standing(shape, ends) - standing(shape, starts)
    square = facing(shape, ends) - facing(shape, starts)
    cross = cut[:, 0] * square[:, 1] - cut[:, 1] * square[:, 0]
    return np.asarray(cross / np.linalg.norm(cut, axis=1) / np.linalg.norm(square, axis=1))


def _largest_gap(one: Outline, other: Outline) -> float:
    """Largest distance between the corners of outlines with the same edges, mm."""
    pairs = zip(one.rings, other.rings, strict=True)
    return max(float(np.abs(a.corners - b.corners).max()) for a, b in pairs)
