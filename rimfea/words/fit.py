"""How well a sheet draws a section from outside, in sentences."""

from __future__ import annotations

from pathlib import PurePath

from rimfea.ask.compare import Measured
from rimfea.ask.fit import fits
from rimfea.ask.trace import Traced
from rimfea.traced.fit import Fit
from rimfea.words.numbers import Units, figures, no_finer
from rimfea.words.outcomes import scale_of, unit_of

YIELD = "yield_N"
FINEST_MM = 0.001


def fit_words(fit: Fit) -> str:
    """What the sheet is, and how near its drawing runs to the section."""
    worst, x, y = fit.worst
    typical, most = (figures(max(mm, FINEST_MM), 1) for mm in (fit.typical_mm, abs(worst)))
    near = f"{typical} mm, at worst {most} mm at "
    told = f"As a sheet it is a {fit.sheet.family}, drawn within {near}x {x:.1f}, y {y:.1f} mm."
    if fits(fit):
        return told
    return (
        f"WARNING: no sheet draws this section. The nearest, a {fit.sheet.family}, misses it by "
        f"{near}x {x:.1f}, y {y:.1f} mm. Do not trust its forces."
    )


def sheet_heading(found: Traced, fit: Fit) -> str:
    """What a file with the fitted sheet says above all."""
    what = "scan" if found.scan else "drawing"
    return (
        f"From the {what} {PurePath(found.source).name}.\n{fit_words(fit)}\n"
        "Add alloy, spoke_count, spoke_tension_N and weighed_mass_g; measure a wall to check."
    )


def verdict_words(known: Measured, units: Units) -> str:
    """Which wall of the fitted sheet gives first, and how sure that is."""
    ride = known.ride
    scale, unit = scale_of(YIELD, units), unit_of(YIELD, units)
    force = scale * known.sensitivity.value(YIELD)
    doubt = scale * known.sensitivity.expanded(YIELD)
    wall = ride.answer.verdict.governing.wall
    return (
        f"First to yield: the {wall}, at {no_finer(force, doubt)} ± {figures(doubt, 2)} {unit} on "
        f"one hook (k = 2; {ride.end} wheel, {ride.setup.name}; {ride.analysis.sheet.metal.name})."
    )
