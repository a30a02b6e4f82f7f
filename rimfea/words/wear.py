"""A worn brake track in words, as a table and as a picture."""

from __future__ import annotations

import math

from rimfea.ask.wear import Wear
from rimfea.units import to_unit
from rimfea.words.numbers import Units
from rimfea.words.tables import Table

LAST_WORD = "The maker's wear mark comes first."
WEAR_CAUTION = (
    "A worn sidewall can burst and throw the tyre. The maker's wear mark is the last word: a rim "
    "is done when it is gone, whatever is computed here. Brakes do not wear evenly: measure at "
    "several places around the rim, on both sides, and take the thinnest."
)
IN_MPA, IN_BAR = Units(), Units(pressure="bar")  # a wall's stress; a tyre's air


def wear_headline(wear: Wear) -> str:
    """How thin the sidewall may become, and how much that leaves, in one sentence."""
    air, margin = bar(wear.air.pressure_MPa), f"a margin of {wear.margin:g}"
    measured = f"measured {wear.today_mm:.2f} mm"
    gone, limit = wear.margin_gone_mm, rounded_up(wear.limit_mm)
    if not math.isfinite(limit):
        return f"at {air} the sidewall has not {margin} even now: {measured}, it is done"
    left = f"{measured}: {max(wear.today_mm - limit, 0):.2f} mm more than that"
    if gone is None:
        kept = f"{rounded_up(float(wear.thickness_mm[-1])):.2f} mm, the thinnest looked at"
    else:
        kept = f"{rounded_up(gone):.2f} mm"
    mark = wear.mark_mm
    by_mark = (
        f", but the maker's wear mark is gone at {mark:.2f} mm" if mark == wear.limit_mm else ""
    )
    return f"at {air} the worn sidewall keeps {margin} down to {kept}{by_mark}; {left}"


def hinge_words(wear: Wear) -> str:
    """At which thickness the pressure alone would bend the sidewall open."""
    air, hinge = bar(wear.air.pressure_MPa), wear.hinge_mm
    if hinge is None:
        thinnest = f"{wear.thickness_mm[-1]:.2f} mm"
        return f"No sidewall down to {thinnest} is bent open at its root by {air} alone."
    if not math.isfinite(hinge):
        return (
            f"WARNING: {air} bends the sidewall open at its root as it is now. Do not inflate it."
        )
    return f"At {rounded_up(hinge):.2f} mm {air} bends the sidewall open at its root."


def wear_table(wear: Wear) -> Table:
    """Thickness by thickness: stress at the root, and the pressures it bears; today's on top."""
    columns = zip(
        wear.thickness_mm,
        wear.first_yield_MPa,
        wear.hinge_MPa,
        wear.membrane_MPa,
        wear.bending_MPa,
        strict=True,
    )
    rows = tuple(
        (
            f"{mm:.2f}",
            IN_BAR.in_pressure(first),
            IN_BAR.in_pressure(hinge),
            IN_MPA.in_pressure(membrane),
            IN_MPA.in_pressure(bending),
        )
        for mm, first, hinge, membrane, bending in columns
    )
    title = (
        f"Root of the sidewall worn from outside, {bar(wear.air.pressure_MPa)} in a tyre "
        f"{wear.air.tyre_width_mm:.0f} mm wide, {IN_MPA.in_force(wear.tension.tension_N)} a spoke"
    )
    head = ("sidewall mm", "first yield at", "hinge at", "membrane", "bending")
    return Table(title, head, rows, frozenset({0}))


def bar(pressure_MPa: float) -> str:
    """A given pressure as builders say it: 6 bar, not 6.00."""
    return f"{to_unit(pressure_MPa, 'bar'):.3g} bar"


def rounded_up(thickness_mm: float) -> float:
    """A limit to the hundredth that a caliper reads, never thinner than computed."""
    hundredths = 100 * thickness_mm
    return math.ceil(hundredths - 1e-6) / 100 if math.isfinite(hundredths) else thickness_mm
