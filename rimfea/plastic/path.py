"""A body pushed further and further, let go after every step: force, movement, set and work.

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
load. κ is expected from the steps before and corrected where that was not good enough. Only the
sector's own movement is prescribed: a soft body, let go by a hook that folds, would leap.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.errors import SolveError
from rimfea.plastic.descent import Memory, descend
from rimfea.plastic.response import Flowed, Response, Window
from rimfea.plastic.sector import Sector

SMALL = 8e-3  # of the size that the elastic answer has, in the metric
MOST = 80  # answers of the window to one step
LEAST_N = 300.0  # the force whose elastic answer errors are held against at least
# Steps: the second by the first, the shortest and the longest (mm), by how much one may grow or
# shrink from the last, what share of the force may come as a surprise, and what is too much of it.
FIRST, SHORTEST, WIDEST = 0.25, 0.005, 0.4
GROW, SHRINK, SURPRISE, TOO_FAR, TINY = 1.4, 0.5, 0.05, 0.15, 1e-6
# How much of the way to the foreseen summit one goes, how close to it (of all the way) is close
# enough, and which share of the force may be lost in a step over it.
LOOK_BACK, BRAVE, CAREFUL, OVER = 3, 0.6, 0.02, 0.02
MORE, LITTLE = 1.4, 0.03  # a body is let go where its set has grown by so much (times, mm)
BOWS, NEAR = 3, 0.02  # how often bowing is corrected, and which share of the force is near enough


@dataclass(frozen=True)
class Forces:
    """Forces on a sector as amplitudes (d, h), the movement that they make, and how far they move
    the places of the loads (m,); ``metric`` is what p·C⁻¹p is taken with, None under given loads.
    """

    sector: Sector
    f: Floats
    u: Floats
    p: Floats
    metric: Floats | None

    __repr__ = brief

    def plus(self, other: Forces, factor: float) -> Forces:
        """See :class:`~rimfea.plastic.descent.Vector`."""
        return replace(
            self,
            f=self.f + factor * other.f,
            u=self.u + factor * other.u,
            p=self.p + factor * other.p,
        )

    def dot(self, other: Forces) -> float:
        """See :class:`~rimfea.plastic.descent.Vector`."""
        product = self.sector.work(self.f, other.u)
        if self.metric is not None:
            product -= float(self.p @ self.metric @ other.p)
        return product


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
    """

    load: Floats
    movement: Floats
    bowed: Floats
    forces: Forces
    flowed: Flowed
    energy: float
    asked: int

    __repr__ = brief


@dataclass(frozen=True)
class Step:
    """A body under a load, and what is left of it once it is let go: movement ``set_mm`` and work
    ``swallowed``, less those of the body before any load. N, mm, N mm; ``side`` is the force that
    keeps a held place from sliding, ``pushed`` how far the sector was, ``flowed`` the largest
    equivalent plastic strain.
    """

    force: float
    side: float
    pushed: float
    movement: float
    set_mm: float
    work: float
    swallowed: float
    flowed: float
    asked: int


@dataclass(frozen=True)
class Path:
    """Steps of a body one after the other, the state under the load of each, and that in which the
    last left it, let go.
    """

    body: Body
    steps: tuple[Step, ...]
    states: tuple[State, ...]
    left: State

    __repr__ = brief

    def of(self, what: str) -> Floats:
        """One number of every step, as an array (s,)."""
        return np.array([getattr(step, what) for step in self.steps])


def followed(
    body: Body,
    *,
    set_mm: float,
    farthest: float = inf,
    enough: Callable[[State], object] = lambda _: None,
) -> Path:
    """Push a body until it keeps so much set, is moved by ``farthest`` (mm) or it is ``enough``. It
    is let go where the set has grown by some; in between it gives way as much as before and after.

    A step is as long as the last two let foresee its force. Raises
    :class:`~rimfea.errors.SolveError` where no rest is found.
    """
    on, off = Memory[Forces](), Memory[Forces]()
    rest = before = state = at_rest(body)
    wide = max(body.window.first_yield(body.unit[0]) * float(body.own[0, 0]), SHORTEST)
    found, factor = [_Pushed(0.0, rest, rest)], 0.0
    while True:
        far = found[-1].far + wide
        guess = _foreseen(before, state, factor)
        loaded = _tried(body, state, far, on, guess, short=wide < SHORTEST)
        surprise = _surprise(body, guess, loaded) if loaded and found[1:] else 0.0
        if loaded is None or (wide > SHORTEST and _too_far(found, loaded, surprise, wide)):
            wide, factor = SHRINK * wide, SHRINK * factor
            continue
        before, state = state, loaded
        last = next(each for each in reversed(found) if each.let_go)
        left = _left(found, loaded, rest)
        ends = bool(enough(loaded)) or loaded.movement[0] >= farthest
        if ends or left > min(set_mm, max(MORE * last.set_mm(rest), LITTLE)):
            found.append(_Pushed(far, loaded, _let_go(body, loaded, last, off)))
        else:
            found.append(_Pushed(far, loaded, None))
        if ends or found[-1].set_mm(rest) >= set_mm:
            return _path(body, found)
        factor = _longer(found, surprise, wide)
        wide *= factor


