"""A form of plain data, from a table of its keys: the data themselves, and their JSON Schema."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any, TypeAlias

from rimfea.profile.families import Family
from rimfea.profile.field import NUMERIC, Field, Kind
from rimfea.profile.fields import FIELDS
from rimfea.study.setup import FIELDS as SETUP_FIELDS
from rimfea.study.setup import End
from rimfea.words.plain import plain

Read: TypeAlias = Callable[[Any], object]

_KINDS = {"number": "number", "count": "integer", "text": "string", "yes or no": "boolean"}


@dataclass(frozen=True)
class Form:
    """``tables`` as in ``answers-3.toml``; ``readers``, by table and key, read what is no
    attribute.
    """

    tables: Mapping[str, Mapping[str, Any]]
    readers: Mapping[str, Read]

    def told(self, name: str, thing: object) -> Any:  # noqa: ANN401 -- as whoever reads JSON gets it
        """A thing as its table has it."""
        if thing is None:
            return None
        table = self.tables[name]
        found = {
            key: self._told(kind, self._read(f"{name}.{key}", thing, where))
            for key, kind, _, where in _keys(table)
        }
        spare = table.get("may_lack", ())
        return {key: value for key, value in found.items() if value or key not in spare}

    def schema(self, name: str) -> dict[str, Any]:
        """The JSON Schema of a table, with those that it may refer to."""
        parts = {each: self._described(table) for each, table in self.tables.items()}
        return {**parts.pop(name), "$defs": parts}

    def _read(self, key: str, thing: object, where: str) -> object:
        return self.readers[key](thing) if key in self.readers else _at(thing, where)

    def _told(self, kind: str, value: Any) -> object:  # noqa: ANN401 -- of any kind
        if kind.endswith("[]"):
            return [self._told(kind[:-2], each) for each in value]
        kind = kind.removesuffix("?")
        return self.told(kind, value) if kind in self.tables else plain(value)

    def _described(self, table: Mapping[str, Any]) -> dict[str, Any]:
        properties = {
            key: {"description": meaning, **self._kind(kind)}
            for key, kind, meaning, _ in _keys(table)
        }
        return _object(table["meaning"], properties, table.get("may_lack", ()))

    def _kind(self, kind: str) -> Mapping[str, Any]:
        kind, _, words = kind.partition(": ")
        bare, null = kind.removesuffix("?"), kind.endswith("?")
        if kind.endswith("[]"):
            return {"type": "array", "items": self._kind(kind[:-2])}
        if kind in _OWN:
            return _OWN[kind]
        if bare in self.tables:
            there = {"$ref": f"#/$defs/{bare}"}
            return {"anyOf": [there, {"type": "null"}]} if null else there
        among = {"enum": words.split(", ")} if words else {}
        return {"type": [_KINDS[bare], "null"] if null else _KINDS[bare], **among}


def read_form(file: str, readers: Mapping[str, Read]) -> Form:
    """The form in a table of this package."""
    text = (resources.files("rimfea.words") / file).read_text(encoding="utf-8")
    return Form(tomllib.loads(text), readers)


def _keys(table: Mapping[str, Any]) -> Iterator[tuple[str, str, str, str]]:
    """Key, kind, meaning and where it is read."""
    within = f"{table['of']}." if "of" in table else ""
    for key, row in table.items():
        if key not in ("meaning", "of", "may_lack"):
            kind, meaning, where = (*row, within + key)[:3]
            yield key, kind, meaning, where


def _at(thing: object, where: str) -> object:
    """A part of a thing; None where a part on the way is None."""
    for name in filter(None, where.split(".")):
        if thing is not None:
            thing = thing[name] if isinstance(thing, Mapping) else getattr(thing, name)
    return thing


def _object(
    meaning: str, properties: Mapping[str, object], may_lack: Iterable[str] = ()
) -> dict[str, Any]:
    return {
        "description": meaning,
        "type": "object",
        "additionalProperties": False,
        "required": [key for key in properties if key not in may_lack],
        "properties": properties,
    }


def _of_field(field: Field) -> dict[str, object]:
    """One key of a sheet or set-up, as its own table tells of it."""
    if field.kind is Kind.KEYS:
        return {"description": field.meaning, "type": "array", "items": {"type": "string"}}
    if field.kind is Kind.NUMBERS:
        told = f"{field.meaning}, {field.unit}"
        return {"description": told, "type": "array", "items": {"type": "number"}}
    whole = field.required or field.default is not None
    kind = {Kind.NUMBER: "number", Kind.COUNT: "integer"}.get(field.kind, "string")
    unit = "a count" if field.kind is Kind.COUNT else field.unit
    if field.kind in NUMERIC:
        unit = unit or "No unit"
    told = ", ".join(filter(None, [field.meaning, unit]))
    words = (
        {"enum": [*map(str, field.choices), *([] if whole else [None])]} if field.choices else {}
    )
    if whole:
        return {"description": told, "type": kind, **words}
    told = f"{told}; null: {field.default_note or 'not said'}"
    return {"description": told, "type": [kind, "null"], **words}


def _of_fields(fields: Iterable[Field]) -> Mapping[str, Any]:
    whole = _object("", {field.key: _of_field(field) for field in fields})
    return {key: value for key, value in whole.items() if key != "description"}


# Kinds that other tables of the program declare.
_OWN: Mapping[str, Mapping[str, Any]] = {
    "point": {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2},
    "family": {"type": "string", "enum": [*map(str, Family)]},
    "end": {"type": "string", "enum": [*map(str, End)]},
    "sheet": _of_fields(FIELDS),
    "setup": _of_fields(SETUP_FIELDS),
    "readings": {
        "type": "object",
        "additionalProperties": False,
        "patternProperties": {
            "^[a-z_]+_mm$": {"description": "Repeated readings.", "$ref": "#/$defs/taken"}
        },
    },
}
