"""Any answer as a table and in sentences, found by what kind of answer it is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import Any

from rimfea.ask.choose import Choice
from rimfea.ask.compare import Comparison
from rimfea.ask.design import Design
from rimfea.ask.reconcile import Reconciled
from rimfea.ask.swaps import Swaps
from rimfea.ask.sweep import Swept
from rimfea.ask.wear import Wear
from rimfea.ask.why import Why
from rimfea.ask.worth import Worth
from rimfea.errors import UnknownError
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import unknown
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.study.outcome import named
from rimfea.study.ride import Ride
from rimfea.study.wheel_tests import wheel_tests
from rimfea.vary.tap import Tap
from rimfea.words import (
    analyse,
    choose,
    compare,
    dents,
    design,
    dimensions,
    reconcile,
    rides,
    sweep,
    tables,
    unsawn,
)
from rimfea.words import swaps as swapped
from rimfea.words import tap as tapped
from rimfea.words import wear as worn
from rimfea.words import why as whys
from rimfea.words import worth as worths
from rimfea.words.numbers import CAUTION, USUAL, Units
from rimfea.words.summary import summary
from rimfea.words.tables import Table
from rimfea.words.wheel_tests import wheel_tests_table

Tabled = Callable[[Any, str, Units], Table]

TABLES: Mapping[type, Mapping[str, Tabled]] = MappingProxyType(
    {
        Sheet: {"sheet": lambda sheet, _of, _units: tables.sheet_table(sheet)},
        Analysis: {
            "walls": lambda rim, _of, units: tables.wall_table(rim.governing, units),
            "cases": lambda rim, _of, units: tables.comparison_table([rim], units),
            "tests": lambda rim, _of, units: wheel_tests_table(
                {rim.sheet.name: wheel_tests(rim)}, units
            ),
            "wheel": lambda rim, _of, units: tables.wheel_table(rim, units),
            "section": lambda rim, _of, _units: tables.section_table(rim),
            "evidence": lambda rim, _of, _units: tables.evidence_table(rim),
        },
        Answer: {"walls": lambda answer, _of, units: tables.wall_table(answer, units)},
        Ride: {
            "ladder": lambda ridden, _of, units: rides.ladder_table(ridden, units),
            "wheels": lambda ridden, _of, units: rides.wheels_table(ridden, units),
            "dents": lambda ridden, _of, units: dents.dents_table(ridden, units),
        },
        Comparison: {
            "outcomes": lambda found, _of, units: compare.outcomes_table(
                found.rims, found.base, units
            ),
            "walls": lambda found, _of, _units: dimensions.walls_table(_analyses(found)),
            "dimensions": lambda found, _of, _units: dimensions.dimensions_table(
                [rim.ride.analysis.sheet for rim in found.rims], every=True
            ),
            "grams": lambda found, _of, _units: dimensions.grams_table(_analyses(found)),
            "cases": lambda found, _of, units: tables.comparison_table(_analyses(found), units),
            "tests": lambda found, _of, units: wheel_tests_table(
                {rim.name: rim.ride.wheel_tests for rim in found.rims}, units
            ),
            "ladders": lambda found, _of, units: rides.ladders_table(
                [r.ride for r in found.rims], units
            ),
            "hoops": lambda found, _of, _units: tables.rims_table(_analyses(found)),
            "wheels": lambda found, _of, units: tables.wheels_table(_analyses(found), units),
        },
        Swept: {"sweep": sweep.sweep_table},
        Worth: {
            "worth": lambda found, _of, units: worths.worth_table(found, units),
            "doubts": lambda found, _of, units: worths.doubts_table(found, units),
        },
        Swaps: {
            "swaps": lambda found, _of, units: swapped.swaps_table(found, units),
            "ends": lambda found, _of, units: swapped.swaps_table(found, units, ends=True),
        },
        Why: {"why": lambda found, _of, units: whys.why_table(found, units)},
        Tap: {
            "tones": lambda found, _of, _units: tapped.tones_table(found),
            "numbers": lambda found, _of, _units: tapped.hints_table(found),
        },
        Wear: {"wear": lambda found, _of, units: worn.wear_table(found, units)},
        Reconciled: {
            "changes": lambda found, _of, _units: reconcile.reconcile_table(found),
            "walls": lambda found, _of, _units: unsawn.walls_table(found.unsawn),
        },
        Choice: {"choice": lambda found, _of, _units: choose.choice_table(found)},
        Design: {"walls": lambda found, _of, _units: design.walls_table(found)},
    }
)
"""By kind of answer: its tables by name, the one to begin with first."""

SENTENCES: Mapping[type, Callable[[Any, str, Units], Iterable[str]]] = MappingProxyType(
    {
        Sheet: lambda sheet, _of, _units: [
            f"{sheet.name}: {sheet.family}",
            *tables.round_words(sheet),
        ],
        Analysis: lambda rim, _of, units: _rim_words(rim, (), units),
        Answer: lambda answer, _of, units: [analyse.governs(answer, units)],
        Ride: lambda ridden, _of, units: _rim_words(ridden[-1].analysis, ridden, units),
        Comparison: lambda found, _of, units: compare.comparison_lines(
            found.rims, found.base, units
        ),
        Swept: lambda found, of, units: [
            f"{found.sweep.sheet.name}: {sweep.sweep_headline(found, of, units)}",
            *sweep.sweep_lines(found, of, units),
        ],
        Worth: lambda found, _of, units: [
            worths.worth_headline(found, units),
            *worths.worth_lines(found, units),
        ],
        Swaps: lambda found, _of, units: [
            swapped.swaps_headline(found, units),
            *swapped.swaps_lines(found),
        ],
        Why: lambda found, _of, units: [
            whys.why_headline(found),
            *whys.why_lines(found, units),
        ],
        Tap: lambda found, _of, _units: [
            tapped.tap_headline(found),
            *tapped.tap_lines(found),
            tapped.TAP_ASSUMES,
        ],
        Wear: lambda found, _of, units: [
            f"{found.sheet.name}: {worn.wear_headline(found, units)}. {worn.LAST_WORD}",
            worn.hinge_words(found, units),
            *filter(None, [worn.brake_words(found)]),
            worn.WEAR_CAUTION,
        ],
        Reconciled: lambda found, _of, _units: [
            f"{found.before.name}: {reconcile.reconcile_headline(found)}",
            *reconcile.walls_lines(found),
        ],
        Choice: lambda found, _of, units: [
            choose.choice_headline(found),
            *choose.choice_lines(found, units),
        ],
        Design: lambda found, _of, units: [
            *(
                [design.design_headline(found, units)]
                if found.holds
                else [design.out_of_reach(found, units)]
            ),
            *design.dent_lines(found, units),
            *design.worse_lines(found, units),
            *(design.limit_lines(found) if found.holds else ()),
        ],
    }
)
"""By kind of answer: what is said of it, the main thing first."""


def table(answer: object, which: str = "", *, of: str = "set_N", units: Units = USUAL) -> Table:
    """The table of any answer; where there are several, ``which`` says by name which one, and
    for a sweep ``of`` by key which outcome is its main one.

    Rides go together in one table: give them as they come. Raises
    :class:`~rimfea.errors.UnknownError` for what has no table, and for names that are not known.
    """
    kind, whole = kind_of(answer, TABLES, "table")
    known = TABLES[kind]
    first = "section" if isinstance(answer, Analysis) and not answer.answers else next(iter(known))
    if which and which not in known:
        raise UnknownError(unknown(f"table of {kind.__name__}", which, known))
    return known[which or first](whole, named(of).key, units)


def tell(answer: object, *, of: str = "set_N", units: Units = USUAL) -> str:
    """What is to be said of any answer, a line a sentence, the main one first and the caution last;
    for ``of`` and errors see :func:`table`.
    """
    kind, whole = kind_of(answer, SENTENCES, "sentence")
    return "\n".join([*SENTENCES[kind](whole, named(of).key, units), CAUTION])


def kind_of(answer: object, known: Iterable[type], what: str) -> tuple[type, object]:
    """Which of the known kinds an answer is, and the answer; rides come in a tuple, and one alone
    becomes one.
    """
    rides = isinstance(answer, tuple) and answer and all(isinstance(each, Ride) for each in answer)
    if rides or isinstance(answer, Ride):
        return Ride, answer if rides else (answer,)
    for kind in known:
        if isinstance(answer, kind):
            return kind, answer
    names = ", ".join(kind.__name__ for kind in known)
    raise UnknownError(f"there is no {what} of {type(answer).__name__}; there is one of: {names}")


def _analyses(found: Comparison) -> list[Analysis]:
    return [rim.ride.analysis for rim in found.rims]


def _rim_words(rim: Analysis, ridden: tuple[Ride, ...], units: Units) -> list[str]:
    if not rim.answers:
        own = [analyse.mass_words(rim), *analyse.diameter_words(rim.sheet)]
        return [f"{rim.sheet.name}: {rim.sheet.family}", *own]
    head = f"{rim.sheet.name}: {analyse.headline(rim, units)}"
    return [head] if rim.buckles else [head, *summary(rim, ridden, units)]
