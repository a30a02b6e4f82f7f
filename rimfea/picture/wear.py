"""A worn brake track as a picture."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rimfea.ask.wear import Wear
from rimfea.picture.charts import TONES, plain, quiet
from rimfea.picture.palette import FAINT, INK, PAPER, wall_colour
from rimfea.profile.walls import Wall
from rimfea.units import to_unit
from rimfea.words.numbers import CAUTION, USUAL, Units
from rimfea.words.wear import WEAR_CAUTION, rounded_up, wear_headline

BESIDE = 0.05  # how far the picture reaches beyond the thicknesses, share of today's


ROOM = 1.15  # above what is drawn


def wear_figure(wear: Wear, units: Units = USUAL) -> Figure:
    """Stress at the root, and the pressures it bears, against what is left of the sidewall."""
    figure = Figure(figsize=(11.0, 5.6), layout="constrained", facecolor=PAPER)
    left, right = figure.subplots(1, 2)
    _draw_stress(left, wear, units)
    _draw_pressures(right, wear, units)
    for axes in (left, right):
        _draw_places(axes, wear)
    name = plain(wear.sheet.name)
    figure.suptitle(f"{name}: {wear_headline(wear, units)}", color=INK, wrap=True)
    figure.supxlabel(f"{WEAR_CAUTION}\n{CAUTION}", fontsize=7.5, color=INK, wrap=True)
    return figure


def _draw_stress(axes: Axes, wear: Wear, units: Units) -> None:
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
    axes.set_ylabel(f"stress at the root at {units.given_air(wear.air.pressure_MPa)}, MPa")


def _draw_pressures(axes: Axes, wear: Wear, units: Units) -> None:
    unit = to_unit(1.0, units.pressure)
    asked = unit * wear.margin * wear.air.pressure_MPa
    first, hinge = (unit * each for each in (wear.first_yield_MPa, wear.hinge_MPa))
    blue, dark = wall_colour(Wall.SIDEWALL), TONES[0]
    axes.plot(wear.thickness_mm, first, "-", color=blue, linewidth=2.2, label="first yield")
    axes.plot(wear.thickness_mm, hinge, "--", color=dark, linewidth=2.2, label="bent open")
    _draw_level(
        axes, wear, asked, f"{wear.margin:g} times {units.given_air(wear.air.pressure_MPa)}"
    )
    # The hinge of a thick wall lies far off and would press the rest flat.
    shown = np.append(first[np.isfinite(first)], asked)
    axes.set_ylim(0, 1.5 * float(shown.max()))
    axes.set_ylabel(f"pressure at which the root yields, {units.pressure}")


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
