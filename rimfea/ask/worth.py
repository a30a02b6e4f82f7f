"""What each dimension of a rim is worth: what a tenth of a millimetre and a gram of it buy, and
how well the rim's strength is known from what was measured.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rimfea.ask.dents import ask_dents
from rimfea.errors import LoadError
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.study.cases import USUAL, Loading
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import datum
from rimfea.vary.parallel import PROCESSES, Workers
from rimfea.vary.sensitivity import Sensitivity, sensitivity
from rimfea.vary.trials import MonteCarlo, monte_carlo

TENTH_MM = 0.1
LEAST_GRAM = 0.05  # a tenth of a millimetre that weighs less is no place to put metal
WALLS = frozenset(wall.key_mm for wall in Wall)


@dataclass(frozen=True)
class Worth:
    """The ``slopes`` of every outcome by every dimension and, where asked for, ``trials`` of the
    doubts that follow from them.
    """

    slopes: Sensitivity
    trials: MonteCarlo | None = None

    def __repr__(self) -> str:
        return f"<Worth of {len(self.slopes.keys)} dimensions of {self.slopes.sheet.name}>"

    def per_tenth(self, key: str, outcome: str) -> float:
        """What a tenth of a millimetre more of a dimension adds to an outcome."""
        return TENTH_MM * self.slopes.per_mm(key, outcome)

    def per_gram(self, outcome: str = "") -> dict[str, float]:
        """What a gram more adds to an outcome, by the key of every wall that takes metal, the
        wall where it adds most first. Where none is named it is first yield and permanent set
        together, a share of each: a reader who asks about dents means both.
        """
        gain = {
            key: self.slopes.per_gram(key, outcome) if outcome else self._both(key)
            for key in self.slopes.keys
            if key in WALLS and abs(self.per_tenth(key, "mass_g")) > LEAST_GRAM
        }
        return dict(sorted(gain.items(), key=lambda item: -item[1]))

    def has(self, outcome: str) -> bool:
        """Whether an outcome is known and has slopes: that of a dent only if asked for."""
        found = [
            self.slopes.value(outcome),
            *(self.per_tenth(k, outcome) for k in self.slopes.keys),
        ]
        return all(map(math.isfinite, found))

    def _both(self, key: str) -> float:
        """The sum of what a gram adds to either strength, as a share of it."""
        base = {outcome: self.slopes.value(outcome) for outcome in ("yield_N", "set_N")}
        return sum(self.slopes.per_gram(key, each) / (base[each] or 1.0) for each in base)


def worth(
    sheet: Sheet,
    setup: Setup,
    end: End,
    *,
    like: Loading = USUAL,
    trials: int | None = None,
    dents: bool = False,
    processes: Workers = PROCESSES,
) -> Worth:
    """One rim as one wheel of a set-up, under strikes as in ``like``, with its dent if that is
    asked for; as a check on the doubts, also drawn so many times with errors of the caliper, for
    which see :func:`rimfea.vary.trials.monte_carlo`. Raises :class:`~rimfea.errors.LoadError` for
    a rim that buckles or yields before any strike.
    """
    around = datum(sheet, setup, end, like=like)
    if gone := around.ride.gives_way:
        raise LoadError(f"the rim {gone}, which no gram undoes: take less tension or less air")
    if dents:
        ask_dents([around.ride])
    drawn = monte_carlo(around, runs=trials, processes=processes) if trials else None
    return Worth(sensitivity(around), drawn)
