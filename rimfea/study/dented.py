"""What a strike leaves on a rim: the body of :mod:`rimfea.plastic`, built from a ring and a case.

The rim is meshed anew, coarsely: what a dent depends on is the energy of the metal about the hook, which
needs fewer triangles than the stress in a cut. The metal may yield where the walls say (the hook, its
lip and the sidewall on the struck side first), and more of the section is taken in, and more of
the rim to either side, until nothing yields at the edge of what is looked at.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, sin

import numpy as np

from rimfea.arrays import Bools, Floats, Ints
from rimfea.elastic.harmonics import ONE_DENSE_THREAD
from rimfea.elastic.loads import Case, Strike
from rimfea.elastic.ring import STILL, Ring, hoop_stress
from rimfea.elastic.ring_field import RingField, load_amplitudes, solve_loads
from rimfea.errors import LoadError
from rimfea.fem.assemble import degrees_of_freedom
from rimfea.mesh.mesh import Mesh
from rimfea.plastic.metal import ramberg_osgood
from rimfea.plastic.path import Body, Path, followed
from rimfea.plastic.response import Window, solid, symmetric
from rimfea.plastic.sector import Sector, sector
from rimfea.profile.walls import Wall
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.answer import Answer
from rimfea.study.ring_answers import built_ring

COARSE = 2.0  # triangles; half as coarse moves the fold by 1 % (tests/study/test_dented.py)
REPEATS, HIGHEST = 15, 180
WINDOW_MM, WIDER = 45.0, 1.6
LEAN = 0.5  # radians; a strike that leans gives the sideways load
FLOWED = 5e-3  # plastic strain that is felt beyond the edge of a window
FIRST_WALLS = (Wall.BEAD_HOOK, Wall.HOOK_LIP, Wall.SIDEWALL, Wall.BEAD_SEAT)


@dataclass(frozen=True)
class Prepared:
    """A ring under a strike: unit fields of it (inward, and sideways if the crown is held), and
    what stands by.
    """

    analysis: Analysis
    ring: Ring
    case: Case
    units: tuple[RingField, ...]
    amplitudes: tuple[Floats, ...]
    still: RingField


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def prepared(analysis: Analysis, answer: Answer, *, coarseness: float = COARSE) -> Prepared:
    """The wheel of an analysis on coarse triangles, under the strike of one of its answers where
    that landed. Raises :class:`~rimfea.errors.LoadError` for a load that is no strike, or a slice.
    """
    strike = answer.case.loads[0]
    if not isinstance(strike, Strike) or analysis.lacing is None or answer.standing is None:
        raise LoadError("a dent is what a strike leaves on a built wheel: analyse the ring")
    looked = inspect(analysis.sheet, outline=analysis.outline, coarseness=coarseness)
    leant = replace(strike, angle=strike.angle + LEAN)
    case = answer.case
    both = replace(case, loads=(strike, leant))
    ring = built_ring(looked.sheet, looked.mesh, analysis.loading, analysis.lacing, [both])
    ring = ring.turned(answer.landing.turn)
    up, lean, still = solve_loads(ring, [case.loads, [leant], case.standing])
    own, other = (load_amplitudes(ring, load) for load in (strike, leant))
    size = strike.force_N
    return Prepared(
        looked,
        ring,
        case,
        (_scaled(up, 1 / size), _aside(up, lean, size)),
        (own / size, (other - cos(LEAN) * own) / (sin(LEAN) * size)),
        still,
    )


def _scaled(field: RingField, factor: float) -> RingField:
    return replace(field, amplitudes=factor * field.amplitudes)


def _aside(up: RingField, lean: RingField, size: float) -> RingField:
    part = (lean.amplitudes - cos(LEAN) * up.amplitudes) / (sin(LEAN) * size)
    return replace(up, amplitudes=part)


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def dented(rim: Prepared, *, set_mm: float, held: bool = False, large: bool = True) -> Path:
    """Push the struck crown in until it keeps so much set; ``held`` by the rock it may not slide."""
    walls, window_mm = (), WINDOW_MM
    while True:
        chosen = _chosen(rim, walls)
        body = _body(rim, chosen, window_mm, held=held, large=large)
        path = followed(body, set_mm=set_mm)
        flowed = path.left.flowed.amount
        wide = walls and _at_border(rim.analysis.mesh, chosen, flowed)
        long = (flowed[:, -1] > FLOWED).any() and window_mm < _half_sector(rim.ring)
        if not wide and not long:
            return path
        walls = () if wide else walls
        window_mm *= WIDER if long else 1.0


def _half_sector(ring: Ring) -> float:
    return float(np.pi / REPEATS * ring.radius)


def _chosen(rim: Prepared, walls: tuple[str, ...]) -> Ints:
    """Elements (e,) on the struck side, those of some walls or all."""
    mesh = rim.analysis.mesh
    share = rim.case.loads[0].right_share  # type: ignore[attr-defined]
    x = mesh.nodes[mesh.triangles[:, :3], 0].mean(axis=1)
    side = ((x > 0) & (share > 0)) | ((x < 0) & (share < 1))
    named = [k for k, name in enumerate(mesh.names) if name in walls]
    here = np.isin(mesh.triangle_label, named) if walls else np.ones(len(x), dtype=bool)
    return np.flatnonzero(side & here)


def _at_border(mesh: Mesh, chosen: Ints, flowed: Floats) -> bool:
    """Whether an element yields that touches one which is not looked at."""
    outside = np.ones(len(mesh.triangles), dtype=bool)
    outside[chosen] = False
    seam = np.zeros(len(mesh.nodes), dtype=bool)
    seam[mesh.triangles[outside]] = True
    touching: Bools = seam[mesh.triangles[chosen]].any(axis=1)
    by_element = flowed.max(axis=1).reshape(len(chosen), -1).max(axis=1)
    return bool((touching & (by_element > FLOWED)).any())


def _body(rim: Prepared, chosen: Ints, window_mm: float, *, held: bool, large: bool) -> Body:
    ring, loads = rim.ring, 2 if held else 1
    part = sector(
        ring.body,
        ring.sampled,
        ring.radius,
        chosen,
        repeats=REPEATS,
        highest=min(HIGHEST, int(ring.n[-1])),
        window=window_mm / ring.radius,
    )
    law = ramberg_osgood(ring.metal.proof_MPa, ring.metal.ultimate_MPa)
    metal = solid(ring.metal.youngs_MPa, ring.metal.poisson, law)
    basis = ring.harmonics.basis[part.unknowns]
    along = tuple(G @ basis for G in part.spread)
    *units, still = (_gradients(part, along, f) for f in (*rim.units[:loads], rim.still))
    soft = hoop_stress(ring.spokes, float(ring.sampled.w.sum()))
    window = Window(metal, metal.stress(symmetric(still)), soft, large)
    seen = ring.seen[:, : ring.F.shape[1]]
    whole = [np.einsum("nlk,nk->nl", seen, field.amplitudes) for field in rim.units[:loads]]
    around = np.where(ring.n == 0, 2 * np.pi, np.pi)[:, None]
    compliance = np.array(
        [
            [(around * (A[:, :-STILL].conj() * d).real).sum() for d in whole]
            for A in rim.amplitudes[:loads]
        ]
    )
    loaded = [_sector_load(part, ring, A) for A in rim.amplitudes[:loads]]
    alone = [part.solve(f) for f in loaded]
    own = np.array([[part.work(f, u) for u in alone] for f in loaded])
    unit = np.stack([part.gradients(u) for u in alone])
    bow, softer = np.stack(units) - unit, compliance - own
    return Body(part, window, unit, _symmetrical(own), bow, _symmetrical(softer))


def _symmetrical(C: Floats) -> Floats:
    return (C + C.T) / 2


def _gradients(part: Sector, along: tuple[Floats, ...], field: RingField) -> Floats:
    """Gradients (9, p, t) of a ring's field in the window, of its half that mirrors."""
    n = field.ring.n
    weights = field.weights.real
    angle = np.outer(n, part.theta)
    C0, C1 = weights.T @ np.exp(1j * angle), (weights * n[:, None]).T @ np.exp(1j * angle)
    even = along[0] @ C0.real + along[1] @ C1.real
    odd = along[2] @ C0.imag + along[3] @ C1.imag
    return np.concatenate([even, odd]).reshape(9, *part.volume.shape)


def _sector_load(part: Sector, ring: Ring, amplitudes: Floats) -> Floats:
    """Forces (d, h) of a unit load."""
    own = amplitudes[part.n, :-STILL].real
    return np.asarray(part.repeats * (ring.F[part.unknowns] @ own.T))
