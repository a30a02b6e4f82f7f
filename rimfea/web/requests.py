"""Requests of the page and their answers: bytes in, plain data out, no server."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from rimfea.ask.fit import rated
from rimfea.errors import RimfeaError, SheetError
from rimfea.files.sheet_toml import parse_sheet, sheet_text
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.moved import dimensions
from rimfea.profile.pieces import Piece
from rimfea.profile.sheet import Sheet
from rimfea.report.page import as_html, rim_report
from rimfea.study.setup import End
from rimfea.web.asked import (
    LONGEST_TEXT,
    RequestError,
    cut,
    long_text,
    number_in,
    section_in,
    sheet_in,
    text_in,
    understood,
)
from rimfea.web.bench import (
    Bench,
    Tried,
    draft_of,
    kept_ride_of,
    measured,
    ride_of,
    sheet_of,
    sliders,
    track_of,
    whole_ride_of,
)
from rimfea.web.form import entries_of, told_of_entries, told_of_fields
from rimfea.web.payload import (
    told_of_dent,
    told_of_draft,
    told_of_fault,
    told_of_ride,
    told_of_slider,
)
from rimfea.words.data import as_json
from rimfea.words.fit import fit_words
from rimfea.words.glossary import said_in
from rimfea.words.keys import in_words
from rimfea.words.numbers import Units

# What no section shows: size, spokes and metal.
OF_THE_WHEEL = (*Piece.SIZE.keys, *Piece.SPOKES.keys, *Piece.ALLOY.keys, *Piece.JOINT.keys)
WHICH = ("rim", "setup", "wheel", "changes")
OWN = ("sheet",)  # beside these: the text of a sheet that is not on the bench


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
    """A rim's sliders: those of its sheet, at the thicknesses tried."""
    tried = _tried(on, asked)
    now = sheet_of(on, tried)
    shown = [told_of_slider(each) for each in sliders(measured(on, tried))]
    values = {each["key"]: getattr(now, str(each["key"])) for each in shown}
    return {"sliders": shown, "values": values, "note": now.note, "family": str(now.family)}


def _ready(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Whatever drafts along one slider need, worked out beforehand."""
    tried = _tried(on, asked)
    track_of(on, tried, _key(on, tried, asked["key"]))
    return {"ready": asked["key"]}


def _draft(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    tried = _tried(on, asked)
    key, value = _key(on, tried, asked["key"]), number_in("value", asked["value"])
    sheet_of(on, tried.with_wall(key, value))  # all faults, before any work
    mesh = text_in("mesh", asked.get("mesh", ""))
    return told_of_draft(draft_of(on, tried, key, value), mesh, key)


def _fine(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    tried = _tried(on, asked)
    told = on.answers.get(tried, lambda: told_of_ride(kept_ride_of(on, tried), ""))
    known = told["mesh"] == text_in("mesh", asked.get("mesh", ""))
    return {key: value for key, value in told.items() if not (known and key == "triangles")}


def _dent(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What dent the blow leaves on the rim tried: some times the work of a fine answer."""
    tried = _tried(on, asked)
    return dict(on.answers.get(("dent", tried), lambda: told_of_dent(kept_ride_of(on, tried))))


def _traced(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """A section from a drawing, with everything but its shape from the rim tried."""
    tried = _tried(on, asked)
    own = sheet_of(on, tried)
    given = {key: getattr(own, key) for key in OF_THE_WHEEL if key not in own.assumed}
    traced = section_in(asked["name"], asked["text"], asked.get("unit"))
    found = rated(traced, name=own.name, **given)
    ridden = ride_of(on, tried, found.sheet)
    kept = {} if found.sheet.section else {"sheet": sheet_text(found.sheet, "Traced on the page")}
    return told_of_ride(ridden, "") | {"traced": fit_words(found)} | kept


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
    tried = _tried(on, asked)
    walls = ", ".join(f"{key} = {value:g}" for key, value in tried.changes)
    heading = f"{tried.rim}, tried on the page" + (f": {walls}" if walls else "")
    return {"name": f"{tried.rim}-tried.toml", "text": sheet_text(sheet_of(on, tried), heading)}


def _answers(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    tried = _tried(on, asked)
    ridden = whole_ride_of(on, tried)
    return {"name": f"{tried.rim}.json", "text": as_json([ridden.analysis], [ridden])}


def _report(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    tried = _tried(on, asked)
    ridden, today = whole_ride_of(on, tried), datetime.now().astimezone().date()
    told = rim_report(ridden.analysis, [ridden], Units(), today)
    return {"name": f"{tried.rim}.html", "text": as_html(told)}


@dataclass(frozen=True)
class Request:
    """One kind of request: the keys that it must and may have, and what answers it."""

    answer: Callable[[Bench, Mapping[str, Any]], dict[str, Any]]
    keys: tuple[str, ...] = WHICH
    optional: tuple[str, ...] = OWN


REQUESTS: Mapping[str, Request] = MappingProxyType(
    {
        "open": Request(_open),
        "ready": Request(_ready, (*WHICH, "key")),
        "draft": Request(_draft, (*WHICH, "key", "value"), (*OWN, "mesh")),
        "fine": Request(_fine, WHICH, (*OWN, "mesh")),
        "dent": Request(_dent),
        "traced": Request(_traced, (*WHICH, "name", "text"), (*OWN, "unit")),
        "explain": Request(_explain, ("text",), ()),
        "form": Request(_form, ("family",), ()),
        "entered": Request(_entered, ("entries", "guessed"), ()),
        "entries": Request(_entries, ("name", "text"), ()),
        "sheet": Request(_sheet),
        "answers": Request(_answers),
        "report": Request(_report),
    }
)


def _request(what: str) -> Request:
    if what not in REQUESTS:
        raise RequestError(404, f"there is no request {what[:LONGEST_TEXT]}")
    return REQUESTS[what]


def _tried(on: Bench, asked: Mapping[str, Any]) -> Tried:
    rim, setup, wheel = (text_in(key, asked[key]) for key in ("rim", "setup", "wheel"))
    own = _own(sheet_in(asked["sheet"]), rim) if "sheet" in asked else None
    for what, name, there in (
        ("rim", rim, [rim] if own else on.sheets),
        ("set-up", setup, on.setups),
        ("wheel", wheel, list(End)),
    ):
        if name not in there:
            raise RequestError(404, f"there is no {what} {name!r}; there are: {', '.join(there)}")
    if not isinstance(asked["changes"], dict):
        raise RequestError(400, "changes: an object of lengths by key")
    tried = Tried(rim, setup, End(wheel), own=own)
    for key, value in asked["changes"].items():
        tried = tried.with_wall(_key(on, tried, key), number_in(key, value))
    return tried


def _key(on: Bench, tried: Tried, key: object) -> str:
    keys = dimensions(measured(on, tried))
    if key not in keys:
        told = f"not a dimension of {tried.rim}; there are: {', '.join(keys)}"
        raise RequestError(400, f"{cut(key)}: {told}")
    return str(key)


@lru_cache(32)
def _own(text: str, name: str) -> Sheet:
    return parse_sheet(text, name)
