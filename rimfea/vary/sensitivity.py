"""Which dimension moves which answer, by how much: slopes, doubts, and where a gram is best spent.

A slope is the change of an answer by a small step of one dimension, the step's answers found by
one correction with the base's factors: a direct derivative. Doubts add as squares after
JCGM 100:2008, 5.1.2: u² = Σ (slope · u)².
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from rimfea.arrays import Floats
from rimfea.elastic.harmonics import Solutions
from rimfea.errors import MeshError, SheetError
from rimfea.profile.moved import dimensions
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import COVERAGE, uncertainties
from rimfea.study.outcome import BY_KEY as BY_OUTCOME
from rimfea.study.outcome import OUTCOMES, outcomes
from rimfea.study.ride import Ride
from rimfea.vary.datum import STEP_MM, Datum

GRAM = 1.0


@dataclass(frozen=True)
class Sensitivity:
    """Slopes (k, o) of all outcomes (o) by the dimensions ``keys`` (k), per mm, at a rim whose
    outcomes are ``base`` (o,) and whose dimensions are known to ``standard_mm`` (k,).
    ``left_out`` says by key why a dimension has none.
    """

    sheet: Sheet
    keys: tuple[str, ...]
    base: Floats
    slope: Floats
    standard_mm: Floats
    left_out: Mapping[str, str] = field(default_factory=dict)

    def __repr__(self) -> str:
        size = f"{len(self.base)} outcomes by {len(self.keys)} dimensions"
        return f"<Sensitivity of {self.sheet.name}: {size}>"

    def per_mm(self, key: str, outcome: str) -> float:
        """How much an outcome grows by a millimetre of a dimension."""
        return float(self.slope[self.keys.index(key), _place(outcome)])

    def per_gram(self, key: str, outcome: str) -> float:
        """How much an outcome grows by a gram that this dimension adds; NaN for one that adds
        next to none.
        """
        mass = self.per_mm(key, "mass_g")
        return self.per_mm(key, outcome) / mass if abs(mass) > GRAM else float("nan")

    @cached_property
    def standard(self) -> Floats:
        """Standard uncertainty (o,) of every outcome from the measurements."""
        return np.asarray(np.sqrt((self.shares**2).sum(axis=0)))

    @property
    def shares(self) -> Floats:
        """Part (k, o) of every dimension in it."""
        return self.slope * self.standard_mm[:, None]

    def value(self, outcome: str) -> float:
        """The outcome itself."""
        return float(self.base[_place(outcome)])

    def expanded(self, outcome: str) -> float:
        """Its expanded uncertainty, k = 2."""
        return COVERAGE * float(self.standard[_place(outcome)])

    def worst(self, outcome: str) -> str:
        """The dimension that it is most in doubt by."""
        return self.keys[int(np.abs(self.shares[:, _place(outcome)]).argmax())]


def _place(outcome: str) -> int:
    return OUTCOMES.index(BY_OUTCOME[outcome])


def sensitivity(near: Datum, keys: Iterable[str] | None = None) -> Sensitivity:
    """Slopes of every outcome by every dimension of the base."""
    return slopes(near, keys)[0]


def slopes(
    near: Datum, keys: Iterable[str] | None = None
) -> tuple[Sensitivity, Mapping[str, Solutions]]:
    """The same, and the slopes of the kept answers, from which near rims are solved."""
    sheet = near.ride.analysis.sheet
    known = uncertainties(sheet)
    base, start = _values(near.ride), _values(near.unmoved)
    found: dict[str, Floats] = {}
    answers: dict[str, Solutions] = {}
    left_out: dict[str, str] = {}
    for key in dimensions(sheet) if keys is None else keys:
        try:
            ridden, answers[key] = near.stepped(key)
        except (MeshError, SheetError) as error:
            left_out[key] = str(error)
            continue
        found[key] = (_values(ridden) - start) / STEP_MM
    used = tuple(found)
    standard = np.array([known[key].standard if key in known else 0.0 for key in used])
    slope = np.array([found[key] for key in used]).reshape(len(used), len(base))
    return Sensitivity(sheet, used, base, slope, standard, left_out), answers


def _values(ride: Ride) -> Floats:
    return np.array(list(outcomes(ride).values()))
