"""Several rims side by side, each with how well its measurements pin it down."""

from __future__ import annotations

import math
import operator
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.ask.dents import ask_dents, lighten
from rimfea.errors import about
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import COVERAGE
from rimfea.study.cases import USUAL, Loading
from rimfea.study.light import light
from rimfea.study.outcome import OUTCOMES, Outcome
from rimfea.study.ride import Ride
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import datum
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.parallel import PROCESSES, Workers
from rimfea.vary.results import Results, each_once
from rimfea.vary.sensitivity import Sensitivity, sensitivity

BETTER, WORSE, HEAVIER, LIGHTER = "better", "worse", "heavier", "lighter"
UNTOLD = "not told apart"


@dataclass(frozen=True)
class Measured:
    """A rim as one wheel of a set-up, and how its outcomes depend on its numbers."""

    ride: Ride
    sensitivity: Sensitivity

    def __repr__(self) -> str:
        return f"<Measured {self.ride!r}>"

    @property
    def name(self) -> str:
        """What the rim is called."""
        return self.ride.analysis.sheet.name


@dataclass(frozen=True)
class Comparison:
    """Rims side by side, the others compared with the first."""

    rims: tuple[Measured, ...]

    def __repr__(self) -> str:
        others = ", ".join(rim.name for rim in self.rims[1:])
        return f"<Comparison of {others or 'nothing'} against {self.base.name}>"

    @property
    def base(self) -> Measured:
        """The rim that the others are compared with."""
        return self.rims[0]

    @property
    def differences(self) -> dict[str, tuple[Difference, ...]]:
        """Every outcome of every other rim, by its name, against the base's."""
        return {rim.name: differences(rim, self.base) for rim in self.rims[1:]}


@dataclass(frozen=True)
class Difference:
    """One outcome of a rim against that of another, which is ``whole``: the ``gap`` between them
    with the expanded uncertainty (k = 2) that the measurements of both leave, ``metal`` that which
    their proof stresses alone leave, all in the outcome's unit. ``repeat`` is the error that leaves
    most of it, and ``would`` whether the two would be told apart without it; without both metals
    where it is one of them.
    """

    outcome: Outcome
    gap: float
    expanded: float
    whole: float
    repeat: Source
    would: bool
    metal: float = 0.0

    @property
    def percent(self) -> float:
        """The gap in per cent of the other's outcome; NaN where that is nothing."""
        return self._percent(self.gap)

    @property
    def expanded_percent(self) -> float:
        """Its expanded uncertainty, likewise."""
        return self._percent(self.expanded)

    @property
    def metal_percent(self) -> float:
        """What the proof stresses leave, likewise."""
        return self._percent(self.metal)

    def _percent(self, size: float) -> float:
        return 100 * size / (abs(self.whole) or math.nan)

    @property
    def is_known(self) -> bool:
        """Whether the outcome is known of both rims."""
        return not math.isnan(self.gap)

    @property
    def verdict(self) -> str:
        """Whether the rim is better or worse in this than the other, of mass heavier or lighter,
        or cannot be told apart from it.
        """
        return _verdict(self.outcome, self.gap, self.expanded)

    @property
    def of_known_metal(self) -> tuple[str, float]:
        """The verdict if both proof stresses were known, and the expanded uncertainty, per cent,
        that all else leaves.
        """
        rest = math.sqrt(max(self.expanded**2 - self.metal**2, 0.0))
        return _verdict(self.outcome, self.gap, rest), self._percent(rest)

    @property
    def is_better(self) -> bool | None:
        """Whether that is an advantage; None where the two cannot be told apart."""
        if self.verdict == UNTOLD:
            return None
        return (self.gap > 0) == (self.outcome.better > 0)


def measured(
    sheet: Sheet, setup: Setup, end: End, *, like: Loading = USUAL, dents: bool = False
) -> Measured:
    """One rim, ready to be put beside others, with its dent if that is asked for."""
    around = replace(datum(sheet, setup, end, like=like), every=False)
    if dents:
        ask_dents([around.ride])
    found = Measured(around.ride, sensitivity(around))
    lighten(found.ride)
    return found


