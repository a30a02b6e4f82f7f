"""A body whose metal yields and turns, at rest under forces or at a movement.

A unit load i on the sector makes gradients H_i in its window and moves the places of the loads by
C. The window's answer T (see ``response``) acts as forces c = −∫ T : δH, so that

    H = Σ λ_i H_i + grad v      v = K⁻¹ c      u = C λ + p      p_i = −∫ T : H_i dV

(Betti). The forces λ follow from the movement u that is prescribed, so that a body may be followed
on to where it bears less. Equilibrium is the least value of

    Ψ(c) = ½ c·v − ½ p·C⁻¹p + ∫ (energy beyond the elastic one) dV

whose slope, in the metric of c·v − p·C⁻¹p, is c less the window's answer.

The whole body is softer than the sector, by waves longer than that: it bows. A unit load then makes
gradients G_i besides and moves the places by D more. What bows it is the load and what the window
answers along G, κ = λ + D⁻¹ ∫ −T : G dV: as springs in a row with the sector, of rank one for each
load. κ is expected from the steps before and corrected where that was not good enough, by a secant:
a section without a chamber answers nearly as much the other way as it was bowed too far. Only the
sector's own movement is prescribed: a soft body, let go by a hook that folds, would leap.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy.linalg.blas import daxpy

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.errors import SolveError
from rimfea.plastic.descent import Memory, descend
from rimfea.plastic.response import Flowed, Response, Window
from rimfea.plastic.sector import Sector

SMALL = 8e-3  # of the size that the elastic answer has, in the metric
MOST = 80  # answers of the window to one state
LEAST_N = 300.0  # the force whose elastic answer errors are compared with at least
BOWS, NEAR = 3, 0.02  # how often bowing is corrected, and which share of the force is near enough
ECHOES = -2.0, 0.5  # between these is what is believed of an echo: near 1 a correction would leap


@dataclass(frozen=True)
class Forces:
    """Forces on a sector as amplitudes (d, h), the movement that they make, and how far they move
    the places of the loads (m,); ``metric`` is what p·C⁻¹p is taken with, None under given loads.

    Forces and places stand in one vector (d·h + m,), and in another what such a vector has to be
    multiplied with: the work along the movement, and −C⁻¹p.
    """

    sector: Sector
    x: Floats
    along: Floats
    metric: Floats | None

    __repr__ = brief

    @classmethod
    def of(cls, sector: Sector, f: Floats, u: Floats, p: Floats, metric: Floats | None) -> Forces:
        """From forces f (d, h), their movement u (d, h) and that of the places p (m,)."""
        counted = np.zeros_like(p) if metric is None else -metric @ p
        x = np.concatenate([f.ravel(), p])
        return cls(sector, x, np.concatenate([(u * sector.around).ravel(), counted]), metric)

    def measured(self, metric: Floats | None) -> Forces:
        """The same in another metric."""
        return Forces.of(self.sector, self.f, self.u, self.p, metric)

    @property
    def f(self) -> Floats:
        """Forces (d, h)."""
        return self._amplitudes(self.x)

    @property
    def u(self) -> Floats:
        """The movement (d, h) that they make."""
        return self._amplitudes(self.along) / self.sector.around

    @property
    def p(self) -> Floats:
        """How far they move the places of the loads (m,)."""
        return self.x[self._size :]

    @property
    def _size(self) -> int:
        return len(self.sector.unknowns) * len(self.sector.n)

    def _amplitudes(self, vector: Floats) -> Floats:
        return vector[: self._size].reshape(len(self.sector.unknowns), -1)

    def plus(self, other: Forces, factor: float) -> Forces:
        """See :class:`~rimfea.plastic.descent.Vector`."""
        found = replace(self, x=self.x.copy(), along=self.along.copy())
        found.add(other, factor)
        return found

    def add(self, other: Forces, factor: float) -> None:
        """See :class:`~rimfea.plastic.descent.Vector`."""
        daxpy(other.x, self.x, a=factor)  # writes into self.x itself, without a copy
        daxpy(other.along, self.along, a=factor)

    def dot(self, other: Forces) -> float:
        """See :class:`~rimfea.plastic.descent.Vector`."""
        return float(self.x @ other.along)


@dataclass(frozen=True)
class Body:
    """A sector with its window, the gradients ``unit`` (m, 9, p, t) of unit loads on it and how far
    these move one another's places, ``own`` (m, m) in mm/N.

    The whole body may be softer than the sector: a unit load then makes gradients ``bow``
    (m, 9, p, t) besides and moves the places by ``softer`` (m, m) more.
    """

    sector: Sector
    window: Window
    unit: Floats
    own: Floats
    bow: Floats | None = None
    softer: Floats | None = None

    __repr__ = brief


@dataclass(frozen=True)
class State:
    """A body at rest under forces ``load`` (m,) in N, its places moved by ``movement`` (m,) in mm
    and bowed as by forces ``bowed`` (m,): the window's answer as forces, how its metal has flowed,
    the ``energy`` in sector and metal (N mm), and how often the window was asked on the way.
    ``echo`` is by how much more it turned out bowed for each N that it was taken to be bowed more.
    """

    load: Floats
    movement: Floats
    bowed: Floats
    forces: Forces
    flowed: Flowed
    energy: float
    asked: int
    echo: float = 0.0

    __repr__ = brief


def at_rest(body: Body) -> State:
    """The body before any load; what acts already may have made it flow already."""
    nothing = np.zeros((len(body.sector.unknowns), len(body.sector.n)))
    places = np.zeros(len(body.unit))
    forces = Forces.of(body.sector, nothing, nothing, places, None)
    start = State(places, places, places, forces, body.window.untouched(), 0.0, 0)
    return under(body, start, places, Memory())


def under(
    body: Body, state: State, load: Floats, memory: Memory[Forces], guess: State | None = None
) -> State:
    """On from a state to given forces (m,)."""
    start = guess or state
    start = replace(start, forces=start.forces.measured(None))
    return _settled(body, state, memory, start, lambda _: load)


def moved(body: Body, state: State, goal: float, memory: Memory[Forces], guess: State) -> State:
    """On from a state until the sector's first place has moved by ``goal``, and no other."""
    stiffness: Floats = np.asarray(np.linalg.inv(body.own))
    wanted = np.zeros(len(body.unit))
    wanted[0] = goal

    def follows(x: Forces) -> Floats:
        return np.asarray(stiffness @ (wanted - x.p))

    start = replace(guess, forces=guess.forces.measured(stiffness))
    return _settled(body, state, memory, start, follows)


