"""The answers as plain data, for programs that read on: always in mm, N, MPa and g."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from rimfea.ask.dimensions import Dimension, side_by_side
from rimfea.ask.swaps import Swap, Swaps
from rimfea.ask.why import Step, Why
from rimfea.profile.fields import BY_KEY, FIELDS
from rimfea.stress.walls import WallStress
from rimfea.strike.ladder import Rung
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.study.cases import Loading
from rimfea.study.grams import grams
from rimfea.study.outcome import OUTCOMES, Outcome
from rimfea.study.ride import Ride
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words.analyse import weighing
from rimfea.words.form import read_form
from rimfea.words.plain import as_text, heading, known
from rimfea.words.rides import assumptions, bound_words, event_words

SCHEMA = "rimfea answers 3"
"""Name and version of the form; the version grows when a reader would have to change."""


def answers(
    analyses: Sequence[Analysis],
    rides: Sequence[Ride] = (),
    doubts: Sequence[Sensitivity] = (),
    *,
    whys: Sequence[Why] = (),
    swaps: Sequence[Swaps] = (),
    short: Sequence[str] = (),
    base: int = 0,
) -> dict[str, Any]:
    """All rims as dicts, lists, texts and finite numbers, in the form of :func:`schema`. Where it
    was asked, with the rides of them, how well their measurements pin them down, what carries the
    blow, their swaps, and a sentence of each for the phone; several stand side by side, held
    against that at ``base``.

    What would be infinite (the load at which a wall without stress yields) is None. All rims
    must be under one loading; raises ValueError otherwise. ``loading`` is left out when no rim
    was loaded.
    """
    loadings = {each.loading for each in analyses if each.answers}
    if len(loadings) > 1:
        raise ValueError("rims side by side must be under the same loading")
    loading = loadings.pop() if loadings else None
    apart = side_by_side([each.sheet for each in analyses], base) if analyses[1:] else ()
    whole = _Whole(loading, analyses, rides, doubts, whys, apart, swaps, short, **heading(SCHEMA))
    return dict(_FORM.told("answers", whole))


def as_json(
    analyses: Sequence[Analysis],
    rides: Sequence[Ride] = (),
    doubts: Sequence[Sensitivity] = (),
    *,
    whys: Sequence[Why] = (),
    swaps: Sequence[Swaps] = (),
    short: Sequence[str] = (),
    base: int = 0,
) -> str:
    """The same as JSON text; raises ValueError as :func:`answers`."""
    return as_text(answers(analyses, rides, doubts, whys=whys, swaps=swaps, short=short, base=base))


def schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of the answers, with the unit of every number."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:rimfea:answers:2",
        "title": "Answers of rimfea",
        **_FORM.schema("answers"),
    }


class _Whole(NamedTuple):
    """All that is told at once."""

    loading: Loading | None
    rims: Sequence[Analysis]
    rides: Sequence[Ride]
    doubts: Sequence[Sensitivity]
    whys: Sequence[Why]
    dimensions: Sequence[Dimension]
    swaps: Sequence[Swaps]
    short: Sequence[str]
    schema: str
    program: Any
    caution: str
    units: Any


class _Under(NamedTuple):
    """A wall under a case."""

    wall: WallStress
    answer: Answer

    @property
    def at_yield(self) -> float:
        return self.answer.load_at(self.wall.first_yield)

    @property
    def at_hinge(self) -> float:
        return self.answer.load_at(self.wall.hinge)


class _Reached(NamedTuple):
    """A rung of a ride's ladder, the speed that brings it, and the pressure from which the blow
    stays below it.
    """

    rung: Rung
    step_m_s: float
    needed_MPa: float
    ride: Ride


class _Spread(NamedTuple):
    """Loads at first yield with a flat tyre spread over half and over twice as much rim."""

    half_N: float
    twice_N: float


class _Doubted(NamedTuple):
    """An outcome and how well it is known."""

    outcome: Outcome
    by: Sensitivity


class _Changed(NamedTuple):
    """One outcome of two rims that are swapped."""

    found: Swaps
    key: str

    @property
    def whole(self) -> float:
        return self.found.whole(self.key)

    @property
    def together(self) -> float:
        return self.found.together(self.key)


class _Piece(NamedTuple):
    """What one piece does to one outcome."""

    swap: Swap
    key: str

    @property
    def change(self) -> float | None:
        return known(self.swap.change(self.key))

    @property
    def gives(self) -> float | None:
        return known(self.swap.gives[self.key])

    @property
    def takes(self) -> float | None:
        return known(self.swap.takes[self.key])


class _Weighing(NamedTuple):
    """A wall and what it weighs."""

    wall: str
    mass_g: float


def _by_rim(dimension: Dimension, read: Callable[[int], float]) -> list[float | None]:
    return [known(read(rim)) for rim in range(len(dimension.values))]


class _Stepped(NamedTuple):
    """A wall on the way of a blow, and the case that it is of."""

    step: Step
    answer: Answer

    @property
    def yields_N(self) -> float:
        return self.answer.load_at(self.step.weakest.first_yield)


_FORM = read_form(
    "answers-3.toml",
    {
        "loading.angle_deg": lambda loading: math.degrees(loading.angle),
        "rim.sheet": lambda rim: {field.key: getattr(rim.sheet, field.key) for field in FIELDS},
        "rim.governing": lambda rim: (
            _Under(rim.governing.verdict.governing, rim.governing) if rim.answers else None
        ),
        "rim.grams": lambda rim: [_Weighing(*each) for each in grams(rim).items()],
        "dimension.values": lambda each: [known(value) for value in each.values],
        "dimension.gap": lambda each: _by_rim(each, each.gap),
        "dimension.percent": lambda each: _by_rim(each, each.percent),
        "dimension.expanded": lambda each: [known(value) for value in each.expanded],
        "dimension.told": lambda each: [each.is_told(rim) for rim in range(len(each.values))],
        "dimension.unit": lambda each: BY_KEY[each.key].unit,
        "swapping.outcomes": lambda found: [_Changed(found, key) for key in found.outcomes],
        "changed.pieces": lambda each: [_Piece(swap, each.key) for swap in each.found.swaps],
        "section.principal_angle_deg": lambda section: math.degrees(section.principal_angle),
        "mass.open_g": lambda rim: (scales := weighing(rim)) and scales.open_g,
        "mass.agree": lambda rim: (scales := weighing(rim)) and scales.agrees,
        "case.load_unit": lambda answer: "MPa" if answer.is_pressure else "N",
        "case.walls": lambda answer: [_Under(wall, answer) for wall in answer.verdict.walls],
        "case.at_weld": lambda answer: answer.at_weld and _Under(answer.at_weld.governing, answer),
        "case.respread": lambda answer: answer.respread and _Spread(*answer.respread),
        "lean.angle_deg": lambda lean: math.degrees(lean.angle),
        "why.steps": lambda found: [_Stepped(step, found.answer) for step in found.steps],
        "wall.around_deg": lambda each: math.degrees(each.wall.theta),
        "wall.cut": lambda each: (each.wall.start, each.wall.end),
        "ride.assumes": lambda ride: assumptions([ride]),
        "ladder.rungs": lambda ride: [
            _Reached(*each, ride)
            for each in zip(
                ride.full_ladder.rungs,
                ride.full_ladder.speed_m_s,
                ride.full_ladder.pressure_MPa,
                strict=True,
            )
        ],
        "ride.dents": lambda ride: ride if ride.knows_dent else None,
        "ride.wheel_tests": lambda ride: ride.known_tests,
        "tested.set_mm": lambda tested: known(tested.set_mm),
        "tested.passes": lambda tested: tested.passes if tested.is_known else None,
        "rung.event": lambda each: event_words(each.rung, each.ride.setup),
        "blow.energy_J": lambda ride: ride.blow.energy_J(ride.drop_mm),
        "bound.reason": bound_words,
        "doubt.outcomes": lambda by: [_Doubted(outcome, by) for outcome in OUTCOMES],
        "outcome.value": lambda each: known(each.by.value(each.outcome.key)),
        "outcome.expanded": lambda each: (
            None if each.outcome.rough else known(each.by.expanded(each.outcome.key))
        ),
        "outcome.mostly_from": lambda each: each.by.worst(each.outcome.key).what,
    },
)
