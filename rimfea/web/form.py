"""A new sheet as a form: its fields, what was typed into them so far, and the sheet it makes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from types import MappingProxyType

from rimfea.errors import Fault, SheetError
from rimfea.files.sheet_toml import sheet_text
from rimfea.files.toml_lines import key_lines
from rimfea.profile.build import outline
from rimfea.profile.families import Family
from rimfea.profile.field import NUMERIC, Field, Kind
from rimfea.profile.fields import BY_KEY, FIELDS
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import shown
from rimfea.traced.jaws import jaws
from rimfea.web.payload import told_of_drawing, told_of_fault
from rimfea.web.remarks import Remarks, remarks_of, with_remarks
from rimfea.web.typed import AS_TYPED, Typed, as_typed, typed
from rimfea.words.keys import called

FAMILY, NAME, GUESSED = "family", "name", "guessed"
HEADING = "Caliper sheet, filled in on the page"
NO_REMARKS: Remarks = MappingProxyType({})
# Where nothing was measured yet, a section of usual walls shows where the caliper goes.
USUAL: Mapping[str, object] = MappingProxyType(
    {
        NAME: "sketch",
        "bead_seat_diameter_mm": 622,
        "inner_width_mm": 25.0,
        "overall_depth_mm": 21.0,
        "bead_hook_mm": 2.0,
        "hook_lip_mm": 2.4,
        "sidewall_mm": 1.4,
        "tyre_well_mm": 1.2,
        "nipple_seat_mm": 2.4,
    }
)


@dataclass(frozen=True)
class Entered:
    """What was typed, by key: the values, how a sheet writes them, and what is wrong with them."""

    values: Mapping[str, object]
    typed: Mapping[str, Typed]
    faults: tuple[Fault, ...]


def told_of_fields(family: Family) -> list[dict[str, object]]:
    """The groups of fields of that family, each in the order in which a builder measures."""
    usable = [each.within(family) for each in FIELDS if each.used_by(family)]
    shown_here = [each for each in usable if each.kind not in (Kind.KEYS, Kind.SECTION)]
    return [
        {"group": group, "fields": [_field(each) for each in fields if each.key != FAMILY]}
        for group, fields in groupby(shown_here, key=lambda each: each.group)
    ]


def told_of_entries(
    entries: Mapping[str, str], guessed: Sequence[str], remarks: Remarks = NO_REMARKS
) -> dict[str, object]:
    """What a form makes: every fault at its field, the section as far as it can be drawn, how each
    number was read and what is assumed; the sheet's text once it is whole, with the ``remarks`` of
    the file that it came from.
    """
    found = entered(entries, guessed)
    sheet, faults = _made(found)
    sketch = sheet or _sketch(found, faults)
    return {
        "faults": [told_of_fault(each) for each in faults if not _is_missing(each)],
        "missing": [each.field for each in faults if _is_missing(each)],
        "means": {key: _mean(key, each) for key, each in found.typed.items() if each.mean},
        "assumed": _assumed(sketch),
        "drawing": told_of_drawing(outline(sketch), jaws(sketch, outline(sketch)))
        if sketch
        else None,
        "text": with_remarks(written(sheet, found.typed), remarks) if sheet else None,
        "name": sheet.name if sheet else "",
    }


def entered(entries: Mapping[str, str], guessed: Sequence[str]) -> Entered:
    """What was typed, empty fields left out."""
    told = {key: typed(BY_KEY[key], text) for key, text in entries.items() if text.strip()}
    good = {key: each for key, each in told.items() if isinstance(each, Typed)}
    values: dict[str, object] = {key: each.value for key, each in good.items()}
    if sure := [key for key in guessed if key in good and BY_KEY[key].kind in NUMERIC]:
        values[GUESSED] = sure
    return Entered(values, good, tuple(each for each in told.values() if isinstance(each, Fault)))


def written(sheet: Sheet, as_entered: Mapping[str, Typed]) -> str:
    """The sheet as TOML, every number as it was typed; what was assumed is a comment."""
    lines = sheet_text(sheet, HEADING).splitlines()
    return "\n".join([*(_line(each, as_entered) for each in lines), ""])


def entries_of(text: str, source: str) -> dict[str, object]:
    """What a sheet's text has for each field of the form, faults and all; the keys that the form
    does not have; its comments by key. Raises :class:`~rimfea.errors.SheetError` for what is no
    sheet of a drawn family.
    """
    rows = text.splitlines()
    entries: dict[str, str] = {}
    left_out = []
    for line in key_lines(text):
        field = BY_KEY.get(line.key)
        if field is None or line.is_table or field.kind is Kind.SECTION:
            left_out.append(line.key or line.value[:40])
        elif line.value:
            _, mark, told = rows[line.last - 1].partition(AS_TYPED)
            entries.setdefault(line.key, as_typed(field, line.value, mark + told))
    guessed = entries.pop(GUESSED, "").split()
    _refuse_other(entries, left_out, source)
    remarks = remarks_of(text.removeprefix(f"# {HEADING}\n"))
    return {"entries": entries, "guessed": guessed, "left_out": left_out, "remarks": remarks}


def _refuse_other(entries: Mapping[str, str], left_out: Sequence[str], source: str) -> None:
    if not entries:
        fault = Fault(
            "", "is no caliper sheet", remedy="open a .toml that rimfea or this page wrote"
        )
        raise SheetError([fault], source)
    if "section" in left_out or entries.get(FAMILY) == Family.TRACED:
        problem = "draws a traced section, which has no numbers to fill in"
        remedy = "start the page with it: rimfea page and the name of the file"
        raise SheetError([Fault("", problem, remedy=remedy)], source)


def _line(line: str, as_entered: Mapping[str, Typed]) -> str:
    key, is_given, _ = line.partition(" = ")
    told = as_entered.get(key) if is_given else None
    if told is None or BY_KEY[key].kind not in (*NUMERIC, Kind.NUMBERS):
        return line
    return f"{key} = {told.written}  {told.comment}".rstrip()


def _made(found: Entered) -> tuple[Sheet | None, tuple[Fault, ...]]:
    """The sheet, or all that is wrong: a field that could not be read is not missing besides."""
    unread = {each.field for each in found.faults}
    try:
        sheet = Sheet(found.values)
        outline(sheet)
    except SheetError as error:
        news = (each for each in error.faults if each.field not in unread)
        return None, (*found.faults, *news)
    return (None, found.faults) if found.faults else (sheet, ())


def _sketch(found: Entered, faults: Sequence[Fault]) -> Sheet | None:
    """The section with usual walls for what is missing or cannot be; None where that is none."""
    wrong = {each.field for each in faults}
    known = {key: value for key, value in found.values.items() if key not in wrong | {GUESSED}}
    for values in ({**USUAL, **known}, {**USUAL, FAMILY: known.get(FAMILY, Family.HOOKED)}):
        try:
            sheet = Sheet(values)
            outline(sheet)
        except SheetError:
            if len(known) > len(USUAL) // 2:  # a drawing that shows none of it would mislead
                return None
            continue
        return sheet
    return None


def _is_missing(fault: Fault) -> bool:
    return not fault.value and fault.problem.startswith("is missing:")


def _field(field: Field) -> dict[str, object]:
    return {
        "key": field.key,
        "label": called(field.key),
        "unit": field.unit,
        "how": field.meaning,
        "allowed": field.allowed if field.kind in NUMERIC else "",
        "required": field.required,
        "left_out": field.default_note or str(field.default or ""),
        "choices": [str(each) for each in field.choices or ()],
        "is_number": field.kind in NUMERIC,
    }


def _mean(key: str, told: Typed) -> str:
    return f"mean {shown(told.mean)} {BY_KEY[key].unit}"


def _assumed(sheet: Sheet | None) -> dict[str, str]:
    return dict(_numbers(sheet)) if sheet else {}


def _numbers(sheet: Sheet) -> Iterator[tuple[str, str]]:
    for key in sheet.assumed:
        value = getattr(sheet, key)
        if isinstance(value, int | float):
            yield key, shown(round(value, 2))
