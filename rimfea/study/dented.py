"""What a strike does to a rim beyond first yield: a ring as a body of :mod:`rimfea.plastic`.

The rim is meshed anew, coarsely: what a dent depends on is the energy of the metal about the hook,
which takes fewer triangles than the stress in a cut. The metal may yield on the struck side of the
section and within a window along the rim; where it is found to yield at the edge of these, more of
the section, a longer window and a longer sector are looked at, from the start.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import cos, sin
from typing import TYPE_CHECKING

import numpy as np

from rimfea.arrays import Floats, Ints
from rimfea.brief import brief
from rimfea.elastic.harmonics import ONE_DENSE_THREAD
from rimfea.elastic.loads import Case, Load, Strike
from rimfea.elastic.ring import STILL, Ring, hoop_stress
from rimfea.elastic.ring_field import RingField, load_amplitudes, solve_loads, work
from rimfea.errors import LoadError
from rimfea.plastic.metal import ramberg_osgood
from rimfea.plastic.path import Path, followed
from rimfea.plastic.response import Window, solid, symmetric
from rimfea.plastic.rest import Body, State
from rimfea.plastic.sector import Sector, sector
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.answer import Answer
from rimfea.study.ring_answers import built_ring

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Complex = NDArray[np.complex128]

COARSE = 2.5  # triangles
HIGHEST = 180  # harmonic
LEAN = 0.5  # radians; a strike that leans so much tells what one from the side does
FLOWED = 5e-3  # plastic strain that is noticed beyond the edge of what is looked at


@dataclass(frozen=True)
class View:
    """How much is looked at: sectors around the rim, mm of a window to either side of the blow, and
    whether both sides of the section or only the struck one.
    """

    sectors: int = 15
    window_mm: float = 45.0
    both_sides: bool = False


LONGER = {15: (8, 80.0), 8: (5, 150.0)}


@dataclass(frozen=True)
class Struck:
    """A wheel's ring under a load where it is worst: its field at 1 N, that of 1 N from the side
    for a strike, their amplitudes, and the field of what acts already.
    """

    looked: Analysis
    ring: Ring
    case: Case
    fields: tuple[RingField, ...]
    amplitudes: tuple[Complex, ...]
    still: RingField

    __repr__ = brief

    @property
    def right_share(self) -> float:
        """The share of the strike on the right hook."""
        strike = self.case.loads[0]
        return strike.right_share if isinstance(strike, Strike) else 0.5


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def struck(analysis: Analysis, answer: Answer, looked: Analysis | None = None) -> Struck:
    """The ring of an analysed wheel under the strike of one of its answers, on coarse triangles, or
    those of a rim that was ``looked`` at. Raises :class:`~rimfea.errors.LoadError` for a load that
    is not a strike, or a plane slice.
    """
    strike = answer.case.loads[0]
    if not isinstance(strike, Strike):
        raise LoadError("a dent is what a strike leaves on a built wheel: analyse the ring")
    leant = replace(strike, angle=strike.angle + LEAN)
    rim, ring = _wheel(analysis, answer, (strike, leant), looked)
    up, lean, still = solve_loads(ring, [(strike,), (leant,), answer.case.standing])
    one, other = (load_amplitudes(ring, load) for load in (strike, leant))
    size = strike.force_N

    def aside(straight: Complex, leaning: Complex) -> Complex:
        return (leaning - cos(LEAN) * straight) / (sin(LEAN) * size)

    return Struck(
        looked=rim,
        ring=ring,
        case=answer.case,
        fields=(
            replace(up, amplitudes=up.amplitudes / size),
            replace(up, amplitudes=aside(up.amplitudes, lean.amplitudes)),
        ),
        amplitudes=(one / size, aside(one, other)),
        still=still,
    )


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def pressed(analysis: Analysis, answer: Answer, looked: Analysis | None = None) -> Struck:
    """The same under any load that comes to one place, such as that of a wheel test. Raises
    :class:`~rimfea.errors.LoadError` for a plane slice.
    """
    rim, ring = _wheel(analysis, answer, answer.case.loads, looked)
    up, still = solve_loads(ring, [answer.case.loads, answer.case.standing])
    one: Complex = np.sum([load_amplitudes(ring, load) for load in answer.case.loads], axis=0)
    return Struck(
        looked=rim,
        ring=ring,
        case=answer.case,
        fields=(replace(up, amplitudes=up.amplitudes / answer.load),),
        amplitudes=(one / answer.load,),
        still=still,
    )


def _wheel(
    analysis: Analysis, answer: Answer, loads: tuple[Load, ...], looked: Analysis | None
) -> tuple[Analysis, Ring]:
    """A rim on coarse triangles, unless it was looked at before, and the ring that takes these
    loads on top of what acts already, turned to where the answer is worst.
    """
    if analysis.lacing is None or answer.standing is None:
        raise LoadError("a plane slice keeps no dent that a wheel would: analyse the ring")
    rim = looked or inspect(analysis.sheet, outline=analysis.outline, coarseness=COARSE)
    asked = replace(answer.case, loads=loads)
    ring = built_ring(rim.sheet, rim.mesh, analysis.loading, analysis.lacing, [asked])
    return rim, ring.turned(answer.landing.turn)


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def pushed_in(
    blow: Struck, *, set_mm: float, held: bool = False, view: View | None = None
) -> tuple[Path, View]:
    """The struck crown pushed in until it keeps so much set, free to slide or ``held`` by the rock,
    and how much had to be looked at. Raises :class:`~rimfea.errors.SolveError` where no rest is
    found.
    """
    now = view or first_view(blow)
    while True:
        chosen = looked_at(blow, now)
        body = body_of(blow, chosen, now, held=held)
        wider = partial(_wider, now, _edge(blow, chosen))
        path = followed(body, set_mm=set_mm, enough=wider)
        more = wider(path.states[-1])
        if more is None:
            return path, now
        now = more


def first_view(blow: Struck) -> View:
    """Where to begin: a rim without a chamber bends far along, and across its middle."""
    single = not blow.looked.outline.holes
    sectors, window_mm = LONGER[View.sectors] if single else (View.sectors, View.window_mm)
    return View(sectors, window_mm, single or 0 < blow.right_share < 1)


def _wider(view: View, edge: Ints, state: State) -> View | None:
    """What to look at instead where metal yields at the edge of a view."""
    flowed, wider = state.flowed.amount, view
    if view.sectors in LONGER and flowed[:, -1].max() > FLOWED:
        sectors, window_mm = LONGER[view.sectors]
        wider = replace(wider, sectors=sectors, window_mm=window_mm)
    if not view.both_sides and flowed[edge].max(initial=0.0) > FLOWED:
        wider = replace(wider, both_sides=True)
    return None if wider is view else wider


def looked_at(blow: Struck, view: View) -> Ints:
    """Elements (e,) of the struck side of the section, or of both."""
    mesh, share = blow.looked.mesh, blow.right_share
    x = mesh.nodes[mesh.triangles[:, :3], 0].mean(axis=1)
    here = np.full(len(x), view.both_sides) | (x > 0 if share > 0.5 else x < 0)
    return np.flatnonzero(here)


def _edge(blow: Struck, chosen: Ints) -> Ints:
    """Points (p,) of the elements that touch one which is not looked at."""
    mesh = blow.looked.mesh
    outside = np.ones(len(mesh.triangles), dtype=bool)
    outside[chosen] = False
    seam = np.zeros(len(mesh.nodes), dtype=bool)
    seam[mesh.triangles[outside]] = True
    touching = seam[mesh.triangles[chosen]].any(axis=1)
    return np.flatnonzero(np.repeat(touching, blow.ring.sampled.w.shape[1]))


def body_of(blow: Struck, chosen: Ints, view: View, *, held: bool = False) -> Body:
    """The body of a struck ring in whose elements ``chosen`` the metal may yield."""
    ring, loads = blow.ring, 2 if held else 1
    part = sector(
        ring.body,
        ring.sampled,
        ring.radius,
        chosen,
        repeats=view.sectors,
        highest=min(HIGHEST, int(ring.n[-1])),
        window=view.window_mm / ring.radius,
    )
    law = ramberg_osgood(ring.metal.proof_MPa, ring.metal.ultimate_MPa)
    metal = solid(ring.metal.youngs_MPa, ring.metal.poisson, law)
    *whole, still = field_gradients(part, (*blow.fields[:loads], blow.still))
    forces = [unit_forces(part, ring, A) for A in blow.amplitudes[:loads]]
    alone = [part.solve(f) for f in forces]
    own = np.array([[part.work(f, u) for u in alone] for f in forces])
    unit = np.stack([part.gradients(u) for u in alone])
    soft = hoop_stress(ring.spokes, float(ring.sampled.w.sum()))
    return Body(
        sector=part,
        window=Window(metal, metal.stress(symmetric(still)), soft),
        unit=unit,
        own=_symmetrical(own),
        bow=np.stack(whole) - unit,
        softer=_symmetrical(_compliance(blow, loads) - own),
    )


def _compliance(blow: Struck, loads: int) -> Floats:
    """How far unit loads on the whole wheel move one another's places (m, m), mm/N."""
    fields = blow.fields[:loads]
    return np.array([[work(A, field) for field in fields] for A in blow.amplitudes[:loads]])


def _symmetrical(C: Floats) -> Floats:
    return (C + C.T) / 2


def field_gradients(part: Sector, fields: Sequence[RingField]) -> list[Floats]:
    """Gradients (9, p, t) in the window of fields of one ring, of the part of them that mirrors."""
    ring = fields[0].ring
    basis = ring.harmonics.basis[part.unknowns]
    along = tuple(np.asarray(G @ basis) for G in part.spread)
    wave = np.exp(1j * np.outer(ring.n, part.theta))
    found = []
    for weights in (field.weights.real for field in fields):
        C0, C1 = weights.T @ wave, (weights * ring.n[:, None]).T @ wave
        even = along[0] @ C0.real + along[1] @ C1.real
        odd = along[2] @ C0.imag + along[3] @ C1.imag
        found.append(np.concatenate([even, odd]).reshape(9, *part.volume.shape))
    return found


def unit_forces(part: Sector, ring: Ring, amplitudes: Complex) -> Floats:
    """Forces (d, h) of a unit load in every sector."""
    own = amplitudes[part.n, :-STILL].real
    return np.asarray(part.repeats * (ring.F[part.unknowns] @ own.T))
