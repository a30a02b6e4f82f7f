"""The ladder: at which drop the tyre is flat, the casing cut, the hook yields and dents."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from math import inf

from rimfea.brief import brief
from rimfea.strike.blow import Blow, drop_for, force_of_drop, pressures_for, speeds_for
from rimfea.strike.tyre import Cushion


class Event(StrEnum):
    """What a harder and harder blow does; the order differs from rim to rim."""

    FLAT = "tyre flat"
    YIELD = "first yield"
    SET = "set"
    CASING = "casing cut"
    DENT = "dent"


SPRINGY = (Event.FLAT, Event.YIELD, Event.SET, Event.CASING)
"""What is told of a rim that is taken to spring back; dents stand in place of its set."""


@dataclass(frozen=True)
class Rung:
    """One event, the wall it happens to (none for the tyre), at what force on the hooks, and the
    drop that brings it with its energy at the tyre's touch. A drop of 0: the load of the wheel
    alone, put on suddenly.

    A dent leaves ``set_mm``. ``spring_N`` is what as hard a blow would bring on the hooks of a rim
    that springs back, where that is not ``hook_N``: a hook that folds bears less.
    """

    event: Event
    wall: str
    hook_N: float
    drop_mm: float
    energy_J: float
    set_mm: float = 0.0
    spring_N: float | None = None


@dataclass(frozen=True)
class Ladder:
    """Rungs in the order in which they are reached, for a rim of ``stiffness_N_mm`` behind a
    ``cushion``; the ``blow`` is the set-up's own.
    """

    rungs: tuple[Rung, ...]
    cushion: Cushion
    stiffness_N_mm: float
    blow: Blow

    __repr__ = brief

    def drop_mm(self, event: Event) -> float:
        """The drop that brings an event; infinite where none does."""
        return next((rung.drop_mm for rung in self.rungs if rung.event is event), inf)

    @cached_property
    def speed_m_s(self) -> tuple[float, ...]:
        """The speed against the step, one a rung, that brings it: infinite where none at which a
        bicycle rolls does, or without a step; 0 where any does. Found once it is asked for.
        """
        return tuple(speeds_for(self._hooks, self.blow, self.stiffness_N_mm, self.cushion).tolist())

    @cached_property
    def pressure_MPa(self) -> tuple[float, ...]:
        """The tyre pressure, one a rung, from which the blow stays below it: 0 where it takes no
        air at all, infinite where all that such a tyre takes is not enough.

        What the rim bears is that of the wheel as it stands. With more air the flat tyre presses
        harder on the bead seats, so that the rim bears a little less; that is left out, a hundredth
        where it takes half as much air again.
        """
        found = pressures_for(self._hooks, self.blow, self.stiffness_N_mm, self.cushion)
        return tuple(found.tolist())

    @property
    def _hooks(self) -> list[float]:
        return [rung.hook_N if rung.spring_N is None else rung.spring_N for rung in self.rungs]

    def at_drop(
        self, event: Event, hook_N: float, drop_mm: float, *, wall: str = "", set_mm: float = 0.0
    ) -> Rung:
        """A rung where a drop is known to bring an event, of a rim that need not be a spring."""
        hard = force_of_drop(drop_mm, self.blow, self.stiffness_N_mm, self.cushion)
        spring = max(0.0, hard - self.cushion.force_N)
        return Rung(event, wall, hook_N, drop_mm, self.blow.energy_J(drop_mm), set_mm, spring)

    def with_rungs(self, rungs: Iterable[Rung]) -> Ladder:
        """The same with other rungs, in the order of their drops; one whose drop is infinite is
        left out.
        """
        reached = [rung for rung in rungs if rung.drop_mm < inf]
        return replace(self, rungs=tuple(sorted(reached, key=lambda each: each.drop_mm)))


def ladder(
    events: Iterable[tuple[Event, str, float]], cushion: Cushion, stiffness_N_mm: float, blow: Blow
) -> Ladder:
    """A rung for each event, given with its wall and the force (N) on the hooks that brings
    it; one whose force is infinite is left out.
    """
    rungs = []
    for event, wall, hook in sorted(events, key=lambda each: each[2]):
        if hook < inf:
            drop = drop_for(cushion.force_N + hook, blow, stiffness_N_mm, cushion)
            rungs.append(Rung(event, wall, hook, drop, blow.energy_J(drop)))
    return Ladder(tuple(rungs), cushion, stiffness_N_mm, blow)
