"""Which rims for a set-up, front and rear: the lightest that hold, and why not the others."""

from __future__ import annotations

import math
import operator
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from rimfea.ask.dents import ask_dents, lighten
from rimfea.errors import LoadError, RimfeaError
from rimfea.profile.sheet import Sheet
from rimfea.study.cases import USUAL, Loading
from rimfea.study.light import light
from rimfea.study.outcome import HALF_MM
from rimfea.study.ride import Ride, rides
from rimfea.study.setup import Setup
from rimfea.vary.parallel import PROCESSES, Workers
from rimfea.vary.results import Results, each_once


@dataclass(frozen=True)
class Candidate:
    """One rim as the front and as the rear wheel of a set-up."""

    front: Ride
    rear: Ride

    def __repr__(self) -> str:
        return f"<Candidate {self.name}: {self.mass_g:.0f} g, margin {self.margin:.2f}>"

    @property
    def wheels(self) -> tuple[Ride, Ride]:
        """Both, the front one first."""
        return self.front, self.rear

    @property
    def name(self) -> str:
        """The rim's."""
        return self.front.analysis.sheet.name

    @property
    def mass_g(self) -> float:
        """Of one rim, weighed if it was."""
        return self.front.analysis.mass_g

    @property
    def margin(self) -> float:
        """That of the worse wheel."""
        return min(margin(wheel) for wheel in self.wheels)

    @property
    def holds(self) -> bool:
        """Whether both wheels do what the set-up asks."""
        return all(map(holds, self.wheels))

    @property
    def is_dented(self) -> bool:
        """Whether the set-up's blow dents a rim of either wheel, as :func:`is_dented`."""
        return any(map(is_dented, self.wheels))


@dataclass(frozen=True)
class LeftOut:
    """A rim that was not looked at further, and why."""

    name: str
    reason: str

    def __str__(self) -> str:
        return f"Left out: {self.name}: {self.reason}"


@dataclass(frozen=True)
class Choice:
    """Rims in order, the best first: those that hold by mass, then the others by margin, those last
    that the set-up's blow dents.

    ``front`` and ``rear`` are the rims whose wheel is the best at that end alone; ``left_out``
    are those that were not compared.
    """

    ranked: tuple[Candidate, ...]
    front: Candidate
    rear: Candidate
    left_out: tuple[LeftOut, ...] = ()

    def __repr__(self) -> str:
        return f"<Choice of {len(self.ranked)} rims: {self.front.name} and {self.rear.name}>"

    @property
    def mass_g(self) -> float:
        """Of the pair of rims."""
        return self.front.mass_g + self.rear.mass_g

    @property
    def holds(self) -> bool:
        """Whether the pair does what the set-up asks."""
        return holds(self.front.front) and holds(self.rear.rear)

    @property
    def saved_g(self) -> float | None:
        """What the pair is lighter than two of the best rim; None unless both hold."""
        best = self.ranked[0]
        return 2 * best.mass_g - self.mass_g if self.holds and best.holds else None


def choose(tried: Iterable[Candidate | LeftOut]) -> Choice:
    """The ranking, whatever the order in which the rims come, and the best pair.

    Raises :class:`~rimfea.errors.LoadError` where there is none, and where the rims are of more
    than one bead seat diameter: a bicycle takes but one.
    """
    every = tuple(tried)
    found = [each for each in every if isinstance(each, Candidate)]
    left = tuple(each for each in every if isinstance(each, LeftOut))
    if not found:
        raise LoadError("\n".join(["there is no rim left to choose from", *map(str, left)]))
    if len({each.front.analysis.sheet.bead_seat_diameter_mm for each in found}) > 1:
        raise LoadError("rims of different bead seat diameters do not fit the same bicycle")
    return Choice(
        ranked=tuple(sorted(found, key=lambda each: _place(each, *each.wheels))),
        front=min(found, key=lambda each: _place(each, each.front)),
        rear=min(found, key=lambda each: _place(each, each.rear)),
        left_out=left,
    )


def candidate(
    sheet: Sheet,
    setup: Setup,
    *,
    like: Loading = USUAL,
    coarseness: float = 1.0,
    dents: bool = False,
) -> Candidate | LeftOut:
    """One rim at both ends, with the dents of both if they are asked for, or why it cannot be, such
    as a tyre that does not fit it.
    """
    try:
        wheels = list(rides(sheet, setup, like=like, coarseness=coarseness))
    except RimfeaError as error:
        return LeftOut(sheet.name, str(error))
    if dents:
        ask_dents(wheels)
    for wheel in wheels:
        lighten(wheel)
    front, rear = wheels
    return Candidate(front, rear)


