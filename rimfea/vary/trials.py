"""Uncertainty by trial: the rim drawn many times, each time with other errors of the caliper.

What JCGM 101:2008 calls propagation of distributions; it needs no slopes, and shows whether the
sum of squares of :mod:`rimfea.vary.sensitivity` may be trusted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.elastic.harmonics import Solutions
from rimfea.errors import MeshError, SheetError
from rimfea.profile.uncertainty import Uncertainty, uncertainties
from rimfea.study.outcome import outcomes
from rimfea.vary.datum import Datum
from rimfea.vary.parallel import PROCESSES, each
from rimfea.vary.sensitivity import slopes

RUNS = 500


@dataclass(frozen=True)
class MonteCarlo:
    """Outcomes (r, o) of the runs that made a rim, and how many did not, because the errors
    drawn clashed or the mesh could not follow.
    """

    values: Floats
    refused: int

    __repr__ = brief

    @property
    def standard(self) -> Floats:
        """Standard deviation (o,) of every outcome."""
        return np.asarray(self.values.std(axis=0, ddof=1))

    @property
    def mean(self) -> Floats:
        """Mean (o,) of every outcome."""
        return np.asarray(self.values.mean(axis=0))


def monte_carlo(
    around: Datum,
    keys: Iterable[str] | None = None,
    *,
    runs: int = RUNS,
    seed: int = 1,
    processes: int = PROCESSES,
) -> MonteCarlo:
    """Ride the rim ``runs`` times with errors drawn for every dimension: normal ones where it was
    measured, even ones over the assumed range where it was not. The same seed gives the same.
    """
    found, per_mm = slopes(around, keys)
    drawn = _drawn(found.keys, uncertainties(found.sheet), runs, seed)
    start = partial(_ready, around, per_mm)
    values = list(each(_run, drawn, start, processes=processes))
    made = [value for value in values if value is not None]
    return MonteCarlo(np.array(made).reshape(len(made), len(found.base)), runs - len(made))


def _ready(around: Datum, per_mm: Mapping[str, Solutions]) -> tuple[Datum, Mapping[str, Solutions]]:
    return around, per_mm


def _run(made: tuple[Datum, Mapping[str, Solutions]], errors: Mapping[str, float]) -> Floats | None:
    around, per_mm = made
    try:
        ridden = around.at(errors, per_mm)
    except (SheetError, MeshError):
        return None
    return np.array(list(outcomes(ridden).values()))


def _drawn(
    keys: tuple[str, ...], known: Mapping[str, Uncertainty], runs: int, seed: int
) -> list[dict[str, float]]:
    random = np.random.default_rng(seed)
    columns = []
    for key in keys:
        doubt = known.get(key)
        size = 0.0 if doubt is None else doubt.standard
        even = doubt is not None and not doubt.measured
        unit = random.uniform(-(3**0.5), 3**0.5, runs) if even else random.standard_normal(runs)
        columns.append(size * unit)
    table = np.array(columns).T
    return [dict(zip(keys, map(float, row), strict=True)) for row in table]