def compare(
    sheets: Iterable[Sheet],
    setup: Setup,
    end: End,
    *,
    like: Loading = USUAL,
    dents: bool = False,
    processes: Workers = PROCESSES,
    results: Results | None = None,
) -> Iterator[Measured]:
    """The same of every sheet, in their order, ``processes`` at a time: see
    :func:`rimfea.vary.parallel.each`. What is kept among ``results`` has light rides
    (:func:`rimfea.study.light.light`).
    """
    find = _of_sheet if results is None else _light_of_sheet
    asked = partial(partial, find, setup=setup, end=end, like=like, dents=dents)
    under = ("compare", setup, end, like, dents)
    return each_once(
        operator.call, [*sheets], asked, under=under, results=results, processes=processes
    )


def _of_sheet(sheet: Sheet, setup: Setup, end: End, *, like: Loading, dents: bool) -> Measured:
    with about(sheet.name):
        return measured(sheet, setup, end, like=like, dents=dents)


def _light_of_sheet(
    sheet: Sheet, setup: Setup, end: End, *, like: Loading, dents: bool
) -> Measured:
    found = _of_sheet(sheet, setup, end, like=like, dents=dents)
    return replace(found, ride=light(found.ride))


def differences(one: Measured, base: Measured) -> tuple[Difference, ...]:
    """Every outcome of one rim against the base's, in the order of the outcomes.

    Readings and guesses of two rims are independent. The workshop's caliper is off by the same in
    both, and so is the metal of one batch: of that only what does not cancel is left. What the
    model leaves out is taken as the same for both and does not enter.
    """
    doubt = one.sensitivity.doubt.minus(base.sensitivity.doubt)
    metal = doubt.of({Origin.METAL}).standard
    return tuple(_difference(one, base, doubt, metal, place) for place in range(len(OUTCOMES)))


def _difference(
    one: Measured, base: Measured, doubt: Doubt, metal: Floats, place: int
) -> Difference:
    whole, shares = float(base.sensitivity.base[place]), doubt.shares[:, place]
    most = doubt.sources[int(np.abs(shares).argmax())]
    gap = float(one.sensitivity.base[place]) - whole
    expanded = COVERAGE * float(doubt.standard[place])
    without = [
        share for each, share in zip(doubt.sources, shares, strict=True) if not _goes(each, most)
    ]
    rest = COVERAGE * math.hypot(*without)
    return Difference(
        OUTCOMES[place],
        gap,
        expanded,
        whole,
        most,
        bool(rest < abs(gap) <= expanded),
        COVERAGE * float(metal[place]),
    )


def _goes(source: Source, repeated: Source) -> bool:
    """Whether an error goes with another: who knows that two rims are of one batch knows both."""
    return source == repeated or source.origin is repeated.origin is Origin.METAL


def _verdict(outcome: Outcome, gap: float, expanded: float) -> str:
    if not abs(gap) > expanded:
        return UNTOLD
    if outcome.key == "mass_g":
        return HEAVIER if gap > 0 else LIGHTER
    return BETTER if (gap > 0) == (outcome.better > 0) else WORSE


def ranks(rims: Sequence[Measured], outcome: Outcome) -> tuple[int, ...]:
    """The rank of every rim in one outcome, 1 the best; equal ones share it, and those of which it
    is not known come last.
    """
    place = OUTCOMES.index(outcome)
    found = [-outcome.better * float(rim.sensitivity.base[place]) for rim in rims]
    values = [math.inf if math.isnan(value) else value for value in found]
    return tuple(1 + sum(other < value for other in values) for value in values)


def unbeaten(mass: Floats, strength: Floats) -> Bools:
    """Which rims (r,) no other beats: none is as light and as strong, and better in one of them."""
    lighter, stronger = mass[:, None] <= mass, strength[:, None] >= strength
    better = (mass[:, None] < mass) | (strength[:, None] > strength)
    return np.asarray(~(lighter & stronger & better).any(axis=0))


def joint_doubt(rim: Measured, first: Outcome, second: Outcome) -> Floats:
    """Covariance (2, 2) of two outcomes from the rim's measurements."""
    return rim.sensitivity.doubt.picked([OUTCOMES.index(first), OUTCOMES.index(second)]).covariance
