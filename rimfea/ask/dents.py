"""Rides asked for their dents, by questions that can do without where none is found."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace

from rimfea.allocator import give_back
from rimfea.errors import SolveError
from rimfea.study.analysis import Analysis
from rimfea.study.dent import Curve, dent
from rimfea.study.outcome import HALF_MM
from rimfea.study.ride import Ride


def ask_dents(rides: Iterable[Ride]) -> None:
    """Have rides know their dents and what the published tests leave. What buckles, or yields
    before any strike, is not asked for a dent, and one that is not found stays unknown: so do its
    outcomes.
    """
    for ride in rides:
        _ = ride.wheel_tests
        if not ride.gives_way:
            _ = ride.found_dent


def ask_half_mm(ride: Ride, looked: Analysis) -> None:
    """The same for one ride no deeper than rims are compared by, on the coarse triangles of a rim
    that was ``looked`` at: those of its neighbours, moved, so that no other mesh is seen.
    """
    if not ride.gives_way:
        with suppress(SolveError):
            found = dent(ride.analysis, ride.answer, set_mm=HALF_MM, looked=looked)
            vars(ride)["dent"] = found


def lighten(ride: Ride) -> None:
    """Have a ride forget what its dent was found with, which is large and cannot go to another
    process; all that is read off a dent stays.
    """
    if ride.knows_dent:
        found = ride.dent
        lighter = replace(found, free=_lighter(found.free))
        if found.knows_held:
            vars(lighter)["held"] = _lighter(found.held)
        vars(ride)["dent"] = lighter
        vars(ride).pop("found_dent", None)  # it would keep the heavy one
        del found
        give_back()


def _lighter(curve: Curve) -> Curve:
    path = curve.path
    if not path.states:  # it is light already
        return curve
    sector = replace(path.body.sector, factors=())
    left = replace(path.left, forces=replace(path.left.forces, sector=sector))
    return Curve(replace(path, body=replace(path.body, sector=sector), states=(), left=left))
