"""Dents in sentences and tables: what a blow leaves on a wheel, and what a dent takes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isinf

from rimfea.study.dent import ASSUMES, SETS_MM
from rimfea.study.outcome import HALF_MM
from rimfea.study.ride import Dented, Ride
from rimfea.units import to_unit
from rimfea.words.numbers import LEAST_SET_MM, Units, figures
from rimfea.words.tables import Table

ESTIMATE = (
    "Where no dent was followed, set begins where the whole thickness of a wall yields. That is an "
    "estimate: an elastic-plastic solid keeps about 0.01 mm there, and 0.5 mm at 1.6 to 2 times "
    "that force."
)


def dent_lines(rides: Sequence[Ride], units: Units) -> Iterator[str]:
    """What the blow leaves on each wheel and what a dent takes, the last wheel first: a rear one
    mostly suffers more. A wheel whose dent nobody asked for has no line.
    """
    for ride in reversed(rides):
        if ride.knows_dent:
            yield f"{ride.end.capitalize()}: {dent_words(ride, units)}"
        elif ride.lost_dent:
            yield (
                f"{ride.end.capitalize()}: the dent could not be followed; in its place the ladder "
                "tells where set begins, which is an estimate."
            )


def dent_words(ride: Ride, units: Units) -> str:
    """The same of one wheel whose dent is known."""
    curve, cracks = ride.dent.free, ride.dent.cracks_mm
    told = f"this blow{_as_hard(ride)} {left_words(ride)}; {HALF_MM:g} mm takes {_takes(ride)}."
    ends = []
    if not isinf(curve.fold_N):
        ends.append(f"the hook folds over at {rough_force(curve.fold_N, units)}")
    if not isinf(cracks):
        ends.append(f"the metal may crack from a dent of {depth_words(cracks)}")
    return f"{told} {_sentence(ends)}".rstrip()


def left_words(ride: Ride) -> str:
    """What the set-up's own blow leaves."""
    own = ride.own_dent_mm
    if isinf(own):
        return f"leaves a dent deeper than {SETS_MM[-1]:g} mm"
    return f"leaves a dent of {depth_words(own)}" if own else "leaves no dent"


def depth_words(set_mm: float) -> str:
    """A depth as far as drops and metal can tell."""
    return f"{set_mm:.1f} mm" if set_mm >= LEAST_SET_MM else "less than 0.1 mm"


def drop_words(drop_mm: float) -> str:
    """A drop as far as the tyre's model can tell; 0: the load of the wheel alone does it."""
    if isinf(drop_mm):
        return "-"
    return f"{figures(drop_mm, 2)} mm" if drop_mm >= 1 else "0 mm"


def rough_force(force_N: float, units: Units) -> str:
    """The force of a dent, to two figures."""
    return f"{figures(to_unit(force_N, units.force), 2)} {units.force}"


def dents_table(rides: Sequence[Ride], units: Units) -> Table:
    """What each dent takes, with the crown free to slide and, where that was asked for, held."""
    rows = [
        _row(ride, ride.dented(set_mm, held=held), units, held=held)
        for ride in rides
        if ride.knows_dent
        for held in (False, True)[: 1 + ride.dent.knows_held]
        for set_mm in SETS_MM
    ]
    head = ("wheel", "dent", "crown", "on the hook", "drop", "hook takes up", "of it swallowed")
    return Table("Dents: what each takes", head, tuple(rows))


def last_dents_table(rides: Sequence[Ride], units: Units) -> Table:
    """How far the dent was followed: where the hook folds over, may crack, and how long it is."""
    rows = []
    for ride in (each for each in rides if each.knows_dent):
        dent = ride.dent
        curve, cracks = dent.free, dent.cracks_mm
        rows.append(
            (
                ride.name,
                "-" if isinf(curve.fold_N) else rough_force(curve.fold_N, units),
                "-" if isinf(cracks) else depth_words(cracks),
                f"{curve.deepest_mm:.1f} mm",
                f"{figures(dent.length_mm, 2)} mm",
            )
        )
    head = ("wheel", "folds over at", "may crack from", "deepest dent", "under a straight-edge")
    return Table("Dents: how far they were followed", head, tuple(rows))


def dent_assumptions(rides: Sequence[Ride]) -> tuple[str, ...]:
    """What dents rest on; where there are none, what stands for them."""
    known = [ride.knows_dent for ride in rides]
    return ((ASSUMES,) if any(known) else ()) + (() if all(known) else (ESTIMATE,))


def _row(ride: Ride, each: Dented, units: Units, *, held: bool) -> tuple[str, ...]:
    return (
        ride.name,
        f"{each.set_mm:g} mm",
        "held by the rock" if held else "free to slide",
        *(
            ("-", "-", "-", "-")
            if isinf(each.drop_mm)
            else (
                rough_force(each.hook_N, units),
                f"{each.drop_mm:.0f} mm",
                f"{each.work_J:.1f} J",
                f"{each.swallowed_J:.1f} J",
            )
        ),
    )


def _sentence(parts: Sequence[str]) -> str:
    whole = "; ".join(parts)
    return f"{whole[0].upper()}{whole[1:]}." if whole else ""


def _takes(ride: Ride) -> str:
    """What the main dent takes."""
    drop = ride.dented(HALF_MM).drop_mm
    return f"a drop of {drop_words(drop)}" if drop >= 1 else "no drop but the load of the wheel"


def _as_hard(ride: Ride) -> str:
    drop = ride.drop_mm
    return f" (a drop of {drop_words(drop)})" if drop >= 1 else ""
