"""The least value of an energy whose unknown is dear: a limited-memory descent in its own metric.

Nocedal and Wright, Numerical Optimization, 2nd ed. 2006, algorithms 7.4 and 3.1 (citation from
memory), with products taken in the metric of the unknown, in which the elastic energy is half of
a square: without yielding the first step is then the answer.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Generic, Protocol, Self, TypeVar

from rimfea.errors import SolveError

ENOUGH = 1e-4  # of the descent that the slope promises
SHORTEST = 1e-3
KEPT = 30
ROUNDING = 1e-12


class Vector(Protocol):
    """What can be added, scaled and multiplied in its own metric."""

    def plus(self, other: Self, factor: float) -> Self:
        """The sum of this and ``factor`` times another."""
        ...

    def add(self, other: Self, factor: float) -> None:
        """Make this the sum, in its own place."""
        ...

    def dot(self, other: Self) -> float:
        """The product in the metric."""
        ...


V = TypeVar("V", bound=Vector)


@dataclass(frozen=True)
class Memory(Generic[V]):
    """Steps and what they changed of the slope; kept for the next, near problem."""

    pairs: deque[tuple[V, V, float]] = field(default_factory=lambda: deque(maxlen=KEPT))

    def add(self, step: V, change: V) -> None:
        """Learn from a step; one along which the energy bends down is left out."""
        bend = step.dot(change)
        if bend > 1e-8 * change.dot(change):
            self.pairs.append((step, change, bend))

    def direction(self, slope: V) -> V:
        """Minus the slope, seen through the curvature that is remembered."""
        q, used = slope.plus(slope, -2.0), []
        for step, change, bend in reversed(self.pairs):
            part = step.dot(q) / bend
            used.append(part)
            q.add(change, -part)
        if self.pairs:
            _, change, bend = self.pairs[-1]
            q.add(q, bend / change.dot(change) - 1)
        for (step, change, bend), part in zip(self.pairs, reversed(used), strict=True):
            q.add(step, part - change.dot(q) / bend)
        return q


@dataclass(frozen=True)
class Found(Generic[V]):
    """Where the descent came to rest: how often the energy was asked, and the size of the slope
    that is left.
    """

    x: V
    asked: int
    left: float


def descend(
    ask: Callable[[V], tuple[float, V]], x: V, memory: Memory[V], *, small: float, most: int
) -> Found[V]:
    """Go down from x until the slope is smaller than ``small`` or ``most`` points were asked."""
    energy, slope = ask(x)
    asked, left = 1, _size(slope, x)
    while left > small and asked < most:
        way = memory.direction(slope)
        fall = way.dot(slope)
        if fall >= 0:
            memory.pairs.clear()
            way = slope.plus(slope, -2.0)
            fall = way.dot(slope)
        share = 1.0
        while True:
            there = x.plus(way, share)
            low, next_slope = ask(there)
            asked += 1
            if low <= energy + ENOUGH * share * fall or share < SHORTEST or asked >= most:
                break
            share *= max(0.1, min(0.5, -share * fall / (2 * (low - energy - share * fall))))
        memory.add(there.plus(x, -1.0), next_slope.plus(slope, -1.0))
        x, energy, slope = there, low, next_slope
        left = _size(slope, x)
    return Found(x, asked, left)


def _size(slope: V, x: V) -> float:
    """Raises :class:`~rimfea.errors.SolveError` where the metric is none; a square that is less
    than zero by no more than rounding makes it is zero.
    """
    square = slope.dot(slope)
    if not square >= -ROUNDING * abs(x.dot(x)):
        raise SolveError("the metal's flow was followed in a metric that is none")
    return float(max(square, 0.0) ** 0.5)
