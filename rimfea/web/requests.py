"""Requests of the page and their answers: bytes in, plain data out, no server."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from types import MappingProxyType
from typing import Any

from rimfea.ask.fit import rated
from rimfea.ask.swaps import swaps
from rimfea.ask.tap import tap
from rimfea.errors import RimfeaError, SheetError
from rimfea.files.setup_toml import setup_text
from rimfea.files.sheet_toml import sheet_text
from rimfea.profile.build import outline
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.pieces import Piece
from rimfea.report.page import as_html, comparison_report, rim_report
from rimfea.study.analysis import inspect
from rimfea.traced.jaws import jaws
from rimfea.web.asked import (
    LONGEST_TEXT,
    RequestError,
    cut,
    long_text,
    number_in,
    numbers_in,
    section_in,
    sheet_in,
    text_in,
    understood,
)
from rimfea.web.bench import (
    DIGITS,
    Bench,
    Tried,
    draft_of,
    kept_ride_of,
    measured,
    ranked_of,
    ride_of,
    setup_of,
    sheet_of,
    sliders,
    steps_of,
    track_of,
    whole_ride_of,
)
from rimfea.web.form import entries_of, told_of_entries, told_of_fields
from rimfea.web.payload import (
    told_of_dent,
    told_of_draft,
    told_of_drawing,
    told_of_fault,
    told_of_ride,
    told_of_slider,
)
from rimfea.web.views import (
    around_view,
    beside_view,
    ranks_view,
    ride_view,
    swaps_view,
    told_of_view,
)
from rimfea.web.which import ALSO, WHICH, beside_in, file_name, key_in, tried_in
from rimfea.words.data import as_json
from rimfea.words.fit import fit_words
from rimfea.words.glossary import said_in
from rimfea.words.keys import in_words
from rimfea.words.numbers import Units

# What no section shows: size, spokes and metal.
OF_THE_WHEEL = (*Piece.SIZE.keys, *Piece.SPOKES.keys, *Piece.ALLOY.keys, *Piece.JOINT.keys)


@dataclass(frozen=True)
class Reply:
    """The status of the answer and its data."""

    status: int
    data: Mapping[str, Any]


def answered(on: Bench, what: str, body: bytes) -> Reply:
    """The answer to one request; what is wrong with it is an answer as well."""
    try:
        asked = _request(what)
        return Reply(200, asked.answer(on, understood(body, asked.keys, asked.optional)))
    except RequestError as error:
        wanted = {"wanted": error.wanted} if error.wanted else {}
        return Reply(error.status, {"problem": str(error), **wanted})
    except SheetError as error:
        told = [told_of_fault(fault) for fault in error.faults]
        return Reply(422, {"problem": in_words(str(error)), "faults": told})
    except RimfeaError as error:
        return Reply(422, {"problem": str(error)})


def _open(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
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


def _ready(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Whatever drafts along one slider need, worked out beforehand."""
    tried = tried_in(on, asked)
    track_of(on, tried, key_in(on, tried, asked["key"]))
    return {"ready": asked["key"]}