def _tried(
    body: Body, state: State, far: float, memory: Memory[Forces], guess: State, *, short: bool
) -> State | None:
    """The next state, None where no rest was found on so long a step."""
    try:
        return _moved(body, state, far, memory, guess)
    except SolveError:
        if short:
            raise
        memory.pairs.clear()
        return None


def _too_far(found: Sequence[_Pushed], loaded: State, surprise: float, wide: float) -> bool:
    """Whether a step went on over something that is worth a closer look."""
    forces = [float(each.loaded.load[0]) for each in found]
    falls = loaded.load[0] < (1 - OVER) * forces[-1] and forces[-1] == max(forces)
    return surprise > TOO_FAR or bool(falls and wide > CAREFUL * found[-1].far)


def _longer(found: Sequence[_Pushed], surprise: float, wide: float) -> float:
    """By how much the next step may be longer than the last."""
    if len(found) == LOOK_BACK - 1:
        return FIRST
    factor = min(GROW, (SURPRISE / (surprise + TINY)) ** 0.5)
    return min(max(factor, SHRINK), WIDEST / wide, _to_summit(found) / wide)


def _path(body: Body, found: Sequence[_Pushed]) -> Path:
    states, left = tuple(each.loaded for each in found[1:]), found[-1].let_go
    return Path(body, _steps(found), states, left or found[0].loaded)


@dataclass(frozen=True)
class _Pushed:
    """The sector pushed so far, the state under that load, and what is left if it was let go."""

    far: float
    loaded: State
    let_go: State | None

    def set_mm(self, rest: State) -> float:
        """The set, nothing where that is not known."""
        return float((self.let_go or rest).movement[0] - rest.movement[0])


def _to_summit(found: Sequence[_Pushed]) -> float:
    """How far to go towards where the force no longer rises, as its last two slopes foretell."""
    if len(found) < LOOK_BACK:
        return inf
    far = np.array([each.far for each in found[-LOOK_BACK:]])
    force = np.array([float(each.loaded.load[0]) for each in found[-LOOK_BACK:]])
    before, slope = np.diff(force) / np.diff(far)
    if not 0 < slope < before:
        return inf
    summit = slope / (before - slope) * (far[2] - far[0]) / 2 - (far[2] - far[1]) / 2
    return float(max(BRAVE * summit, CAREFUL * far[2]))


def _springs(found: Sequence[_Pushed]) -> tuple[Floats, Floats]:
    """How much it gave way for each N on being let go, where it was, and the numbers of these."""
    rest = found[0].loaded
    places = [k for k, each in enumerate(found) if k and each.let_go]
    loaded = [found[k].loaded for k in places]
    back = [
        (state.movement[0] - rest.movement[0] - found[k].set_mm(rest)) / state.load[0]
        for k, state in zip(places, loaded, strict=True)
    ]
    return np.array(places, dtype=np.float64), np.array(back)


def _left(found: Sequence[_Pushed], loaded: State, rest: State) -> float:
    """The set that is left of a load if it gives way as much as the last that was let go."""
    places, back = _springs(found)
    if not len(places):
        return inf
    return float(loaded.movement[0] - rest.movement[0] - back[-1] * loaded.load[0])


