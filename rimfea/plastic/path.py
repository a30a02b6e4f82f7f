"""A body pushed further and further, let go where its set has grown: force, movement, set and work.

What is prescribed is how far the sector is pushed, so that a body is followed on to where it bears
less. Steps are as long as the last two let foresee the force.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.errors import SolveError
from rimfea.plastic.descent import Memory
from rimfea.plastic.rest import LEAST_N, Body, Forces, State, at_rest, moved, under

# Steps: the second by the first, the shortest and the longest (mm), by how much one may grow or
# shrink from the last, what share of the force may come as a surprise, and what is too much of it.
FIRST, SHORTEST, WIDEST = 0.25, 0.005, 0.4
GROW, SHRINK, SURPRISE, TOO_FAR, TINY = 1.4, 0.5, 0.02, 0.15, 1e-6
# How much of the way to the foreseen summit one goes, how close to it (of all the way) is close
# enough, and which share of the force may be lost in a step over it.
LOOK_BACK, BRAVE, CAREFUL, OVER = 3, 0.6, 0.02, 0.02
MORE, LITTLE = 1.4, 0.03  # a body is let go where its set has grown by so much (times, mm)


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
        return moved(body, state, far, memory, guess)
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
    steps, last = [], NOTHING
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


def _let_go(body: Body, loaded: State, last: _Pushed, memory: Memory[Forces]) -> State:
    """On from a loaded state to no load: what changed since the last such state is what changed
    between the loaded ones.
    """
    before, let_go = last.loaded, last.let_go or last.loaded
    change = loaded.forces.plus(before.forces, -1.0)
    bowed = let_go.bowed + loaded.bowed - loaded.load - before.bowed + before.load
    guess = replace(let_go, forces=let_go.forces.plus(change, 1.0), bowed=bowed)
    return under(body, loaded, np.zeros_like(loaded.load), memory, guess)
