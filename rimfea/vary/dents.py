"""What a little more of a dimension does to a dent, without following it anew.

A body that is moved by u until some set s is left takes up the energy W(u), the least of all ways
to be moved so. Where a dimension a changes a little, that least value changes by g = ∂W/∂a at the
fields as they are (the envelope theorem): the energy of the same movements, of the same flow, on a
moved mesh. From F = ∂W/∂u and a set that is what does not spring back, s = u − k F, follow at a
given set

    dF/da = dg/ds        dW/da = g + k F dg/ds

and at the greatest force, where neither u nor s changes F, the same. It holds for metal that
flows one way; that a wall beyond the window gives way as well is left out. What acts already is
taken to stand as before. (``tests/vary/test_dents.py`` holds it against dents followed anew.)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.errors import MeshError
from rimfea.fem.elements import elements
from rimfea.fem.shape import THREE_POINTS
from rimfea.mesh.mesh import Mesh
from rimfea.plastic.rest import State
from rimfea.plastic.sector import Sector, carried
from rimfea.profile.moved import moved
from rimfea.study.dent import Dent
from rimfea.study.dented import COARSE, field_gradients, looked_at, unit_forces
from rimfea.vary.variant import Variants

STEP_MM = (
    2e-6  # as flow is held, a longer one is answered stiffly: a square that outweighs the slope
)
NEIGHBOURS = 5  # steps of the dent through which g is drawn
LEAST_MM = 0.01  # of set; from there on g is asked
PROOF = "proof_MPa"


def dent_slopes(
    dent: Dent, keys: Sequence[str], set_mm: float
) -> Mapping[str, tuple[float, float]]:
    """By key, what a millimetre more (and by ``proof_MPa`` an MPa more) adds to the force (N) and
    to the energy (J) of a dent of that set. A key that the mesh cannot follow is left out.
    """
    rim = dent.struck.looked
    near = Variants(rim, COARSE)
    still = _Still(dent)
    base = still.energies(rim.mesh)
    found: dict[str, tuple[float, float]] = {}
    for key in keys:
        try:
            variant = near.inspect(moved(rim.sheet, {key: STEP_MM}))
        except MeshError:
            continue
        if not variant.remeshed:
            g = (still.energies(variant.analysis.mesh) - base) / STEP_MM
            found[key] = _slopes(dent, still.sets, g, set_mm)
    found[PROOF] = _slopes(dent, still.sets, still.by_proof(), set_mm)
    return found


def _slopes(dent: Dent, sets: Floats, g: Floats, set_mm: float) -> tuple[float, float]:
    curve = dent.free
    force = curve.path.of("force")[-len(sets) :]
    value, slope = _drawn(sets, force, g, set_mm)
    _, at_most = _drawn(sets, force, g, min(set_mm, curve.fold_set_mm))
    springs = curve.at("movement", set_mm) - set_mm
    return at_most, (value + springs * slope) / 1000


def _drawn(sets: Floats, force: Floats, g: Floats, set_mm: float) -> tuple[float, float]:
    """G and its slope by the set, drawn through the nearest steps: what springs goes with the
    square of the force, what flows with the set.
    """
    near = np.sort(np.argsort(np.abs(sets - set_mm))[:NEIGHBOURS])
    s, squared = sets[near] - set_mm, force[near] ** 2
    level, rise, _ = np.polyfit(s, squared, 2)[::-1] if len(near) > 2 else (squared.mean(), 0.0, 0)
    terms = np.column_stack([np.ones_like(s), s, squared - level])
    value, flows, springs = np.linalg.lstsq(terms, g[near], rcond=None)[0]
    return float(value), float(flows + springs * rise)


@dataclass(frozen=True)
class _Still:
    """A dent whose movements and flow are held as they are."""

    dent: Dent

    @property
    def states(self) -> list[State]:
        """Its states from the first that leaves a set."""
        path = self.dent.free.path
        return list(path.states[int((path.of("set_mm") > LEAST_MM).argmax()) :])

    @property
    def sets(self) -> Floats:
        """What each leaves (s,), mm."""
        left = self.dent.free.path.of("set_mm")
        return np.asarray(left[-len(self.states) :])

    def energies(self, mesh: Mesh) -> Floats:
        """The energy (s,) of every state in the window of this mesh, N mm."""
        blow, body = self.dent.struck, self.dent.free.path.body
        chosen = looked_at(blow, self.dent.view)
        sampled = elements(mesh.nodes, mesh.triangles, THREE_POINTS)
        part = carried(body.sector, sampled, blow.ring.radius, chosen)
        alone, (whole,) = self._alone(part), field_gradients(part, blow.fields[:1])
        energies = []
        for state in self.states:
            load, bowed = float(state.load[0]), float(state.bowed[0])
            H = part.gradients(state.forces.u) + (load - bowed) * alone + bowed * whole
            energies.append(float((body.window.energy(H, state.flowed) * part.volume).sum()))
        return np.array(energies)

    def by_proof(self) -> Floats:
        """What an MPa of proof stress adds to them (s,): work of flowing goes with it."""
        body = self.dent.free.path.body
        law = body.window.metal.hardening
        proof = self.dent.struck.looked.sheet.metal.proof_MPa
        work = [float((law.work(s.flowed.amount) * body.sector.volume).sum()) for s in self.states]
        return np.array(work) / proof

    def _alone(self, part: Sector) -> Floats:
        """Gradients of a unit strike on the sector alone."""
        blow, old = self.dent.struck, self.dent.free.path.body.sector
        return part.gradients(old.solve(unit_forces(old, blow.ring, blow.amplitudes[0])))
