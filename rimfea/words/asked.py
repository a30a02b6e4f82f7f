"""What the questions beside `analyse` answer, as JSON text: in mm, N, MPa and g, and what would be
infinite is null. Outcomes go by their key, and each says the name that a builder asks for it by.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from rimfea.ask.choose import Candidate, Choice, holds, margin, pressure_margin, tension_margin
from rimfea.ask.design import Design
from rimfea.ask.reconcile import Reconciled
from rimfea.ask.wear import Wear
from rimfea.ask.worth import Worth
from rimfea.profile.uncertainty import COVERAGE
from rimfea.study.outcome import OUTCOMES, outcomes
from rimfea.study.ride import Ride
from rimfea.vary.tap import Hearing, Tap, Tone
from rimfea.vary.unsawn import Unsawn
from rimfea.words.outcomes import outcomes_data
from rimfea.words.plain import as_text, heading, known


def worth_json(found: Worth) -> str:
    """Slopes of all outcomes by all dimensions, and how well both are known (k = 2)."""
    slopes, trials = found.slopes, found.trials
    doubts = zip(slopes.keys, slopes.lengths.standard, strict=True)
    data = {
        **heading("rimfea worth 1"),
        "rim": slopes.sheet.name,
        "outcomes": outcomes_data(),
        "value": {each.key: known(slopes.value(each.key)) for each in OUTCOMES},
        "expanded": {
            each.key: None if each.rough else known(slopes.expanded(each.key)) for each in OUTCOMES
        },
        "expanded_by_trial": trials
        and dict(
            zip(
                (each.key for each in OUTCOMES),
                (known(COVERAGE * float(each)) for each in trials.standard),
                strict=True,
            )
        ),
        "dimensions": [
            {
                "key": key,
                "expanded_mm": COVERAGE * doubt,
                "per_mm": {each.key: known(slopes.per_mm(key, each.key)) for each in OUTCOMES},
                "per_gram": {each.key: known(slopes.per_gram(key, each.key)) for each in OUTCOMES},
            }
            for key, doubt in doubts
        ],
        "left_out": slopes.left_out,
    }
    return as_text(data)


def wear_json(found: Wear) -> str:
    """The limit, and stress and pressures by thickness; ``done`` if not even today's will do."""
    columns = ("membrane_MPa", "bending_MPa", "peak_MPa", "first_yield_MPa", "hinge_MPa")
    data = {
        **heading("rimfea wear 1"),
        "rim": found.sheet.name,
        "pressure_MPa": found.air.pressure_MPa,
        "tyre_width_mm": found.air.tyre_width_mm,
        "tension_N": found.tension.tension_N,
        "margin": found.margin,
        "today_mm": found.today_mm,
        "mark_mm": found.mark_mm,
        "limit_mm": found.limit_mm,
        "done": not found.limit_mm < found.today_mm,
        "yields_mm": found.yields_mm,
        "hinge_mm": found.hinge_mm,
        "at": [
            {"thickness_mm": mm, **{name: float(getattr(found, name)[k]) for name in columns}}
            for k, mm in enumerate(found.thickness_mm.tolist())
        ],
    }
    return as_text(data)


def reconcile_json(found: Reconciled) -> str:
    """How it ended, what was measured of the whole hoop, what is changed, and what scales and tones
    tell of the walls that nobody measured.
    """
    data = {
        **heading("rimfea reconcile 1"),
        "rim": found.before.name,
        "ending": found.ending.name.lower().replace("_", " "),
        "held": found.held,
        "changes": [{"share": each.share, **vars(each)} for each in found.changes],
        "free": found.free,
        "unsawn": _unsawn(found.unsawn),
    }
    return as_text(data)


