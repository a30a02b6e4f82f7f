"""Set-ups as the page shows them: fields in groups, values by key, and the lessons."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict
from types import MappingProxyType

from rimfea.files.demo import names
from rimfea.profile.field import Field, Kind
from rimfea.strike.tyre import OBSTACLES
from rimfea.study.setup import FIELDS, Setup
from rimfea.web.bench import Bench
from rimfea.web.lessons import lessons

GROUPS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "rider": ("rider_kg", "bike_kg", "luggage_kg"),
        "air and tyre": ("front_pressure_bar", "rear_pressure_bar", "tyre_width_mm"),
        "ground": ("obstacle", "radius_mm", "step_mm", "speed_km_h", "drop_mm"),
        "spokes": (
            *("front_tension_N", "rear_tension_N", "front_right_mm", "front_left_mm"),
            *("rear_right_mm", "rear_left_mm"),
        ),
    }
)
OTHERS = "what else is assumed"
LESSON_SETUP = "gravel"


def told_of_setups(on: Bench) -> dict[str, object]:
    """The fields of a set-up in groups, and what each set-up has in them."""
    grouped = {key for keys in GROUPS.values() for key in keys}
    rest = [field.key for field in FIELDS if field.key not in {*grouped, "name", "note"}]
    by_key = {field.key: field for field in FIELDS}
    return {
        "groups": [
            {"title": title, "fields": [_told(by_key[key]) for key in keys]}
            for title, keys in (*GROUPS.items(), (OTHERS, rest))
        ],
        "values": {name: _values(setup) for name, setup in on.setups.items()},
    }


def told_of_lessons(on: Bench) -> dict[str, object]:
    """The lessons, step by step, with the sheets of their rims that are not on the bench."""
    needed = {rim for each in lessons() for step in each.steps for rim in (step.rim, *step.others)}
    files = names()
    texts = {
        name: files[name].read_text(encoding="utf-8") for name in sorted(needed - set(on.sheets))
    }
    return {
        "lessons": [asdict(each) for each in lessons()],
        "lesson_setup": LESSON_SETUP,
        "lesson_rims": texts,
    }


def _told(field: Field) -> dict[str, object]:
    told: dict[str, object] = {
        "key": field.key,
        "word": _word(field),
        "unit": field.unit,
        "meaning": field.meaning,
    }
    if field.kind is Kind.TEXT:
        return {**told, "choices": list(OBSTACLES)}
    told["usual"] = "" if field.default is not None else field.meaning.partition("else ")[2]
    return {**told, "low": field.low, "high": field.high}


def _word(field: Field) -> str:
    """What a field is called where only the fields of one wheel are in sight."""
    plain = field.key.removesuffix(f"_{field.unit.replace('/', '_')}")
    own = plain if plain == "front_share" else re.sub("^(front|rear)_", "", plain)
    return f"{own} flange" if own in {"right", "left"} else own.replace("_", " ")


def _values(setup: Setup) -> dict[str, object]:
    return {
        field.key: getattr(setup, field.key)
        for field in FIELDS
        if field.key not in {"name", "note"}
    }