def _settled(
    body: Body,
    state: State,
    memory: Memory[Forces],
    guess: State,
    load_of: Callable[[Forces], Floats],
) -> State:
    """At rest, bowed as the guess foresaw or as it then turned out."""
    found = _descended(body, state, memory, guess, load_of)
    size = max(float(np.abs(found.load).max()), LEAST_N)
    for _ in range(BOWS if body.bow is not None else 0):
        gap = found.bowed - guess.bowed
        if np.abs(gap).max() < NEAR * size:
            break
        more = gap / (1 - found.echo)
        guess = replace(found, bowed=guess.bowed + more)
        again = _descended(body, state, memory, guess, load_of)
        echo = float(np.clip((again.bowed - found.bowed) @ more / (more @ more), *ECHOES))
        found = replace(again, asked=again.asked + found.asked, echo=echo)
    return found


def _descended(
    body: Body,
    state: State,
    memory: Memory[Forces],
    guess: State,
    load_of: Callable[[Forces], Floats],
) -> State:
    volume, metric = body.sector.volume, guess.forces.metric
    bow = 0.0 if body.bow is None else np.tensordot(guess.bowed, body.bow, axes=1)

    def answered(x: Forces) -> tuple[Response, Forces]:
        H = body.sector.gradients(x.u) + np.tensordot(load_of(x), body.unit, axes=1) + bow
        answer = body.window.respond(H, state.flowed)
        f = -body.sector.forces(answer.T)
        p = _met(body, body.unit, answer)
        return answer, Forces.of(body.sector, f, body.sector.solve(f), p, metric)

    def ask(x: Forces) -> tuple[float, Forces]:
        answer, image = answered(x)
        energy = x.dot(x) / 2 + float((answer.beyond * volume).sum())
        return energy, x.plus(image, -1.0)

    start = guess.forces
    size = max(float(np.abs(load_of(start)).max()), float(np.abs(guess.bowed).max()), LEAST_N)
    small = SMALL * size * float(np.sqrt(body.own[0, 0]))
    found = descend(ask, start, memory, small=small, most=MOST)
    if not found.left < small:
        raise SolveError(
            f"the metal's flow did not come to rest: {found.left / small * SMALL:.1e} left"
        )
    answer, image = answered(found.x)
    load = load_of(image)
    movement, bowed = body.own @ load + image.p, load
    if body.bow is not None and body.softer is not None:
        along = _met(body, body.bow, answer)
        movement = movement + body.softer @ load + along
        bowed = load + np.linalg.solve(body.softer, along)
    elastic = load @ body.own @ load / 2 + load @ image.p
    inside = body.sector.work(image.f, image.u) / 2 + float((answer.beyond * volume).sum())
    energy = float(elastic + inside)
    return State(load, movement, bowed, image, answer.flowed, energy, found.asked + 1, guess.echo)


def _met(body: Body, gradients: Floats, answer: Response) -> Floats:
    """−∫ T : H dV (m,) over the window."""
    weighted = (answer.T * body.sector.volume).ravel()
    return -(gradients.reshape(len(gradients), -1) @ weighted)
