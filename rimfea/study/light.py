"""A ride without the ring it was read off: what tables, sentences, data and the picture of rims
side by side tell of it, in a hundredth of the memory.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from rimfea.elastic.field import Field
from rimfea.elastic.ring_field import RingField
from rimfea.plastic.path import Path
from rimfea.study.answer import Answer
from rimfea.study.dent import Curve, Dent
from rimfea.study.ride import Ride

_GONE: Any = None  # what a dent was found with


def light(ride: Ride) -> Ride:
    """A ride that nothing more can be solved from. Stress is left of the case that the verdict
    rests on, where its governing wall is worst; of a dent its steps, its length and where the
    metal may crack.
    """
    rim = ride.analysis
    answers = {each.name: _light(each, seen=each is rim.governing) for each in rim.answers}
    lighter = replace(
        ride,
        analysis=replace(rim, answers=tuple(answers.values()), built=None),
        answer=answers[ride.answer.name],
    )
    known = vars(lighter)
    if ride.knows_dent:
        known["dent"] = _dent(ride.dent)
    if ride.lost_dent:
        known["found_dent"] = None
    if "wheel_tests" in vars(ride):
        known["wheel_tests"] = tuple(
            replace(each, answer=answers[each.answer.name]) for each in ride.wheel_tests
        )
    return lighter


def _light(answer: Answer, *, seen: bool) -> Answer:
    standing = answer.standing and _field(answer, answer.standing, seen=seen)
    field = _field(answer, answer.field, seen=seen)
    return replace(answer, field=field, standing=standing, around=None, watched=None)


def _field(answer: Answer, field: RingField | Field, *, seen: bool) -> Field:
    """What is told of a field, and if it is to be seen its stress: to be drawn, so in half the
    digits.
    """
    stress: Any = np.zeros((0, 6))
    if seen:
        stress = field.stress_at(answer.verdict.governing.theta).astype(np.float32)
    return Field(answer.case, np.zeros((0, 2)), stress, field.evidence, field.assumes)


def _dent(found: Dent) -> Dent:
    steps = Path(_GONE, found.free.path.steps, (), _GONE)
    lighter = Dent(_GONE, found.view, Curve(steps))
    vars(lighter).update(cracks_mm=found.cracks_mm, length_mm=found.length_mm)
    return lighter
