"""What a rim is compared by: a handful of numbers drawn from one ride, each with its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import nan
from types import MappingProxyType
from typing import TypeAlias

from rimfea.errors import UnknownError
from rimfea.profile.values import unknown
from rimfea.strike.ladder import Event
from rimfea.study.answer import Answer
from rimfea.study.cases import BOTH_HOOKS, ONE_HOOK
from rimfea.study.outcome_names import NAMES
from rimfea.study.ride import Ride

ByWall: TypeAlias = Callable[[Ride], Mapping[str, float]]


@dataclass(frozen=True)
class Outcome:
    """One of these numbers: asked for by its ``name``, in data by its ``key``; ``better`` is 1
    where more is better, −1 where less is.

    Where walls decide it, ``by_wall`` is the load that each of them bears, the weakest in front.
    ``strength`` marks what a rim is asked to bear, ``told`` what a comparison says in sentences,
    ``short`` the head of its column in a table of slopes, for those that stand there. What is
    ``rough`` rests on a model that is a factor off: beside that the ± of the measurements alone
    would promise far too much, and is not told. What is read off a ``dent`` is not known (nan) of a
    ride of which nobody asked for it.
    """

    key: str
    title: str
    unit: str
    better: int
    of: Callable[[Ride], float]
    by_wall: ByWall | None = None
    strength: bool = False
    told: bool = False
    short: str = ""
    rough: bool = False
    dent: bool = False

    @property
    def name(self) -> str:
        """What a builder asks for it by."""
        return NAMES[self.key]


def _yields(name: str) -> ByWall:
    def forces(ride: Ride) -> Mapping[str, float]:
        answer = _answer(ride, name)
        return {each.wall: answer.load_at(each.first_yield) for each in answer.verdict.walls}

    return forces


def _sets(name: str) -> ByWall:
    def forces(ride: Ride) -> Mapping[str, float]:
        answer = _answer(ride, name)
        return {each.wall: answer.load_at(each.hinge) for each in answer.verdict.by_hinge}

    return forces


def _answer(ride: Ride, name: str) -> Answer:
    return next(answer for answer in ride.analysis.answers if answer.name == name)


def _borne(key: str, title: str, by_wall: ByWall, short: str = "") -> Outcome:
    """What the weakest wall bears."""

    def weakest(ride: Ride) -> float:
        return next(iter(by_wall(ride).values()))

    return Outcome(
        key, title, "N", 1, weakest, by_wall, strength=True, told=bool(short), short=short
    )


def _dented(of: Callable[[Ride], float]) -> Callable[[Ride], float]:
    """Not known (nan) of a ride of which nobody asked for the dent."""
    return lambda ride: of(ride) if ride.knows_dent else nan


DENTS = ("dent_N", "dent_J")  # of which slopes are known without a second dent
HALF_MM = 0.5  # the dent that rims are compared by: a builder sees and feels it


def _built(of: str) -> Callable[[Ride], float]:
    return lambda ride: float(getattr(ride.analysis.wheel, of))


OUTCOMES: tuple[Outcome, ...] = (
    Outcome(
        "mass_g",
        "mass",
        "g",
        -1,
        lambda ride: ride.analysis.hoop.mass_g,
        told=True,
        short="mass g",
    ),
    _borne(
        "yield_N",
        "first yield, one hook",
        _yields(ONE_HOOK),
        short="yield N",
    ),
    _borne("set_N", "permanent set, one hook", _sets(ONE_HOOK), short="set N"),
    Outcome(
        "dent_N",
        "force of a 0.5 mm dent",
        "N",
        1,
        _dented(lambda ride: ride.dented(HALF_MM).hook_N),
        told=True,
        short="dent N",
        dent=True,
    ),
    Outcome(
        "dent_J",
        "energy of a 0.5 mm dent",
        "J",
        1,
        _dented(lambda ride: ride.dented(HALF_MM).work_J),
        told=True,
        short="dent J",
        dent=True,
    ),
    Outcome(
        "dent_drop_mm",
        "drop of a 0.5 mm dent",
        "mm",
        1,
        _dented(lambda ride: ride.dented(HALF_MM).drop_mm),
        rough=True,
        dent=True,
    ),
    Outcome(
        "own_dent_mm",
        "dent of the set-up's own blow",
        "mm",
        -1,
        _dented(lambda ride: ride.own_dent_mm),
        rough=True,
        dent=True,
    ),
    _borne("yield_both_N", "first yield, both hooks", _yields(BOTH_HOOKS)),
    _borne("set_both_N", "permanent set, both hooks", _sets(BOTH_HOOKS)),
    Outcome(
        "drop_mm",
        "drop at first yield",
        "mm",
        1,
        lambda ride: ride.ladder.drop_mm(Event.YIELD),
        rough=True,
    ),
    Outcome(
        "squeeze_MPa",
        "casing squeeze",
        "MPa",
        -1,
        lambda ride: ride.squeeze.peak_MPa,
        told=True,
        short="squeeze MPa",
    ),
    Outcome(
        "hole_amplitude_MPa",
        "stress amplitude at the spoke hole",
        "MPa",
        -1,
        lambda ride: ride.seat.amplitude_MPa,
        told=True,
        short="hole MPa",
    ),
    Outcome(
        "hole_MPa",
        "√(σ_max σ_a) at the spoke hole",
        "MPa",
        -1,
        lambda ride: ride.seat.with_mean_MPa,
    ),
    Outcome(
        "most_tension_N",
        "highest tension",
        "N",
        1,
        lambda ride: ride.window.highest.tension_N,
        strength=True,
        short="tension N",
    ),
    Outcome(
        "least_tension_N",
        "lowest tension",
        "N",
        -1,
        lambda ride: ride.window.lowest.tension_N,
    ),
    Outcome(
        "radial_N_mm",
        "radial stiffness",
        "N/mm",
        1,
        _built("radial_N_mm"),
        told=True,
    ),
    Outcome(
        "lateral_N_mm",
        "lateral stiffness",
        "N/mm",
        1,
        _built("lateral_N_mm"),
    ),
)
"""In the order of tables; the second is the one a verdict rests on."""

BY_KEY: Mapping[str, Outcome] = MappingProxyType({each.key: each for each in OUTCOMES})
"""The same by key."""


BY_NAME: Mapping[str, Outcome] = MappingProxyType({each.name: each for each in OUTCOMES})
"""The same by the name that a builder asks for it by."""


def named(name: str) -> Outcome:
    """An outcome by name or by key; raises :class:`~rimfea.errors.UnknownError`."""
    found = BY_NAME.get(name) or BY_KEY.get(name)
    if found is None:
        raise UnknownError(unknown("outcome", repr(name), BY_NAME, also=BY_KEY))
    return found


def outcomes(ride: Ride) -> dict[str, float]:
    """All of them for one ride, by key."""
    return {each.key: each.of(ride) for each in OUTCOMES}
