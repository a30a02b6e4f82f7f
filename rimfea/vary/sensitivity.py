"""Which dimension moves which answer, by how much: slopes, doubts, and where a gram is best spent.

A slope is the change of an answer by a small step of one dimension, the step's answers found by
one correction with the base's factors: a direct derivative. Doubts follow from it by
:mod:`rimfea.vary.doubt`; a rim that was weighed is as heavy as the scales say, and what they tell
of its walls (:mod:`rimfea.vary.scales`) moves all other answers along the slopes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from rimfea.arrays import Floats
from rimfea.elastic.harmonics import ONE_DENSE_THREAD, THREADS, Solutions
from rimfea.errors import MeshError, SheetError
from rimfea.profile.moved import dimensions
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import COVERAGE, of_proof, of_scales
from rimfea.study.outcome import BY_KEY as BY_OUTCOME
from rimfea.study.outcome import DENTS, HALF_MM, OUTCOMES, outcomes
from rimfea.study.ride import Ride
from rimfea.vary.datum import STEP_MM, Datum
from rimfea.vary.dents import dent_slopes
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.known import Known
from rimfea.vary.known import known as known_of

GRAM = 1.0
PROOF = "proof_MPa"


@dataclass(frozen=True)
class Sensitivity:
    """Slopes (k, o) of all outcomes (o) by the dimensions ``keys`` (k), per mm, at a rim whose
    outcomes are ``base`` (o,) and whose dimensions are in doubt by ``lengths``; ``beside`` (s, o)
    is what the same sources do to outcomes but not through these. The scales moved the dimensions
    by ``moved_mm`` (k,), and ``base`` with them. ``left_out`` says by key why one has no slope.
    """

    sheet: Sheet
    keys: tuple[str, ...]
    base: Floats
    slope: Floats
    lengths: Doubt
    beside: Floats | float = 0.0
    moved_mm: Floats | float = 0.0
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
    def doubt(self) -> Doubt:
        """That of all outcomes (s, o)."""
        through = self.lengths.through(self.slope)
        return Doubt(through.sources, through.shares + self.beside)

    def value(self, outcome: str) -> float:
        """The outcome itself."""
        return float(self.base[_place(outcome)])

    def expanded(self, outcome: str) -> float:
        """Its expanded uncertainty, k = 2."""
        return COVERAGE * float(self.doubt.standard[_place(outcome)])

    def worst(self, outcome: str) -> Source:
        """What it is most in doubt by."""
        shares = self.doubt.shares[:, _place(outcome)]
        return self.doubt.sources[int(np.abs(shares).argmax())]


def _place(outcome: str) -> int:
    return OUTCOMES.index(BY_OUTCOME[outcome])


def sensitivity(
    near: Datum, keys: Iterable[str] | None = None, known: Known | None = None
) -> Sensitivity:
    """Slopes of every outcome by every dimension of the base, which is measured and weighed as its
    sheet says, or else as well as is ``known``.
    """
    return slopes(near, keys, known)[0]


def slopes(
    near: Datum, keys: Iterable[str] | None = None, known: Known | None = None
) -> tuple[Sensitivity, Mapping[str, Solutions]]:
    """The same, and the slopes of the kept answers, from which near rims are solved."""
    sheet, start = near.ride.analysis.sheet, outcome_values(near.unmoved)
    wanted = dimensions(sheet) if keys is None else tuple(keys)
    found, answers, left_out = _stepped(near, wanted, start)
    used = tuple(found)
    slope = np.array([found[key] for key in used]).reshape(len(used), len(start))
    metal = _of_metal(near, start, left_out)
    if near.ride.knows_dent:
        _with_dents(near, used, slope, metal)
    sure, base = known or known_of(sheet), outcome_values(near.ride)
    return _measured(sheet, sure, used, base, slope, metal, left_out), answers


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def _stepped(
    near: Datum, keys: Sequence[str], start: Floats
) -> tuple[dict[str, Floats], dict[str, Solutions], dict[str, str]]:
    """Slopes (o,) of all outcomes by each of the dimensions and those of the kept answers, and why
    a dimension has none.
    """

    def step(key: str) -> tuple[Floats, Solutions] | str:
        try:
            ridden, slope = near.stepped(key)
        except (MeshError, SheetError) as error:
            return str(error)
        return (outcome_values(ridden) - start) / STEP_MM, slope

    if keys:
        near.ready()
    with ThreadPoolExecutor(THREADS) as pool:  # the kept factors serve two threads at a time
        steps = dict(zip(keys, pool.map(step, keys), strict=True))
    fine = {key: made for key, made in steps.items() if not isinstance(made, str)}
    return (
        {key: by_outcome for key, (by_outcome, _) in fine.items()},
        {key: by_answer for key, (_, by_answer) in fine.items()},
        {key: made for key, made in steps.items() if isinstance(made, str)},
    )


def _with_dents(near: Datum, keys: Sequence[str], slope: Floats, metal: Floats) -> None:
    """Puts what these dimensions and the metal do to the dent where nothing is known of it yet."""
    found = dent_slopes(near.ride.dent, keys, HALF_MM)
    places = [_place(outcome) for outcome in DENTS]
    for row, key in enumerate(keys):
        slope[row, places] = found.get(key, (0.0,) * len(places))
    metal[places] = np.array(found[PROOF]) * of_proof(near.ride.analysis.sheet).standard


def _measured(
    sheet: Sheet,
    known: Known,
    keys: tuple[str, ...],
    base: Floats,
    slope: Floats,
    metal: Floats,
    left_out: Mapping[str, str],
) -> Sensitivity:
    """Slopes together with how well everything is known."""
    scales = known.weighed
    lengths, moved_mm = known.conditioned(known.picked(keys))
    lengths = lengths.also(_batch(sheet), np.zeros(len(keys)))
    beside, mass = np.zeros((len(lengths.sources), len(base))), _place("mass_g")
    beside[-1] = metal
    row = {source.origin: k for k, source in enumerate(lengths.sources)}
    shift = moved_mm @ slope
    base = base + np.where(np.isfinite(shift), shift, 0.0)
    if scales.weighed_g is None:
        beside[row[Origin.DRAWING], mass] = scales.left_out_g
    else:  # the mass is what the scales say, whatever the drawing
        beside[:, mass] = -lengths.through(slope).shares[:, mass]
        beside[row[Origin.SCALES], mass] += of_scales().standard
        base[mass] = scales.weighed_g
    return Sensitivity(sheet, keys, base, slope, lengths, beside, moved_mm, left_out)


def _batch(sheet: Sheet) -> Source:
    """Whose metal it is: rims of one batch share it."""
    if sheet.batch:
        return Source(Origin.METAL, f"{PROOF} of {sheet.alloy}, batch {sheet.batch}")
    return Source(Origin.METAL, PROOF, sheet.name)


def _of_metal(near: Datum, start: Floats, left_out: dict[str, str]) -> Floats:
    """What a standard deviation of the proof stress does to every outcome (o,)."""
    try:
        ridden, step_MPa = near.softened()
    except SheetError as error:
        left_out[PROOF] = str(error)
        return np.zeros_like(start)
    change = outcome_values(ridden) - start
    return np.asarray(change / step_MPa * of_proof(near.ride.analysis.sheet).standard)


def outcome_values(ride: Ride) -> Floats:
    """All outcomes (o,) of one ride."""
    return np.array(list(outcomes(ride).values()))
