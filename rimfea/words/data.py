"""The answers as plain data, for programs that read on: always in mm, N, MPa and g."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from importlib import resources
from typing import Any

from rimfea.profile.field import Field, Kind
from rimfea.profile.fields import FIELDS
from rimfea.profile.sheet import Sheet
from rimfea.section.properties import Section
from rimfea.stress.walls import WallStress
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.study.cases import Loading
from rimfea.study.outcome import OUTCOMES
from rimfea.study.ride import Ride
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words.plain import as_text, heading, known, plain
from rimfea.words.rides import assumptions, event_words

SCHEMA = "rimfea answers 1"
"""Name and version of the form; the version grows when a reader would have to change."""


def answers(
    analyses: Sequence[Analysis], rides: Sequence[Ride] = (), doubts: Sequence[Sensitivity] = ()
) -> dict[str, object]:
    """All rims as dicts, lists, texts and finite numbers, in the form of :func:`schema`, with the
    rides of them and how well their measurements pin them down, if there are any.

    What would be infinite (the load at which a wall without stress yields) is None. All rims
    must be under one loading; raises ValueError otherwise. ``loading`` is left out when no rim
    was loaded.
    """
    loadings = {each.loading for each in analyses if each.answers}
    if len(loadings) > 1:
        raise ValueError("rims side by side must be under the same loading")
    told: dict[str, object] = plain(
        {
            **heading(SCHEMA),
            **({"loading": _loading(loadings.pop())} if loadings else {}),
            "rims": [_rim(each) for each in analyses],
            **({"rides": [_ride(each) for each in rides]} if rides else {}),
            **({"doubts": [_doubts(each) for each in doubts]} if doubts else {}),
        }
    )
    return told


def as_json(
    analyses: Sequence[Analysis], rides: Sequence[Ride] = (), doubts: Sequence[Sensitivity] = ()
) -> str:
    """The same as JSON text; raises ValueError as :func:`answers`."""
    return as_text(answers(analyses, rides, doubts))


def schema() -> dict[str, object]:
    """The JSON Schema (2020-12) of the answers, with the unit of every number."""
    file = resources.files("rimfea.words") / "answers-1.schema.json"
    loaded: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    keys = loaded["$defs"]["rim"]["properties"]["sheet"]
    keys["properties"] = {field.key: _described(field) for field in FIELDS}
    keys["required"] = list(keys["properties"])
    return loaded


def _described(field: Field) -> dict[str, object]:
    """One key of the sheet, as JSON Schema."""
    if field.kind is Kind.KEYS:
        return {"description": field.meaning, "type": "array", "items": {"type": "string"}}
    kinds = {Kind.NUMBER: "number", Kind.COUNT: "integer"}
    whole = field.required or field.default is not None
    kind = kinds.get(field.kind, "string")
    unit = "a count" if field.kind is Kind.COUNT else field.unit
    if field.kind is Kind.NUMBER:
        unit = unit or "No unit"
    told = ", ".join(filter(None, [field.meaning, unit]))
    words = (
        {"enum": [*map(str, field.choices), *([] if whole else [None])]} if field.choices else {}
    )
    if whole:
        return {"description": told, "type": kind, **words}
    return {"description": f"{told}; null: {field.default_note}", "type": [kind, "null"], **words}


def _doubts(told: Sensitivity) -> dict[str, object]:
    return {
        "rim": told.sheet.name,
        "outcomes": [
            {
                "key": outcome.key,
                "title": outcome.title,
                "unit": outcome.unit,
                "value": known(told.value(outcome.key)),
                "expanded": known(told.expanded(outcome.key)),
                "mostly_from": told.worst(outcome.key),
            }
            for outcome in OUTCOMES
        ],
    }


def _loading(loading: Loading) -> dict[str, object]:
    return {
        "strike_N": loading.strike_N,
        "patch_mm": loading.patch_mm,
        "angle_deg": math.degrees(loading.angle),
        "tension_N": loading.tension_N,
        "pressure_MPa": loading.pressure_MPa,
        "tyre_width_mm": loading.tyre_width_mm,
        "wheel_N": loading.wheel_N,
        "contact_mm": loading.contact_mm,
    }


def _rim(analysis: Analysis) -> dict[str, object]:
    sheet = analysis.sheet
    return {
        "name": sheet.name,
        "note": sheet.note,
        "family": sheet.family,
        "alloy": sheet.metal,
        "sheet": {field.key: getattr(sheet, field.key) for field in FIELDS},
        "assumed": sheet.assumed,
        "readings": _readings(sheet),
        "section": _section(analysis.section),
        "hoop": analysis.hoop,
        "mass": _mass(analysis),
        "mesh": analysis.mesh.quality,
        "lacing": analysis.lacing,
        "wheel": _wheel(analysis),
        "cases": [_case(answer) for answer in analysis.answers],
        "governing": _governing(analysis.governing) if analysis.answers else None,
    }


def _readings(sheet: Sheet) -> dict[str, object]:
    return {
        key: {"values": taken.values, "tolerance_mm": taken.tolerance_mm}
        for key, taken in sheet.readings.items()
    }


def _section(section: Section) -> dict[str, object]:
    return {
        **plain(section),
        "principal_moments_mm4": section.principal_moments_mm4,
        "principal_angle_deg": math.degrees(section.principal_angle),
    }


def _mass(analysis: Analysis) -> dict[str, object]:
    check = analysis.mass_difference
    return {
        "computed_g": analysis.hoop.mass_g,
        "weighed_g": check and check.weighed_g,
        "difference_g": check and check.absolute_g,
        "difference_percent": check and check.percent,
    }


def _wheel(analysis: Analysis) -> dict[str, object] | None:
    built = analysis.wheel
    if built is None:
        return None
    return {
        "radial_N_mm": built.radial_N_mm,
        "radial_smeared_N_mm": built.radial_smeared_N_mm,
        "lateral_N_mm": built.lateral_N_mm,
        "torsional_N_m_rad": built.torsional_N_m_rad,
        "tension_N": built.tension_N,
        "air_change_N": built.air_change_N,
        "tension_change_N": built.tension_change_N,
        "turn_change_N": built.turn_change_N,
        "slack_load_N": built.slack_load_N,
        "inflation_loss": built.inflation_loss,
        "buckling_tension_N": built.buckling_tension_N,
        "buckling_waves": built.buckling_waves,
    }


def _case(answer: Answer) -> dict[str, object]:
    verdict = answer.verdict
    return {
        "name": answer.name,
        "source": answer.case.source,
        "load": answer.load,
        "load_unit": "MPa" if answer.is_pressure else "N",
        "governing": verdict.governing.wall,
        "runner_up": verdict.runner_up.wall,
        "margin": verdict.margin,
        "assumes": answer.field.assumes,
        "evidence": answer.evidence,
        "share_of_rim_mm": answer.share_of_rim_mm,
        "walls": [_wall(wall, answer) for wall in verdict.walls],
        "at_weld": answer.at_weld and _at_weld(answer.at_weld.governing, answer),
    }


def _at_weld(wall: WallStress, answer: Answer) -> dict[str, object]:
    return {
        "wall": wall.wall,
        "load_at_first_yield": answer.load_at(wall.first_yield),
    }


def _wall(wall: WallStress, answer: Answer) -> dict[str, object]:
    return {
        "wall": wall.wall,
        "thickness_mm": wall.thickness_mm,
        "first_yield": wall.first_yield,
        "hinge": wall.hinge,
        "load_at_first_yield": answer.load_at(wall.first_yield),
        "load_at_hinge": answer.load_at(wall.hinge),
        "membrane_MPa": wall.membrane_MPa,
        "bending_MPa": wall.bending_MPa,
        "hoop_MPa": wall.hoop_MPa,
        "peak_MPa": wall.peak_MPa,
        "growing_MPa": wall.growing_MPa,
        "reach_mm": wall.reach_mm,
        "around_deg": math.degrees(wall.theta),
        "cut": [wall.start, wall.end],
    }


def _governing(answer: Answer) -> dict[str, object]:
    wall = answer.verdict.governing
    return {
        "case": answer.name,
        "wall": wall.wall,
        "load_at_first_yield_N": answer.load_at(wall.first_yield),
    }


def _ride(ride: Ride) -> dict[str, object]:
    window, squeeze = ride.window, plain(ride.squeeze)
    squeeze.pop("pressure_MPa")
    return {
        "rim": ride.analysis.sheet.name,
        "wheel": ride.end,
        "setup": ride.setup,
        "case": ride.answer.name,
        "blow": {
            "mass_kg": ride.blow.mass_kg,
            "drop_mm": ride.blow.drop_mm,
            "energy_J": ride.blow.energy_J,
            "hook_N": ride.hook_N,
        },
        "ladder": _ladder(ride),
        "squeeze": squeeze,
        "seat": ride.seat,
        "window": {
            "lower": window.lower,
            "upper": window.upper,
            "target_N": window.target_N,
            "fits": window.fits,
        },
        "assumes": assumptions(),
    }


def _ladder(ride: Ride) -> dict[str, object]:
    ladder = ride.ladder
    soft = ladder.cushion
    return {
        "rim_stiffness_N_mm": ladder.stiffness_N_mm,
        "tyre_stiffness_N_mm": soft.stiffness_N_mm,
        "tyre_travel_mm": soft.travel_mm,
        "tyre_pressure_rise": soft.pressure_rise,
        "step_mm": ladder.step_mm,
        "rungs": [
            {
                "event": event_words(rung, ride.setup),
                "hook_N": rung.hook_N,
                "energy_J": rung.energy_J,
                "drop_mm": rung.drop_mm,
                "step_m_s": rung.step_m_s,
                "needed_MPa": pressure,
            }
            for rung, pressure in zip(ladder.rungs, ride.pressure_MPa, strict=True)
        ],
    }
