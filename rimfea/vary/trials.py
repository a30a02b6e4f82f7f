"""Uncertainty by trial: the rim drawn many times, each time with other errors of the caliper.

What JCGM 101:2008 calls propagation of distributions; for the lengths it needs no slopes, and
shows whether those of :mod:`rimfea.vary.sensitivity` may be trusted, also where the scales moved
the walls.
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
from rimfea.vary.datum import Datum
from rimfea.vary.doubt import Origin
from rimfea.vary.parallel import PROCESSES, Workers, each
from rimfea.vary.sensitivity import Sensitivity, outcome_values, slopes

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
    processes: Workers = PROCESSES,
) -> MonteCarlo:
    """Ride the rim ``runs`` times with errors drawn for every source: normal ones where something
    was measured, even ones over the assumed range where it was not. The metal and the scales come
    in by their slopes. The same seed gives the same.
    """
    found, per_mm = slopes(around, keys)
    errors = _errors(found, runs, seed)
    lengths = found.moved_mm + errors @ found.lengths.shares
    drawn = [dict(zip(found.keys, map(float, row), strict=True)) for row in lengths]
    start = partial(_ready, around, per_mm)
    beside = errors @ np.broadcast_to(found.beside, found.doubt.shares.shape)
    # The mass is that of the scales: what the drawing is off from it is not a length.
    offset = found.base - found.moved_mm @ found.slope - outcome_values(around.ride)
    values = zip(each(_run, drawn, start, processes=processes), beside + offset, strict=True)
    made = [value + besides for value, besides in values if value is not None]
    return MonteCarlo(np.array(made).reshape(len(made), len(found.base)), runs - len(made))


def _ready(around: Datum, per_mm: Mapping[str, Solutions]) -> tuple[Datum, Mapping[str, Solutions]]:
    return around, per_mm


def _run(made: tuple[Datum, Mapping[str, Solutions]], errors: Mapping[str, float]) -> Floats | None:
    around, per_mm = made
    try:
        return outcome_values(around.at(errors, per_mm))
    except (SheetError, MeshError):
        return None


def _errors(found: Sensitivity, runs: int, seed: int) -> Floats:
    """Errors (r, s) of every source, in standard deviations."""
    random = np.random.default_rng(seed)
    columns = [
        random.uniform(-(3**0.5), 3**0.5, runs)
        if source.origin is Origin.GUESS
        else random.standard_normal(runs)
        for source in found.lengths.sources
    ]
    return np.array(columns).T
