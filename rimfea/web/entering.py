"""A rim that is typed in: the form, what it makes so far, and what its words mean."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from rimfea.profile.families import DRAWN, Family
from rimfea.profile.fields import BY_KEY
from rimfea.report.sketch import sketch
from rimfea.web.asked import RequestError, cut, long_text, sheet_in, text_in
from rimfea.web.bench import Bench
from rimfea.web.form import entries_of, told_of_entries, told_of_fields
from rimfea.words.glossary import said_in

_ONE_COMMENT = re.compile(r"#[^\x00-\x08\x0a-\x1f\x7f\x85\u2028\u2029]*")


def form(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of a new sheet."""
    del on
    family = text_in("family", asked["family"])
    if family not in DRAWN:
        raise RequestError(404, f"family: one of {', '.join(DRAWN)}")
    return {"groups": told_of_fields(Family(family))}


def entered(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What a new sheet makes as far as it is filled in."""
    del on
    entries, guessed = asked["entries"], asked["guessed"]
    if not isinstance(entries, dict) or not isinstance(guessed, list):
        raise RequestError(400, "entries: an object of texts by key; guessed: a list of keys")
    unknown = [key for key in (*entries, *guessed) if not isinstance(key, str) or key not in BY_KEY]
    if unknown:
        raise RequestError(400, f"no such key of a sheet: {cut(unknown[0])}")
    texts = {key: long_text(key, text) for key, text in entries.items()}
    return told_of_entries(texts, guessed, _remarks(asked.get("remarks", {})))


def entries(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What a sheet's file has for the fields of the form."""
    del on
    return entries_of(sheet_in(asked["text"]), text_in("name", asked["name"]))


def explain(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What the words of a sentence mean, each with a sketch where a sketch says it better."""
    del on
    terms = dict.fromkeys(said_in(long_text("text", asked["text"])))
    return {"terms": [{"told": str(term), "sketch": sketch(term.word)} for term in terms]}


def _remarks(told: object) -> dict[str, list[str]]:
    """Comments by key, each of one line."""
    if not isinstance(told, dict) or not all(isinstance(each, list) for each in told.values()):
        raise RequestError(400, "remarks: an object of lists of comments by key")
    found = {key: [long_text("remarks", each) for each in own] for key, own in told.items()}
    wrong = [each for own in found.values() for each in own if not _ONE_COMMENT.fullmatch(each)]
    if wrong:
        raise RequestError(
            400, f"remarks: a comment is one line that begins with #: {cut(wrong[0])}"
        )
    return found