def candidates(
    sheets: Sequence[Sheet],
    setup: Setup,
    *,
    like: Loading = USUAL,
    dents: bool = False,
    processes: Workers = PROCESSES,
    results: Results | None = None,
) -> Iterator[Candidate | LeftOut]:
    """The same of every rim, in their order; for ``processes`` see
    :func:`rimfea.vary.parallel.each`. What is kept among ``results`` has light rides
    (:func:`rimfea.study.light.light`).
    """
    find = candidate if results is None else _light_candidate
    asked = partial(partial, find, setup=setup, like=like, dents=dents)
    under = ("choose", setup, like, dents)
    return each_once(
        operator.call, sheets, asked, under=under, results=results, processes=processes
    )


def _light_candidate(
    sheet: Sheet, setup: Setup, *, like: Loading, dents: bool
) -> Candidate | LeftOut:
    found = candidate(sheet, setup, like=like, dents=dents)
    return found if isinstance(found, LeftOut) else Candidate(*map(light, found.wheels))


def of_one_diameter(
    sheets: Sequence[Sheet], diameter_mm: float | None = None
) -> tuple[tuple[Sheet, ...], tuple[LeftOut, ...]]:
    """The rims of that bead seat diameter, and the others; without one the diameter that most
    rims have, of several the largest.

    Raises :class:`~rimfea.errors.LoadError` where no rim is of that diameter.
    """
    sizes = Counter(sheet.bead_seat_diameter_mm for sheet in sheets)
    chosen = diameter_mm or max(sizes, key=lambda size: (sizes[size], size))
    if chosen not in sizes:
        there = ", ".join(f"{size:g}" for size in sorted(sizes))
        raise LoadError(f"no rim has a bead seat diameter of {chosen:g} mm; there are: {there}")
    kept = tuple(sheet for sheet in sheets if sheet.bead_seat_diameter_mm == chosen)
    others = tuple(
        LeftOut(sheet.name, _other_size(sheet.bead_seat_diameter_mm, chosen))
        for sheet in sheets
        if sheet.bead_seat_diameter_mm != chosen
    )
    return kept, others


def _other_size(diameter_mm: float, chosen_mm: float) -> str:
    return f"another wheel size, bead seat {diameter_mm:g} mm, not {chosen_mm:g}"


def margin(wheel: Ride) -> float:
    """How many times what is asked the wheel bears: 1 or more holds."""
    return min(pressure_margin(wheel), tension_margin(wheel))


def holds(wheel: Ride) -> bool:
    """Whether a wheel does what the set-up asks."""
    return margin(wheel) >= 1 and not is_dented(wheel)


def is_dented(wheel: Ride) -> bool:
    """Whether the set-up's own blow leaves more of a dent than :data:`HALF_MM`, which a builder
    sees and feels: common practice, no source. False where the dent is not known.
    """
    return wheel.knows_dent and wheel.own_dent_mm > HALF_MM


def pressure_margin(wheel: Ride) -> float:
    """The tyre's pressure over the one from which the set-up's blow leaves the rim elastic.

    Infinite where the blow takes no air at all; 0 where the rim yields before any blow, or
    whatever the air.
    """
    if math.isinf(wheel.answer.verdict.governing.first_yield):
        return 0.0
    needed = wheel.needed_MPa
    return wheel.tyre.pressure_MPa / needed if needed else math.inf


def tension_margin(wheel: Ride) -> float:
    """How far the target tension is from the nearer end of the wheel's window, as a factor."""
    allowed = wheel.window
    low, high = allowed.lowest.tension_N, allowed.highest.tension_N
    above = allowed.target_N / low if low else math.inf
    return min(high / allowed.target_N, above)


def _place(rim: Candidate, *wheels: Ride) -> tuple[bool, bool, float, float, str]:
    """What holds comes first and goes by mass; the rest goes by margin, what is dented last."""
    margin_there, fit = min(map(margin, wheels)), all(map(holds, wheels))
    dented = any(map(is_dented, wheels))
    return (not fit, dented, rim.mass_g if fit else -margin_there, -margin_there, rim.name)
