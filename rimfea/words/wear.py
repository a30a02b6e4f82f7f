"""A worn brake track in words, as a table and as a picture."""

from __future__ import annotations

import math

from rimfea.ask.wear import Wear
from rimfea.words.numbers import USUAL, Units, in_stress
from rimfea.words.tables import Table

LAST_WORD = "The maker's wear mark comes first."
WEAR_CAUTION = (
    "A worn sidewall can burst and throw the tyre. The maker's wear mark is the last word: a rim "
    "is done when it is gone, whatever is computed here. Brakes do not wear evenly: measure at "
    "several places around the rim, on both sides, and take the thinnest."
)


def wear_headline(wear: Wear, units: Units = USUAL) -> str:
    """Down to which thickness the sidewall may be ridden, why, and how much that leaves."""
    air, measured = units.given_air(wear.air.pressure_MPa), f"measured {wear.today_mm:.2f} mm"
    limit = rounded_up(wear.limit_mm)
    if not math.isfinite(limit):
        return (
            f"at {air} the sidewall lacks a margin of {wear.margin:g} even now ({measured}): "
            "the rim is done"
        )
    left = max(wear.today_mm - limit, 0)
    told = f"{measured}: {left:.2f} mm left" if left else f"{measured}: the rim is done"
    return f"at {air} no thinner than {limit:.2f} mm, {_why(wear)}; {told}"


def _why(wear: Wear) -> str:
    if wear.limit_mm == wear.mark_mm:
        return "where the maker's wear mark is gone"
    if wear.limit_mm == wear.margin_gone_mm:
        return f"where the margin of {wear.margin:g} is used up"
    return "the least that is common practice"


def hinge_words(wear: Wear, units: Units = USUAL) -> str:
    """At which thickness the pressure alone would make the sidewall yield and bend it open."""
    air, first, opens = units.given_air(wear.air.pressure_MPa), wear.yields_mm, wear.hinge_mm
    if first is None:
        return f"No sidewall down to {wear.thickness_mm[-1]:.2f} mm yields at its root by {air}."
    if not math.isfinite(first):
        return f"WARNING: {air} makes the sidewall yield at its root even now. Do not inflate it."
    then = f", and at {rounded_up(opens):.2f} mm bends it open" if opens else ""
    return f"At {rounded_up(first):.2f} mm {air} makes the sidewall yield at its root{then}."


def brake_words(wear: Wear) -> str:
    """What is assumed of the brake, where the sheet does not say."""
    if wear.sheet.brake:
        return ""
    return "The sheet does not say what brakes the wheel: these numbers are for blocks on the rim."


def wear_table(wear: Wear, units: Units = USUAL) -> Table:
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
            units.in_air(first),
            units.in_air(hinge),
            in_stress(membrane),
            in_stress(bending),
        )
        for mm, first, hinge, membrane, bending in columns
    )
    air = units.given_air(wear.air.pressure_MPa)
    title = (
        f"Root of the sidewall worn from outside, {air} in a tyre "
        f"{wear.air.tyre_width_mm:.0f} mm wide, {units.in_force(wear.tension.tension_N)} a spoke"
    )
    head = ("sidewall mm", "first yield at", "bent open at", "membrane", "bending")
    return Table(title, head, rows, frozenset({0}))


def rounded_up(thickness_mm: float) -> float:
    """A limit to the hundredth that a caliper reads, never thinner than computed."""
    hundredths = 100 * thickness_mm
    return math.ceil(hundredths - 1e-6) / 100 if math.isfinite(hundredths) else thickness_mm
