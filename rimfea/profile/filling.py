"""From what was written to what is known: every value checked, every gap filled or reported."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace

from rimfea.alloys import DEFAULT_ALLOY
from rimfea.errors import Fault
from rimfea.profile.families import Family
from rimfea.profile.field import NUMERIC, Field, Kind
from rimfea.profile.fields import BY_KEY, FIELDS
from rimfea.profile.joint import Joint
from rimfea.profile.metal import metal_faults
from rimfea.profile.proportions import Known
from rimfea.profile.trace import Trace
from rimfea.profile.values import Checked, Readings, checked, nearest, shown
from rimfea.profile.walls import Wall

MOST_TONES = 12  # that somebody heard of one rim
NUDGE = 1e-6  # in the unit of a key, to see what follows from it
A_HAIR = 1e-6  # by which a number that is computed may be off
MOST_CAUSES = 3  # that are told


@dataclass(frozen=True)
class Filled:
    """Texts and numbers by key, the readings, and all faults. Of the numbers that nobody measured,
    ``assumed``, the ``guessed`` ones were given, and the others follow by their own rules.
    """

    texts: Mapping[str, str]
    known: Known
    counts: Mapping[str, int]
    readings: Mapping[str, Readings]
    assumed: frozenset[str]
    guessed: tuple[str, ...]
    tones: tuple[float, ...]
    faults: tuple[Fault, ...]
    strays: tuple[Stray, ...]


@dataclass(frozen=True)
class Stray:
    """A number that was assumed and comes out beyond what a rim can have, as the ``fault`` of the
    numbers it ``follows`` from, the one that moves it most first: nobody wrote it.
    """

    fault: Fault
    follows: tuple[str, ...]

    def is_told_by(self, faults: Iterable[Fault]) -> bool:
        """Whether one of these is about a number it follows from, and so may be the cause."""
        return any(
            key == fault.field or key in fault.problem for fault in faults for key in self.follows
        )


def filled(values: Mapping[str, object]) -> Filled:
    """Check every value, assume what may be assumed, and collect every fault.

    With a family that cannot be read nothing is assumed: every default depends on it.
    """
    given = {key: raw for key, raw in values.items() if raw is not None}
    guessed, unsure = _guessed(given.pop("guessed", ()), given)
    tones, untuned = _tones(given.pop("tones_Hz", ()))
    results = {key: checked(BY_KEY[key], raw) for key, raw in given.items() if key in BY_KEY}
    family = _family(results)
    usual = family or Family.HOOKED
    faults = [fault for result in results.values() for fault in result.faults]
    faults += [_unknown(key, usual) for key in given if key not in BY_KEY]
    faults += [_superfluous(key, usual) for key in results if not BY_KEY[key].used_by(usual)]
    faults += _missing(results, usual)
    faults += [*unsure, *untuned]
    usable = _numbers(results, usual)
    section = results["section"].value if "section" in results else None
    numbers = Known(
        usual,
        usable,
        frozenset(guessed) & usable.keys(),
        _joint(results),
        section=section if isinstance(section, Trace) else None,
    )
    faults += metal_faults(_alloy(results), numbers, results.keys())
    known = _assume(numbers, results) if family else Known(usual, {})
    beyond = _beyond(known)
    strays = tuple(_stray(key, known, numbers, results) for key in beyond)
    if beyond:
        known = _assume(numbers, results, beyond)
    return Filled(
        texts=_texts(results, usual),
        known=known,
        counts={key: int(known[key]) for key in _COUNTS if key in known.numbers},
        readings={key: item.readings for key, item in results.items() if item.readings},
        assumed=(known.assumed - _read_off(known))
        | {item.key for item in FIELDS if _left_out(item, results)},
        guessed=guessed,
        tones=tones,
        faults=tuple(faults),
        strays=strays,
    )


def _guessed(raw: object, given: Mapping[str, object]) -> tuple[tuple[str, ...], list[Fault]]:
    """The keys that are said to be guessed, in the order of the sheet, and what is wrong."""
    if not isinstance(raw, list | tuple) or not all(isinstance(key, str) for key in raw):
        remedy = 'write it as in ["flank_mm", "bead_seat_mm"]'
        return (), [Fault("guessed", "must be a list of keys", shown(raw), remedy=remedy)]
    able = [key for key in given if key in BY_KEY and BY_KEY[key].kind in NUMERIC]
    faults = [
        Fault("guessed", f"this sheet has no number {shown(key)}", remedy=nearest(key, able))
        for key in dict.fromkeys(raw)
        if key not in able
    ]
    return tuple(key for key in BY_KEY if key in raw and key in able), faults


def _tones(raw: object) -> tuple[tuple[float, ...], list[Fault]]:
    """The tones that were heard, the lowest first, and what is wrong with them."""
    field = BY_KEY["tones_Hz"]
    if not isinstance(raw, list | tuple) or not all(
        isinstance(each, int | float) and not isinstance(each, bool) for each in raw
    ):
        remedy = "write it as in [128, 151.5, 424]"
        return (), [Fault(field.key, "must be a list of numbers", shown(raw), remedy=remedy)]
    faults = [
        Fault(field.key, "no rim has such a tone", shown(each), field.unit, field.allowed)
        for each in raw
        if not field.low <= each <= field.high
    ]
    if len(raw) > MOST_TONES:
        problem = f"has {len(raw)} tones, more than {MOST_TONES}"
        faults.append(Fault(field.key, problem, remedy="give the loudest"))
    heard = (float(each) for each in raw if field.low <= each <= field.high)
    return tuple(sorted(heard)), faults


_COUNTS = tuple(item.key for item in FIELDS if item.kind is Kind.COUNT)


def _left_out(item: Field, results: Mapping[str, Checked]) -> bool:
    return item.key not in results and isinstance(item.default, str) and bool(item.default)


def _read_off(known: Known) -> AbstractSet[str]:
    """What a traced section tells, so that nobody has to assume it."""
    if known.section is None:
        return set()
    return known.section.sizes.keys() | known.family.body.without


def _family(results: Mapping[str, Checked]) -> Family | None:
    if "family" not in results and "section" in results:
        return Family.TRACED
    if "family" not in results:
        return Family(str(BY_KEY["family"].default))
    value = results["family"].value
    return value if isinstance(value, Family) else None


def _joint(results: Mapping[str, Checked]) -> Joint | None:
    value = results["joint"].value if "joint" in results else None
    return value if isinstance(value, Joint) else None


def _alloy(results: Mapping[str, Checked]) -> str | None:
    value = results["alloy"].value if "alloy" in results else DEFAULT_ALLOY
    return value if isinstance(value, str) else None


def _numbers(results: Mapping[str, Checked], family: Family) -> dict[str, float]:
    return {
        key: float(result.value)
        for key, result in results.items()
        if isinstance(result.value, int | float) and BY_KEY[key].used_by(family)
    }


def _texts(results: Mapping[str, Checked], family: Family) -> dict[str, str]:
    defaults = {item.key: item.default for item in FIELDS if isinstance(item.default, str)}
    given = {key: item.value for key, item in results.items() if isinstance(item.value, str)}
    return {**defaults, **given, "family": family}


def _assume(
    known: Known, results: Mapping[str, Checked], never: AbstractSet[str] = frozenset()
) -> Known:
    """Fill the gaps but those that are ``never`` filled, in as many rounds as one default waits
    for another.
    """
    while new := {
        item.key: value
        for item in FIELDS
        if item.key not in known.numbers
        and item.key not in never
        and not (item.key in results and item.used_by(known.family))
        and (value := by_rule(item, known)) is not None
    }:
        known = known.with_assumed(new)
    return known


def by_rule(item: Field, known: Known) -> float | None:
    """What a number is taken to be while nobody has measured it; None where none can be told."""
    field = item.within(known.family)
    if field.required or field.default is None or isinstance(field.default, str):
        return None
    if not callable(field.default):
        return float(field.default)
    try:
        return field.default(known)
    except KeyError:
        return None


def _unknown(key: str, family: Family) -> Fault:
    usable = [item.key for item in FIELDS if item.used_by(family)]
    return Fault(key, "no such key on the sheet", remedy=nearest(key, usable))


def _superfluous(key: str, family: Family) -> Fault:
    note = "it has none, or it follows from the other numbers"
    return Fault(key, f"must be left out for a {family} rim: {note}", remedy="take the line out")


def _missing(results: Mapping[str, Checked], family: Family) -> Iterator[Fault]:
    for item in FIELDS:
        if item.within(family).required and item.key not in results:
            yield Fault(item.key, f"is missing: {item.meaning}", allowed=item.allowed)
    if family is Family.TRACED and "section" not in results:
        yield Fault("section", f"is missing: {BY_KEY['section'].meaning}")
    web = Wall.WEB.field
    if "web_height_mm" in results and web.key not in results:
        yield Fault(web.key, f"is missing beside web_height_mm: {web.meaning}", allowed=web.allowed)


def _beyond(known: Known) -> frozenset[str]:
    """The assumed numbers that come out beyond what a rim can have."""
    ranges = {key: BY_KEY[key].within(known.family) for key in known.assumed}
    return frozenset(
        key
        for key, item in ranges.items()
        if not item.low - A_HAIR <= known[key] <= item.high + A_HAIR
    )


def _stray(key: str, known: Known, given: Known, results: Mapping[str, Checked]) -> Stray:
    """An assumed number that is beyond its range, told of the numbers it follows from."""
    item, follows = BY_KEY[key].within(known.family), _follows(key, known, given, results)
    made = f"{known[key]:.6g}"  # a hair beyond its range, too
    if not follows:  # it is read off a section
        problem = f"is beyond its range: {item.default_note}"
        remedy = "look at where it is read off, and in which unit"
        return Stray(Fault(key, problem, made, item.unit, item.allowed, remedy), ())
    stated = (
        f"{each} = {shown(known[each])} {BY_KEY[each].unit}" for each in follows[:MOST_CAUSES]
    )
    problem = (
        f"{', '.join(stated)} leave no usual {key}: nobody measured it, and what is assumed "
        f"({item.default_note}) comes to {made} {item.unit}, where a rim has {item.allowed}"
    )
    measured = f", or measure {key}" if item.used_by(known.family) else ""
    return Stray(Fault(follows[0], problem, remedy=f"look at these{measured}"), follows)


def _follows(
    key: str, known: Known, given: Known, results: Mapping[str, Checked]
) -> tuple[str, ...]:
    """The given numbers that move an assumed one, the one that makes most of it first."""
    moved = {}
    for each, number in given.numbers.items():
        nudged = {**given.numbers, each: number + NUDGE}
        other = _assume(replace(given, numbers=nudged), results)
        moved[each] = abs(number * (other.numbers.get(key, math.inf) - known[key]))
    return tuple(each for each in sorted(moved, key=lambda each: -moved[each]) if moved[each])
