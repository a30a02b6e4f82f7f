"""Any answer as a picture, found by what kind of answer it is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from matplotlib.figure import Figure

from rimfea.ask.choose import Choice
from rimfea.ask.compare import Comparison
from rimfea.ask.design import Design
from rimfea.ask.reconcile import Reconciled
from rimfea.ask.swaps import Swaps
from rimfea.ask.sweep import Swept
from rimfea.ask.wear import Wear
from rimfea.ask.why import Why
from rimfea.ask.worth import Worth
from rimfea.picture.figures import comparison_figure, rides_figure, section_figure, stress_figure
from rimfea.picture.swaps import swaps_figure
from rimfea.picture.sweep import sweep_figure
from rimfea.picture.tap import tap_figure
from rimfea.picture.wear import wear_figure
from rimfea.picture.why import why_figure
from rimfea.picture.worth import worth_figure
from rimfea.profile.sheet import Sheet
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.outcome import named
from rimfea.study.ride import Ride
from rimfea.vary.tap import Tap
from rimfea.words.numbers import USUAL, Units
from rimfea.words.told import kind_of

FIGURES: Mapping[type, Callable[[Any, str, Units], Figure]] = MappingProxyType(
    {
        Sheet: lambda sheet, _of, _units: section_figure(inspect(sheet)),
        Analysis: lambda rim, _of, units: (
            stress_figure(rim, units) if rim.answers else section_figure(rim)
        ),
        Ride: lambda rides, _of, units: rides_figure(rides, units),
        Comparison: lambda found, _of, units: comparison_figure(
            [rim.ride.analysis for rim in found.rims], units, found.rims
        ),
        Reconciled: lambda found, _of, _units: section_figure(inspect(found.after)),
        Choice: lambda found, _of, units: comparison_figure(
            [rim.rear.analysis for rim in found.ranked], units
        ),
        Design: lambda found, _of, units: comparison_figure(
            [found.before.ride.analysis, found.after.ride.analysis], units
        ),
        Swept: sweep_figure,
        Worth: lambda found, _of, units: worth_figure(found, units),
        Swaps: lambda found, _of, units: swaps_figure(found, units),
        Why: lambda found, _of, units: why_figure(found, units),
        Tap: lambda found, _of, _units: tap_figure(found),
        Wear: lambda found, _of, units: wear_figure(found, units),
    }
)


def draw(answer: object, *, of: str = "set_N", units: Units = USUAL) -> Figure:
    """The picture of any answer, returned and not shown: ``.savefig("file.png")`` keeps it. For a
    sweep ``of`` says by its key which outcome.

    Raises :class:`~rimfea.errors.UnknownError` for what has no picture, and an unknown outcome.
    """
    kind, whole = kind_of(answer, FIGURES, "picture")
    return FIGURES[kind](whole, named(of).key, units)
