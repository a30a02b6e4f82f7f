"""Published static wheel tests as a standard judges them: by the set that a wheel keeps."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from math import nan

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.elastic.harmonics import ONE_DENSE_THREAD
from rimfea.errors import MeshError, SolveError
from rimfea.plastic.descent import Memory
from rimfea.plastic.rest import Body, Forces, State, at_rest, under
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.study.cases import ALLOWED_MM
from rimfea.study.dented import Struck, View, body_of, looked_at, pressed

SURELY = 0.8  # of first yield at the worst wall: below it no point of the metal flows
NEAR = View(both_sides=True)  # enough to tell whether any metal flows
WIDE = View(5, 150.0, both_sides=True)  # a wheel load bends far more rim than a rock
BEYOND = 1e-5  # mean plastic strain of a section; less, all around, moves a wheel by < 0.1 mm
STEPS, FINEST = 4, 32  # a load in so many steps, doubled where no rest is found


@dataclass(frozen=True)
class WheelTest:
    """A wheel after a published static test where it is worst: the set (mm) of the place that was
    pressed, NaN where that was not followed, and how much of it the standard allows. ``at_least``
    that much it is where metal flowed beyond what was looked at.
    """

    answer: Answer
    allowed_mm: float
    set_mm: float
    at_least: bool = False

    __repr__ = brief

    @property
    def is_known(self) -> bool:
        """Whether the wheel can be judged: a set of at least so much only where it is too much."""
        return not np.isnan(self.set_mm) and (not self.at_least or self.set_mm > self.allowed_mm)

    @property
    def fails(self) -> bool:
        """Whether it is known to keep more than is allowed."""
        return self.is_known and self.set_mm > self.allowed_mm

    @property
    def passes(self) -> bool:
        """Whether it is known to keep no more than is allowed."""
        return self.is_known and self.set_mm <= self.allowed_mm


def wheel_tests(analysis: Analysis, *, follow: bool = True) -> tuple[WheelTest, ...]:
    """Every published test of an analysed wheel, none of one that buckles under its spokes. Where
    walls come close to yielding, the metal's flow is followed under the test's load and back;
    without ``follow`` the set is then unknown.
    """
    return () if analysis.buckles else tuple(_tests(analysis, follow=follow))


def _tests(analysis: Analysis, *, follow: bool) -> Iterator[WheelTest]:
    looked = None
    for answer in analysis.answers:
        allowed = ALLOWED_MM.get(answer.name)
        if allowed is None:
            continue
        set_mm, at_least = nan, False
        if answer.verdict.governing.first_yield < SURELY:
            set_mm = 0.0
        elif follow:
            with suppress(SolveError, MeshError):
                blow = pressed(analysis, answer, looked)
                looked = blow.looked
                set_mm, at_least = let_go(blow, answer.load)
        yield WheelTest(answer, allowed, set_mm, at_least)


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def let_go(blow: Struck, force_N: float) -> tuple[float, bool]:
    """The set (mm) of a wheel that a force pressed and then let go, and whether metal flowed at the
    edge of the window, so that more would be left. Raises :class:`~rimfea.errors.SolveError` where
    no rest is found.
    """
    body = body_of(blow, looked_at(blow, NEAR), NEAR)
    if body.window.first_yield(_whole(body)) > force_N:
        return 0.0, False
    body, steps = body_of(blow, looked_at(blow, WIDE), WIDE), STEPS
    while True:
        try:
            start, loaded = _loaded(body, force_N, steps)
            left = under(body, loaded, np.zeros(1), Memory[Forces]())
        except SolveError:
            steps *= 2
            if steps > FINEST:
                raise
        else:
            beyond = _mean_flow(body, loaded)[-1] > BEYOND
            return max(float((left.movement - start.movement)[0]), 0.0), bool(beyond)


def _mean_flow(body: Body, state: State) -> Floats:
    """Mean plastic strain (t,) of the section at every station."""
    weights = body.sector.volume[:, 0] / body.sector.volume[:, 0].sum()
    return np.asarray(weights @ state.flowed.amount)


def _whole(body: Body) -> Floats:
    """Gradients (9, p, t) of 1 N on the whole body."""
    return body.unit[0] if body.bow is None else body.unit[0] + body.bow[0]


def _loaded(body: Body, force_N: float, steps: int) -> tuple[State, State]:
    """A body before a force and under it, brought on in so many steps."""
    start = state = at_rest(body)
    memory = Memory[Forces]()
    for k in range(steps):
        state = under(body, state, np.array([(k + 1) / steps * force_N]), memory)
    return start, state