def _draft(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
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


def _fine(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    tried = tried_in(on, asked)
    told = on.answers.get(tried, lambda: told_of_ride(kept_ride_of(on, tried)))
    return _but_known_mesh(told, asked)


def _dent(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What dent the blow leaves on the rim tried: some times the work of a fine answer."""
    tried = tried_in(on, asked)
    return dict(on.answers.get(("dent", tried), lambda: told_of_dent(kept_ride_of(on, tried))))


def _ride(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """One wheel with all that is asked of it."""
    return told_of_view(ride_view(whole_ride_of(on, tried_in(on, asked))))


def _dented(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The same with the dent that the blow leaves: some times the work."""
    ridden = whole_ride_of(on, tried_in(on, asked))
    _ = ridden.found_dent
    return told_of_view(ride_view(ridden))


def _around(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """How far the blow is felt, and how the bare rim rings, with the tones ``heard`` of it."""
    tried = tried_in(on, asked)
    heard = numbers_in("heard", asked.get("heard", []))
    return told_of_view(around_view(kept_ride_of(on, tried), tap(sheet_of(on, tried), heard)))


def _beside(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Rims side by side, only looked at."""
    sheets = [sheet_of(on, each) for each in beside_in(on, asked)]
    return told_of_view(beside_view([inspect(each) for each in sheets]))


def _ranks(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Rims side by side in strength: each some times the work of a fine answer."""
    return told_of_view(ranks_view([ranked_of(on, each) for each in beside_in(on, asked)]))


def _comparison(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The report on rims side by side, as a page to mail."""
    found = [ranked_of(on, each) for each in beside_in(on, asked)]
    told = comparison_report(found, found[0], Units(), _today())
    return {"name": "side-by-side.html", "text": as_html(told)}


def _swaps(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Where the difference between two rims comes from."""
    together = beside_in(on, asked)
    if len(together) != 2:
        raise RequestError(400, "pieces are swapped between two rims: choose one other")
    base, other = (sheet_of(on, each) for each in together)
    setup, end = setup_of(on, together[0]), together[0].end
    return told_of_view(swaps_view(swaps(base, other, setup, end, dents=False, processes=1)))


def _setup(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The set-up as tried, for a file."""
    name = text_in("name", asked["name"]).strip() or "own"
    own = setup_of(on, tried_in(on, asked)).varied(name=name)
    text = setup_text(own, "Set-up: who rides what over what. All else is as usual.")
    return {"name": f"{file_name(name)}.toml", "text": text}


def _traced(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """A section from a drawing, with everything but its shape from the rim tried."""
    tried = tried_in(on, asked)
    own = sheet_of(on, tried)
    given = {key: getattr(own, key) for key in OF_THE_WHEEL if key not in own.assumed}
    traced = section_in(asked["name"], asked["text"], asked.get("unit"))
    found = rated(traced, name=own.name, **given)
    ridden = ride_of(on, tried, found.sheet)
    kept = {} if found.sheet.section else {"sheet": sheet_text(found.sheet, "Traced on the page")}
    return told_of_ride(ridden) | {"traced": fit_words(found)} | kept


def _form(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of a new sheet."""
    del on
    family = text_in("family", asked["family"])
    if family not in DRAWN:
        raise RequestError(404, f"family: one of {', '.join(DRAWN)}")
    return {"groups": told_of_fields(Family(family))}


def _entered(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What a new sheet makes as far as it is filled in."""
    del on
    entries, guessed = asked["entries"], asked["guessed"]
    if not isinstance(entries, dict) or not isinstance(guessed, list):
        raise RequestError(400, "entries: an object of texts by key; guessed: a list of keys")
    unknown = [key for key in (*entries, *guessed) if not isinstance(key, str) or key not in BY_KEY]
    if unknown:
        raise RequestError(400, f"no such key of a sheet: {cut(unknown[0])}")
    return told_of_entries({key: long_text(key, text) for key, text in entries.items()}, guessed)


def _entries(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What a sheet's file has for the fields of the form."""
    del on
    return entries_of(sheet_in(asked["text"]), text_in("name", asked["name"]))


def _explain(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What the words of a sentence mean."""
    del on
    terms = dict.fromkeys(said_in(long_text("text", asked["text"])))
    return {"terms": [str(term) for term in terms]}


def _sheet(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    tried = tried_in(on, asked)
    walls = ", ".join(f"{key} = {value:g}" for key, value in tried.changes)
    heading = f"{tried.rim}, tried on the page" + (f": {walls}" if walls else "")
    return {"name": f"{tried.rim}-tried.toml", "text": sheet_text(sheet_of(on, tried), heading)}


def _answers(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    tried = tried_in(on, asked)
    ridden = whole_ride_of(on, tried)
    return {"name": f"{tried.rim}.json", "text": as_json([ridden.analysis], [ridden])}


def _report(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    tried = tried_in(on, asked)
    ridden = whole_ride_of(on, tried)
    told = rim_report(ridden.analysis, [ridden], Units(), _today())
    return {"name": f"{tried.rim}.html", "text": as_html(told)}


def _today() -> date:
    return datetime.now().astimezone().date()


@dataclass(frozen=True)
class Request:
    """One kind of request: the keys that it must and may have, and what answers it."""

    answer: Callable[[Bench, Mapping[str, Any]], dict[str, Any]]
    keys: tuple[str, ...] = WHICH
    optional: tuple[str, ...] = ALSO


REQUESTS: Mapping[str, Request] = MappingProxyType(
    {
        "open": Request(_open),
        "ready": Request(_ready, (*WHICH, "key")),
        "draft": Request(_draft, (*WHICH, "key", "value"), (*ALSO, "mesh")),
        "fine": Request(_fine, WHICH, (*ALSO, "mesh")),
        "dent": Request(_dent),
        "traced": Request(_traced, (*WHICH, "name", "text"), (*ALSO, "unit")),
        "explain": Request(_explain, ("text",), ()),
        "form": Request(_form, ("family",), ()),
        "entered": Request(_entered, ("entries", "guessed"), ()),
        "entries": Request(_entries, ("name", "text"), ()),
        "ride": Request(_ride),
        "dented": Request(_dented),
        "around": Request(_around, WHICH, (*ALSO, "heard")),
        "beside": Request(_beside, (*WHICH, "others")),
        "ranks": Request(_ranks, (*WHICH, "others")),
        "comparison": Request(_comparison, (*WHICH, "others")),
        "swaps": Request(_swaps, (*WHICH, "others")),
        "sheet": Request(_sheet),
        "setup": Request(_setup, (*WHICH, "name")),
        "answers": Request(_answers),
        "report": Request(_report),
    }
)


def _request(what: str) -> Request:
    if what not in REQUESTS:
        raise RequestError(404, f"there is no request {what[:LONGEST_TEXT]}")
    return REQUESTS[what]
