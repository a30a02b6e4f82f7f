"""A worn brake track in words, as a table and as a picture."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rimfea.profile.walls import Wall
from rimfea.report.charts import TONES, plain, quiet
from rimfea.report.palette import FAINT, INK, PAPER, wall_colour
from rimfea.report.rows import Table
from rimfea.report.words import CAUTION, Units
from rimfea.study.wear import Wear
from rimfea.units import to_unit

LAST_WORD = "The maker's wear mark comes first."
WEAR_CAUTION = (
    "A worn sidewall can burst and throw the tyre. The maker's wear mark is the last word: a rim "
    "is done when it is gone, whatever is computed here. Brakes do not wear evenly: measure at "
    "several places around the rim, on both sides, and take the thinnest."
)
IN_MPA, IN_BAR = Units(), Units(pressure="bar")  # a wall's stress; a tyre's air
BESIDE = 0.05  # how far the picture reaches beyond the thicknesses, share of today's
ROOM = 1.15  # above what is drawn


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


def wear_figure(wear: Wear) -> Figure:
    """Stress at the root, and the pressures it bears, against what is left of the sidewall."""
    figure = Figure(figsize=(11.0, 5.6), layout="constrained", facecolor=PAPER)
    left, right = figure.subplots(1, 2)
    _draw_stress(left, wear)
    _draw_pressures(right, wear)
    for axes in (left, right):
        _draw_places(axes, wear)
    name = plain(wear.sheet.name)
    figure.suptitle(f"{name}: {wear_headline(wear)}", color=INK, wrap=True)
    figure.supxlabel(f"{WEAR_CAUTION}\n{CAUTION}", fontsize=7.5, color=INK, wrap=True)
    return figure


def bar(pressure_MPa: float) -> str:
    """A given pressure as builders say it: 6 bar, not 6.00."""
    return f"{to_unit(pressure_MPa, 'bar'):.3g} bar"


def rounded_up(thickness_mm: float) -> float:
    """A limit to the hundredth that a caliper reads, never thinner than computed."""
    hundredths = 100 * thickness_mm
    return math.ceil(hundredths - 1e-6) / 100 if math.isfinite(hundredths) else thickness_mm


def _draw_stress(axes: Axes, wear: Wear) -> None:
    proof = wear.sheet.metal.proof_MPa
    parts = (
        ("von Mises", wear.peak_MPa, "-", wall_colour(Wall.SIDEWALL)),
        ("bending", wear.bending_MPa, "--", TONES[0]),
        ("membrane", wear.membrane_MPa, ":", TONES[0]),
    )
    for name, stress, dashes, colour in parts:
        axes.plot(wear.thickness_mm, stress, dashes, color=colour, linewidth=2.2, label=name)
    _draw_level(axes, wear, proof, f"proof stress, {proof:g} MPa")
    axes.set_ylim(0, ROOM * max(proof, float(wear.peak_MPa.max())))
    axes.set_ylabel(f"stress at the root at {bar(wear.air.pressure_MPa)}, MPa")


def _draw_pressures(axes: Axes, wear: Wear) -> None:
    asked = to_unit(wear.margin * wear.air.pressure_MPa, "bar")
    first, hinge = (to_unit(1.0, "bar") * each for each in (wear.first_yield_MPa, wear.hinge_MPa))
    blue, dark = wall_colour(Wall.SIDEWALL), TONES[0]
    axes.plot(wear.thickness_mm, first, "-", color=blue, linewidth=2.2, label="first yield")
    axes.plot(wear.thickness_mm, hinge, "--", color=dark, linewidth=2.2, label="hinge")
    _draw_level(axes, wear, asked, f"{wear.margin:g} times {bar(wear.air.pressure_MPa)}")
    # The hinge of a thick wall lies far off and would press the rest flat.
    shown = np.append(first[np.isfinite(first)], asked)
    axes.set_ylim(0, 1.5 * float(shown.max()))
    axes.set_ylabel("pressure at which the root yields, bar")


def _draw_places(axes: Axes, wear: Wear) -> None:
    """Today's thickness, the limit and the maker's mark; thickness falls to the right, as worn."""
    places = [("today", wear.today_mm, "-"), ("limit", wear.limit_mm, "--")]
    if wear.mark_mm:
        places.append(("wear mark", wear.mark_mm, ":"))
    for name, place, dashes in places:
        if np.isfinite(place):
            axes.axvline(place, linestyle=dashes, color=INK, linewidth=1.0)
            told = f"{name}, {rounded_up(place):.2f} mm"
            upright = axes.text(place, 0.05, told, rotation=90, ha="right", va="bottom", color=INK)
            upright.set_transform(axes.get_xaxis_transform())
    beside = BESIDE * wear.today_mm
    thinnest = min(float(wear.thickness_mm[-1]), wear.mark_mm or np.inf)
    axes.set_xlim(wear.today_mm + beside, thinnest - beside)
    axes.set_xlabel("what is left of the sidewall, mm")
    axes.legend(ncols=3, frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0))
    quiet(axes)


def _draw_level(axes: Axes, wear: Wear, level: float, told: str) -> None:
    """A line to meet, told beside today's thickness."""
    axes.axhline(level, color=FAINT, linewidth=1.0)
    axes.text(wear.today_mm, level, f" {told}", va="bottom", color=INK)
