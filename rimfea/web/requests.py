"""Requests of the page and their answers: bytes in, plain data out, no server."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from types import MappingProxyType
from typing import Any, NoReturn

from rimfea.ask.fit import rated
from rimfea.ask.trace import Traced
from rimfea.errors import RimfeaError, SheetError, describe
from rimfea.files.section import WRITERS, read_section
from rimfea.files.sheet_toml import sheet_text
from rimfea.profile.pieces import Piece
from rimfea.report.page import as_html, rim_report
from rimfea.study.setup import End
from rimfea.web.bench import (
    Bench,
    Tried,
    draft_of,
    kept_ride_of,
    ride_of,
    sheet_of,
    sliders,
    track_of,
    whole_ride_of,
)
from rimfea.web.payload import told_of_dent, told_of_draft, told_of_ride, told_of_slider
from rimfea.words.data import as_json
from rimfea.words.fit import fit_words
from rimfea.words.numbers import Units

LARGEST = 256 * 1024
LONGEST_TEXT = 200
LARGEST_NUMBER = 1e6
# What no section shows: size, spokes and metal.
OF_THE_WHEEL = (*Piece.SIZE.keys, *Piece.SPOKES.keys, *Piece.ALLOY.keys, *Piece.JOINT.keys)
WHICH = ("rim", "setup", "wheel", "changes")


@dataclass(frozen=True)
class Reply:
    """The status of the answer and its data."""

    status: int
    data: Mapping[str, Any]


class RequestError(Exception):
    """A request that is not understood: the status and why."""

    def __init__(self, status: int, problem: str) -> None:
        super().__init__(problem)
        self.status = status


def answered(on: Bench, what: str, body: bytes) -> Reply:
    """The answer to one request; what is wrong with it is an answer as well."""
    try:
        asked = _request(what)
        return Reply(200, asked.answer(on, understood(body, asked.keys, asked.optional)))
    except RequestError as error:
        return Reply(error.status, {"problem": str(error)})
    except SheetError as error:
        told = [
            {"key": fault.field, "told": describe(fault, error.source)} for fault in error.faults
        ]
        return Reply(422, {"problem": str(error), "faults": told})
    except RimfeaError as error:
        return Reply(422, {"problem": str(error)})


def understood(body: bytes, keys: tuple[str, ...], optional: tuple[str, ...]) -> dict[str, Any]:
    """The values of a request by key. Raises :class:`RequestError` where it is too large, is no
    JSON, or has other keys than those.
    """
    if len(body) > LARGEST:
        raise RequestError(413, f"a request may have {LARGEST // 1024} kB")
    try:
        asked = json.loads(body, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        raise RequestError(400, f"cannot be read as JSON: {error}") from None
    if not isinstance(asked, dict):
        raise RequestError(400, "a request is an object with keys")
    unknown = [key for key in asked if key not in (*keys, *optional)]
    missing = [key for key in keys if key not in asked]
    if unknown or missing:
        told = [f"no such key: {key[:40]}" for key in unknown]
        raise RequestError(400, "; ".join([*told, *(f"{key} is missing" for key in missing)]))
    return asked


def _open(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """A rim's sliders: those of its sheet, at the thicknesses tried."""
    tried = _tried(on, asked)
    now = sheet_of(on, tried)
    shown = [told_of_slider(each) for each in sliders(on.sheets[tried.rim])]
    values = {each["key"]: getattr(now, str(each["key"])) for each in shown}
    return {"sliders": shown, "values": values, "note": now.note, "family": str(now.family)}


def _ready(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Whatever drafts along one slider need, worked out beforehand."""
    tried = _tried(on, asked)
    track_of(on, tried, _key(on, tried, asked["key"]))
    return {"ready": asked["key"]}


def _draft(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    tried = _tried(on, asked)
    key, value = _key(on, tried, asked["key"]), _number("value", asked["value"])
    sheet_of(on, tried.with_wall(key, value))  # all faults, before any work
    return told_of_draft(draft_of(on, tried, key, value), _text("mesh", asked.get("mesh", "")))


def _fine(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    tried = _tried(on, asked)
    told = on.answers.get(tried, lambda: told_of_ride(kept_ride_of(on, tried), ""))
    known = told["mesh"] == _text("mesh", asked.get("mesh", ""))
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
    found = rated(_section(asked["name"], asked["text"]), name=own.name, **given)
    ridden = ride_of(on, tried, found.sheet)
    return told_of_ride(ridden, "") | {"traced": fit_words(found)}


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
    optional: tuple[str, ...] = ()


REQUESTS: Mapping[str, Request] = MappingProxyType(
    {
        "open": Request(_open),
        "ready": Request(_ready, (*WHICH, "key")),
        "draft": Request(_draft, (*WHICH, "key", "value"), ("mesh",)),
        "fine": Request(_fine, WHICH, ("mesh",)),
        "dent": Request(_dent),
        "traced": Request(_traced, (*WHICH, "name", "text")),
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
    rim, setup, wheel = (_text(key, asked[key]) for key in ("rim", "setup", "wheel"))
    for what, name, there in (
        ("rim", rim, on.sheets),
        ("set-up", setup, on.setups),
        ("wheel", wheel, list(End)),
    ):
        if name not in there:
            raise RequestError(404, f"there is no {what} {name!r}; there are: {', '.join(there)}")
    if not isinstance(asked["changes"], dict):
        raise RequestError(400, "changes: an object of thicknesses by key")
    tried = Tried(rim, setup, End(wheel))
    for key, value in asked["changes"].items():
        tried = tried.with_wall(_key(on, tried, key), _number(key, value))
    return tried


def _key(on: Bench, tried: Tried, key: object) -> str:
    keys = [each.key for each in sliders(on.sheets[tried.rim])]
    if key not in keys:
        raise RequestError(
            400, f"{_cut(key)}: not a wall of {tried.rim}; there are: {', '.join(keys)}"
        )
    return str(key)


def _text(what: str, value: object) -> str:
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise RequestError(400, f"{what}: a text is wanted, not {_cut(value)}")
    return value


def _number(what: str, value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise RequestError(400, f"{what}: a number is wanted, not {_cut(value)}")
    if not abs(value) <= LARGEST_NUMBER:
        raise RequestError(400, f"{what}: too large")
    return float(value)


def _section(name: object, text: object) -> Traced:
    """The section in the text of a drawing; ``name`` is that of its file."""
    ending = Path(_text("name", name)).suffix.lower()
    if ending not in WRITERS:
        raise RequestError(
            400, f"{name}: open a drawing: {', '.join(WRITERS)}; a scan is for rimfea trace"
        )
    if not isinstance(text, str):
        raise RequestError(400, "text: what stands in the drawing")
    with TemporaryDirectory() as folder:  # readers know files alone
        path = Path(folder) / f"section{ending}"
        path.write_text(text, encoding="utf-8")
        try:
            return read_section(path)
        except RimfeaError as error:
            told = str(error).replace(str(path), str(name))
            raise RequestError(422, told) from None


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number")


def _cut(value: object) -> str:
    return repr(value)[:60]
