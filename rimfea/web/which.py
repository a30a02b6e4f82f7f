"""Which rims, on which wheel of which set-up, a request is about."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

from rimfea.files.sheet_toml import parse_sheet
from rimfea.profile.moved import dimensions
from rimfea.profile.sheet import Sheet
from rimfea.study.setup import BY_KEY, End
from rimfea.web.asked import RequestError, cut, number_in, sheet_in, text_in
from rimfea.web.bench import Bench, Tried, free_name, measured, setup_of

WHICH = ("rim", "setup", "wheel", "changes")
# Beside these: the text of a sheet that is not on the bench, and other values of the set-up.
ALSO = ("sheet", "ridden")
MOST_RIMS = 6  # side by side


def tried_in(on: Bench, asked: Mapping[str, Any]) -> Tried:
    """The rim of a request, as it is tried. Raises :class:`~rimfea.web.asked.RequestError` for a
    name that is not there.
    """
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
    tried = Tried(rim, setup, End(wheel), own=own, ridden=_ridden(asked.get("ridden", {})))
    for key, value in asked["changes"].items():
        tried = tried.with_wall(key_in(on, tried, key), number_in(key, value))
    setup_of(on, tried)  # all its faults
    return tried


def beside_in(on: Bench, asked: Mapping[str, Any]) -> list[Tried]:
    """The rim of a request and the ``others`` beside it, all on the same wheel, by names that tell
    them apart.
    """
    first, others = tried_in(on, asked), asked["others"]
    if not isinstance(others, list) or not 0 < len(others) < MOST_RIMS:
        raise RequestError(400, f"others: a list of one to {MOST_RIMS - 1} rims")
    shared = {key: asked[key] for key in ("setup", "wheel", "ridden") if key in asked}
    found = [first]
    for each in others:
        if not isinstance(each, dict) or not {"rim"} <= set(each) <= {"rim", "sheet"}:
            raise RequestError(400, "others: each has a rim, and may have a sheet")
        tried = tried_in(on, {"changes": {}, **shared, **each})
        found.append(_named_apart(on, tried, [measured(on, other).name for other in found]))
    return found


def key_in(on: Bench, tried: Tried, key: object) -> str:
    """A dimension of that rim."""
    keys = dimensions(measured(on, tried))
    if key not in keys:
        told = f"not a dimension of {tried.rim}; there are: {', '.join(keys)}"
        raise RequestError(400, f"{cut(key)}: {told}")
    return str(key)


def file_name(name: str) -> str:
    """A name that every computer takes for a file."""
    return re.sub(r"[^\w-]+", "-", name).strip("-") or "own"


def _named_apart(on: Bench, tried: Tried, names: Sequence[str]) -> Tried:
    """The same by a name that none of the others has."""
    own = measured(on, tried)
    free = free_name(own.name, names)
    return tried if free == own.name else replace(tried, own=own.varied(name=free))


def _ridden(told: object) -> tuple[tuple[str, float | str], ...]:
    """Other values of a set-up's keys, in order."""
    if not isinstance(told, dict):
        raise RequestError(400, "ridden: an object of values by key")
    unknown = [key for key in told if key not in BY_KEY]
    if unknown:
        raise RequestError(400, f"ridden: a set-up has no {cut(unknown[0])}")
    return tuple(
        sorted((key, _value(key, value)) for key, value in told.items() if value is not None)
    )


def _value(key: str, value: object) -> float | str:
    return text_in(key, value) if isinstance(value, str) else number_in(key, value)


@lru_cache(32)
def _own(text: str, name: str) -> Sheet:
    return parse_sheet(text, name)