def tap_json(found: Tap) -> str:
    """The tones to expect, those heard with the place of what each is, and what they tell."""
    data = heading("rimfea tap 1")
    data["units"]["frequency"] = "Hz"
    data |= {
        "rim": found.sheet.name,
        "tones": [_tone(found, tone) for tone in found.tones],
        "heard": [_hearing(each) for each in found.heard],
        "misfit": known(found.misfit),
        "agrees": found.agrees if found.pairs else None,
        "numbers": [
            {
                "key": hint.key,
                "sheet": hint.sheet,
                "moved": hint.moved,
                "expanded_before": hint.before,
                "expanded": hint.after,
            }
            for hint in found.hints
        ],
        "left_out": found.left_out,
    }
    return as_text(data)


def choice_json(found: Choice) -> str:
    """The pair, and every rim at both ends, the best first."""
    data = {
        **heading("rimfea choose 1"),
        "setup": found.front.front.setup,
        "front": found.front.name,
        "rear": found.rear.name,
        "holds": found.holds,
        "mass_g": found.mass_g,
        "saved_g": found.saved_g,
        "outcomes": outcomes_data(),
        "ranked": [_candidate(each) for each in found.ranked],
        "left_out": found.left_out,
    }
    return as_text(data)


def design_json(found: Design) -> str:
    """The rim before and after, and what stopped the search."""
    was, now = _known(found.was), _known(found.now)
    data = {
        **heading("rimfea design 1"),
        "rim": found.before.ride.analysis.sheet.name,
        "best": found.aim.best,
        "keep": found.aim.keep,
        "outcomes": outcomes_data(),
        "before": was,
        "after": now,
        "changes": [{"share": each.share, **vars(each)} for each in found.changes],
        "margins": [
            {"outcome": key, "wall": wall, "margin": share}
            for (key, wall), share in found.margins.items()
        ],
        "thinnest": found.thinnest,
        "thickest": found.thickest,
        "left_out": found.left_out,
        "trials": found.trials,
        "converged": found.converged,
    }
    return as_text(data)


def _tone(found: Tap, tone: Tone) -> dict[str, Any]:
    return {
        "hertz": tone.hertz,
        "expanded_hertz": tone.expanded,
        "moves": tone.kind,
        "waves": tone.waves,
        "tap_mm_from_string": found.sheet.seat_radius_mm * tone.aside,
    }


def _hearing(heard: Hearing) -> dict[str, Any]:
    return {"hertz": heard.hertz, "tone": heard.place, "or_tones": heard.others}


def _unsawn(found: Unsawn) -> dict[str, Any]:
    """Walls with their guess, what is told of it and its ± (k = 2), and what each further reading
    would leave of that.
    """
    return {
        "by_scales": found.weighs,
        "by_tones": found.hears,
        "walls": [
            {
                "key": each.key,
                "sheet_mm": each.sheet,
                "moved_mm": each.moved,
                "expanded_before_mm": each.before,
                "expanded_mm": each.after,
            }
            for each in found.walls
        ],
        "hardly_told_apart": found.alike,
        "readings": [
            {"key": gain.key, "expanded_mm": dict(zip(found.keys, gain.after, strict=True))}
            for gain in (found.gains if found.walls else ())
        ],
    }


def _candidate(rim: Candidate) -> dict[str, Any]:
    return {
        "rim": rim.name,
        "mass_g": rim.mass_g,
        "holds": rim.holds,
        "margin": rim.margin,
        "wheels": [
            {
                "wheel": wheel.end,
                "holds": holds(wheel),
                "margin": margin(wheel),
                "pressure_margin": pressure_margin(wheel),
                "tension_margin": tension_margin(wheel),
                "needed_pressure_MPa": wheel.needed_MPa,
                "outcomes": _known(wheel),
            }
            for wheel in rim.wheels
        ],
    }


def _known(ride: Ride) -> Mapping[str, float | None]:
    """Its outcomes; what nobody asked for is null, as what is infinite is."""
    return {key: None if math.isnan(value) else value for key, value in outcomes(ride).items()}
