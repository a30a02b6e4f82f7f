"""The ladder: at which drop the tyre is flat, the casing cut, the hook yields, the hook folds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from rimfea.brief import brief
from rimfea.strike.energy import drop_for, energy_for, step_speed
from rimfea.strike.tyre import Cushion


class Event(StrEnum):
    """What a harder and harder blow does; the order differs from rim to rim."""

    FLAT = "tyre flat"
    YIELD = "first yield"
    SET = "set"
    CASING = "casing cut"


@dataclass(frozen=True)
class Rung:
    """One event, the wall it happens to (none for the tyre), at what force on the hooks, and the
    energy, the drop and the speed against a step that bring it. A drop of 0: the weight alone,
    put on suddenly.
    """

    event: Event
    wall: str
    hook_N: float
    energy_J: float
    drop_mm: float
    step_m_s: float


@dataclass(frozen=True)
class Ladder:
    """Rungs in the order in which they are reached, for a rim of ``stiffness_N_mm`` behind a
    ``cushion``, under a mass of ``weight_N`` and against a step of ``step_mm``.
    """

    rungs: tuple[Rung, ...]
    cushion: Cushion
    stiffness_N_mm: float
    weight_N: float
    step_mm: float

    __repr__ = brief

    def drop_mm(self, event: Event) -> float:
        """The drop that brings an event; infinite where none does."""
        return next((rung.drop_mm for rung in self.rungs if rung.event is event), float("inf"))


def ladder(
    events: Iterable[tuple[Event, str, float]],
    cushion: Cushion,
    stiffness_N_mm: float,
    weight_N: float,
    *,
    step_mm: float,
    wheel_radius_mm: float,
) -> Ladder:
    """A rung for each event, given with its wall and the force (N) on the hooks that brings
    it; one whose force is infinite is left out.
    """
    rungs = []
    for event, wall, hook in sorted(events, key=lambda each: each[2]):
        if hook == float("inf"):
            continue
        energy = max(0.0, energy_for(hook, weight_N, stiffness_N_mm, cushion))
        drop = drop_for(hook, weight_N, stiffness_N_mm, cushion)
        speed = step_speed(drop, step_mm, wheel_radius_mm)
        rungs.append(Rung(event, wall, hook, energy, drop, speed))
    return Ladder(tuple(rungs), cushion, stiffness_N_mm, weight_N, step_mm)