def _steps(found: Sequence[_Pushed]) -> tuple[Step, ...]:
    rest, (places, back) = found[0].loaded, _springs(found)
    springs = np.interp(np.arange(len(found)), places, back)
    steps, last, asked = [], NOTHING, 0
    for each, spring in zip(found[1:], springs[1:], strict=True):
        state = each.loaded
        force, movement = float(state.load[0]), float(state.movement[0] - rest.movement[0])
        work = last.work + (force + last.force) / 2 * (movement - last.movement)
        asked = state.asked + (each.let_go.asked if each.let_go else 0)
        last = Step(
            force=force,
            side=float(state.load[1]) if len(state.load) > 1 else 0.0,
            pushed=each.far,
            movement=movement,
            set_mm=float(movement - spring * force),
            work=work,
            swallowed=float(work - force * spring * force / 2),
            flowed=float(state.flowed.amount.max()),
            asked=asked,
        )
        steps.append(last)
    return tuple(steps)


NOTHING = Step(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0)


def _foreseen(before: State, now: State, factor: float) -> State:
    """The next state if it goes on as between the last two, ``factor`` times as far."""
    return replace(
        now,
        load=now.load + factor * (now.load - before.load),
        bowed=now.bowed + factor * (now.bowed - before.bowed),
        forces=now.forces.plus(now.forces.plus(before.forces, -1.0), factor),
    )


def _surprise(body: Body, guess: State, loaded: State) -> float:
    """How far the force is from what was foreseen, as a share of itself."""
    gap = np.linalg.solve(body.own, guess.forces.p - loaded.forces.p)
    return float(np.abs(gap).max() / max(np.abs(loaded.load).max(), LEAST_N))


def at_rest(body: Body) -> State:
    """The body before any load; what stands by may have made it flow already."""
    nothing = np.zeros((len(body.sector.unknowns), len(body.sector.n)))
    places = np.zeros(len(body.unit))
    forces = Forces(body.sector, nothing, nothing, places, None)
    start = State(places, places, places, forces, body.window.untouched(), 0.0, 0)
    return under(body, start, places, Memory())


def under(
    body: Body, state: State, load: Floats, memory: Memory[Forces], guess: State | None = None
) -> State:
    """On from a state to given forces (m,)."""
    start = guess or state
    start = replace(start, forces=replace(start.forces, metric=None))
    return _settled(body, state, memory, start, lambda _: load)


def _moved(body: Body, state: State, goal: float, memory: Memory[Forces], guess: State) -> State:
    """On from a state until the sector's first place has moved by ``goal``, and no other."""
    stiffness: Floats = np.asarray(np.linalg.inv(body.own))
    wanted = np.zeros(len(body.unit))
    wanted[0] = goal

    def follows(x: Forces) -> Floats:
        return np.asarray(stiffness @ (wanted - x.p))

    start = replace(guess, forces=replace(guess.forces, metric=stiffness))
    return _settled(body, state, memory, start, follows)


def _let_go(body: Body, loaded: State, last: _Pushed, memory: Memory[Forces]) -> State:
    """On from a loaded state to no load: what changed since the last such state is what changed
    between the loaded ones.
    """
    before, let_go = last.loaded, last.let_go or last.loaded
    change = loaded.forces.plus(before.forces, -1.0)
    bowed = let_go.bowed + loaded.bowed - loaded.load - before.bowed + before.load
    guess = replace(let_go, forces=let_go.forces.plus(change, 1.0), bowed=bowed)
    return under(body, loaded, np.zeros_like(loaded.load), memory, guess)


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
        if np.abs(found.bowed - guess.bowed).max() < NEAR * size:
            break
        asked = found.asked
        guess = replace(guess, forces=found.forces, bowed=found.bowed)
        found = _descended(body, state, memory, guess, load_of)
        found = replace(found, asked=found.asked + asked)
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
        return answer, Forces(body.sector, f, body.sector.solve(f), p, metric)

    def ask(x: Forces) -> tuple[float, Forces]:
        answer, image = answered(x)
        energy = x.dot(x) / 2 + float((answer.beyond * volume).sum())
        return energy, x.plus(image, -1.0)

    start = guess.forces
    size = max(float(np.abs(load_of(start)).max()), float(np.abs(guess.bowed).max()), LEAST_N)
    small = SMALL * size * float(np.sqrt(body.own[0, 0]))
    found = descend(ask, start, memory, small=small, most=MOST)
    if not found.left < small:
        raise SolveError(f"the metal's flow came to no rest: {found.left / small * SMALL:.1e} left")
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
    return State(load, movement, bowed, image, answer.flowed, energy, found.asked + 1)


def _met(body: Body, gradients: Floats, answer: Response) -> Floats:
    """−∫ T : H dV (m,) over the window."""
    weighted = (answer.T * body.sector.volume).ravel()
    return -(gradients.reshape(len(gradients), -1) @ weighted)
