"""How well a sheet draws a section from outside, in sentences."""

from __future__ import annotations

from pathlib import PurePath

from rimfea.ask.compare import Measured
from rimfea.ask.fit import Rated, fits
from rimfea.ask.trace import Traced
from rimfea.words.numbers import Units, figures, no_finer
from rimfea.words.outcomes import scale_of, unit_of
from rimfea.words.tables import Table

YIELD = "yield_N"
FINEST_MM = 0.001
SURE = 0.9  # of a wall's length


def fit_words(rated: Rated) -> str:
    """What the sheet is, and how near its drawing runs to the section."""
    kept = rated.sheet.section is not None
    if rated.fit is None:
        return "No sheet draws this section: it is kept as it was traced, with its walls named."
    fit = rated.fit
    worst, x, y = fit.worst
    typical, most = (figures(max(mm, FINEST_MM), 1) for mm in (fit.typical_mm, abs(worst)))
    near = f"{typical} mm, at worst {most} mm at x {x:.1f}, y {y:.1f} mm"
    if not kept:
        return f"As a sheet it is a {fit.sheet.family}, drawn within {near}."
    if fits(fit):
        return f"It is kept as it was traced; a {fit.sheet.family} would be drawn within {near}."
    return (
        f"No sheet draws this section: the nearest, a {fit.sheet.family}, misses it by {near}. It "
        "is kept as it was traced, and only its walls can be made thicker."
    )


def named_table(rated: Rated) -> Table:
    """How sure it is which wall is which."""
    rows = [
        (str(wall), f"{100 * share:.0f} %", "" if share > SURE else "look at it")
        for wall, share in rated.named_alike.items()
    ]
    return Table("Which wall is which: named alike in two ways", ("wall", "alike", ""), tuple(rows))


def sheet_heading(found: Traced, rated: Rated) -> str:
    """What a file with the sheet says above all."""
    what = "scan" if found.scan else "drawing"
    return (
        f"From the {what} {PurePath(found.source).name}.\n{fit_words(rated)}\n"
        "Add alloy, spoke_count, spoke_tension_N and weighed_mass_g; measure a wall to check."
    )


def verdict_words(known: Measured, units: Units) -> str:
    """Which wall of a sheet gives first, and how sure that is."""
    ride = known.ride
    scale, unit = scale_of(YIELD, units), unit_of(YIELD, units)
    force = scale * known.sensitivity.value(YIELD)
    doubt = scale * known.sensitivity.expanded(YIELD)
    wall = ride.answer.verdict.governing.wall
    return (
        f"First to yield: the {wall}, at {no_finer(force, doubt)} ± {figures(doubt, 2)} {unit} on "
        f"one hook (k = 2; {ride.end} wheel, {ride.setup.name}; {ride.analysis.sheet.metal.name})."
    )
