"""One rim tried on the bench: opened, dragged, worked out; its sheet and set-up for a file."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any

from rimfea.files.setup_toml import setup_text
from rimfea.files.sheet_toml import sheet_text
from rimfea.profile.build import outline
from rimfea.traced.jaws import jaws
from rimfea.web.asked import number_in, text_in
from rimfea.web.bench import (
    DIGITS,
    Bench,
    Tried,
    draft_of,
    kept_ride_of,
    measured,
    ride_of,
    setup_of,
    sheet_of,
    sliders,
    steps_of,
    track_of,
)
from rimfea.web.payload import (
    told_of_dent,
    told_of_draft,
    told_of_drawing,
    told_of_ride,
    told_of_slider,
)
from rimfea.web.remarks import remarks_of, with_remarks
from rimfea.web.which import file_name, key_in, tried_in


def opened(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """A rim's sliders, those of its sheet, at the sizes tried, and its drawing."""
    tried = tried_in(on, asked)
    now = sheet_of(on, tried)
    shown = [told_of_slider(each) for each in sliders(measured(on, tried))]
    values = {each["key"]: getattr(now, str(each["key"])) for each in shown}
    shape = outline(now)
    return {
        "sliders": shown,
        "values": values,
        "note": now.note,
        "family": str(now.family),
        "drawing": told_of_drawing(shape, jaws(now, shape)),
    }


def ready(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Whatever drafts along one slider need, worked out beforehand."""
    tried = tried_in(on, asked)
    track_of(on, tried, key_in(on, tried, asked["key"]))
    return {"ready": asked["key"]}


def draft(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """A rim with one dimension dragged: quick, with its error."""
    tried = tried_in(on, asked)
    key, value = key_in(on, tried, asked["key"]), number_in("value", asked["value"])
    return _but_known_mesh(_kept_draft(on, tried, key, value), asked)


def next_drafts(on: Bench, body: bytes) -> Iterator[Callable[[], object]]:
    """What a hand asks next that has just taken hold of a dimension: drafts along it, the nearest
    first; ``body`` is that of the request which made them ready.
    """
    asked = json.loads(body)
    tried, key = tried_in(on, asked), str(asked["key"])
    for value in steps_of(on, tried, key):
        yield partial(_kept_draft, on, tried, key, value)


def _kept_draft(on: Bench, tried: Tried, key: str, value_mm: float) -> Mapping[str, Any]:
    """The draft with that dimension so large, worked out once."""

    def made() -> dict[str, Any]:
        sheet_of(on, tried.with_wall(key, value_mm))  # all faults, before any work
        return told_of_draft(draft_of(on, tried, key, value_mm), key)

    return on.drafts.get((tried, key, round(value_mm, DIGITS)), made)


def _but_known_mesh(told: Mapping[str, Any], asked: Mapping[str, Any]) -> dict[str, Any]:
    """Without the triangles where the page has them."""
    known = told["mesh"] == text_in("mesh", asked.get("mesh", ""))
    return {key: value for key, value in told.items() if not (known and key == "triangles")}


def fine(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The rim tried, on a fine mesh."""
    tried = tried_in(on, asked)
    told = on.answers.get(tried, lambda: told_of_ride(kept_ride_of(on, tried)))
    return _but_known_mesh(told, asked)


def seen(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """A rim that another is seen against: its faces and numbers. What was solved is not kept, for
    nobody asks for its dent next.
    """
    tried = tried_in(on, asked)
    told = on.answers.get(tried, lambda: told_of_ride(on.rides.there(tried) or ride_of(on, tried)))
    return {key: told[key] for key in ("rings", "numbers")}


def dent(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What dent the blow leaves on the rim tried: some times the work of a fine answer."""
    tried = tried_in(on, asked)
    return dict(on.answers.get(("dent", tried), lambda: told_of_dent(kept_ride_of(on, tried))))


def setup(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The set-up as tried, for a file."""
    name = text_in("name", asked["name"]).strip() or "own"
    own = setup_of(on, tried_in(on, asked)).varied(name=name)
    text = setup_text(own, "Set-up: who rides what over what. All else is as usual.")
    return {"name": f"{file_name(name)}.toml", "text": text}


def sheet(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The rim tried, for a file."""
    tried = tried_in(on, asked)
    walls = ", ".join(f"{key} = {value:g}" for key, value in tried.changes)
    heading = f"{tried.rim}, tried on the page" + (f": {walls}" if walls else "")
    text = with_remarks(
        sheet_text(sheet_of(on, tried), heading), remarks_of(asked.get("sheet", ""))
    )
    return {"name": f"{tried.rim}-tried.toml", "text": text}
