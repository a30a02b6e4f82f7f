"""What a rim is compared by: a handful of numbers drawn from one ride, each with its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from rimfea.strike.ladder import Event
from rimfea.study.answer import Answer
from rimfea.study.cases import BOTH_HOOKS, ONE_HOOK
from rimfea.study.ride import Ride


@dataclass(frozen=True)
class Outcome:
    """One of these numbers: ``better`` is 1 where more is better, −1 where less is, and
    ``strength`` marks those that a rim is asked to bear.
    """

    key: str
    title: str
    unit: str
    better: int
    of: Callable[[Ride], float]
    strength: bool = False


def _yields(name: str) -> Callable[[Ride], float]:
    def force(ride: Ride) -> float:
        answer = _answer(ride, name)
        return answer.load_at(answer.verdict.governing.first_yield)

    return force


def _dents(name: str) -> Callable[[Ride], float]:
    def force(ride: Ride) -> float:
        answer = _answer(ride, name)
        return answer.load_at(answer.verdict.by_hinge[0].hinge)

    return force


def _answer(ride: Ride, name: str) -> Answer:
    return next(answer for answer in ride.analysis.answers if answer.name == name)


def _drop(ride: Ride) -> float:
    return ride.ladder.drop_mm(Event.YIELD)


def _built(of: str) -> Callable[[Ride], float]:
    return lambda ride: float(getattr(ride.analysis.wheel, of))


OUTCOMES: tuple[Outcome, ...] = (
    Outcome("mass_g", "mass", "g", -1, lambda ride: ride.analysis.hoop.mass_g),
    Outcome("yield_N", "first yield, one hook", "N", 1, _yields(ONE_HOOK), strength=True),
    Outcome("dent_N", "dent, one hook", "N", 1, _dents(ONE_HOOK), strength=True),
    Outcome("yield_both_N", "first yield, both hooks", "N", 1, _yields(BOTH_HOOKS), strength=True),
    Outcome("dent_both_N", "dent, both hooks", "N", 1, _dents(BOTH_HOOKS), strength=True),
    Outcome("drop_mm", "drop at first yield", "mm", 1, _drop),
    Outcome("squeeze_MPa", "casing squeeze", "MPa", -1, lambda ride: ride.squeeze.peak_MPa),
    Outcome("seat_fatigue", "fatigue at the spoke hole", "", -1, lambda ride: ride.seat.fatigue),
    Outcome(
        "hole_MPa",
        "stress at the spoke hole",
        "MPa",
        -1,
        lambda ride: ride.seat.equivalent_MPa,
    ),
    Outcome(
        "most_tension_N",
        "highest tension",
        "N",
        1,
        lambda ride: ride.window.highest.tension_N,
        strength=True,
    ),
    Outcome(
        "least_tension_N", "lowest tension", "N", -1, lambda ride: ride.window.lowest.tension_N
    ),
    Outcome("radial_N_mm", "radial stiffness", "N/mm", 1, _built("radial_N_mm")),
    Outcome("lateral_N_mm", "lateral stiffness", "N/mm", 1, _built("lateral_N_mm")),
)
"""In the order of tables; the second is the one a verdict rests on."""

BY_KEY: Mapping[str, Outcome] = MappingProxyType({each.key: each for each in OUTCOMES})
"""The same by key."""


def outcomes(ride: Ride) -> dict[str, float]:
    """All of them for one ride, by key."""
    return {each.key: each.of(ride) for each in OUTCOMES}
