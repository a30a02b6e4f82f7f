"""Figures, returned and never shown: the section with its walls, its stress, rims compared."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.figure import Figure

from rimfea.report.charts import draw_around, draw_cases, draw_deflection, draw_loads, plain
from rimfea.report.palette import INK, PAPER, STRESS
from rimfea.report.ride_charts import draw_ladders, draw_windows
from rimfea.report.section_drawing import (
    bare,
    draw_dimensions,
    draw_outline,
    draw_stress,
    draw_walls,
    mark,
    mark_both,
    name_walls,
)
from rimfea.report.words import CAUTION, Units, headline, load_words
from rimfea.study.analysis import Analysis
from rimfea.study.ride import Ride

TITLE = 90  # letters of a title in a line


def section_figure(analysis: Analysis) -> Figure:
    """The section with every wall in its colour and by its name, and the main dimensions."""
    figure = Figure(figsize=(8.0, 5.6), layout="constrained", facecolor=PAPER)
    axes = bare(figure.subplots(), analysis)
    draw_walls(axes, analysis)
    draw_outline(axes, analysis)
    name_walls(axes, analysis)
    draw_dimensions(axes, analysis)
    sheet = analysis.sheet
    axes.set_title(
        f"{plain(sheet.name)}: {sheet.family}, {sheet.bead_seat_diameter_mm:g} mm", color=INK
    )
    _foot(figure)
    return figure


def stress_figure(analysis: Analysis, units: Units, rides: Sequence[Ride] = ()) -> Figure:
    """The verdict as a picture: stress with the governing cut marked, the load at which every
    wall yields, for a ring the stress along the rim and the whole rim's deflection, and for the
    wheels of a set-up their ladders and tension windows.
    """
    answer = analysis.governing
    lines = 1 + (answer.around is not None) + bool(rides)
    figure = Figure(figsize=(12.0, 1.4 + 4.0 * lines), layout="constrained", facecolor=PAPER)
    grid = figure.add_gridspec(lines, 2, width_ratios=(1.5, 1))
    left = bare(figure.add_subplot(grid[0, 0]), analysis)
    draw_stress(left, analysis, answer)
    mark_both(left, answer.verdict.governing, answer.verdict.runner_up)
    bar = figure.colorbar(stress_scale(), ax=left, location="bottom", shrink=0.6, pad=0.02)
    bar.set_label("von Mises stress when the first wall yields, share of the proof stress")
    draw_loads(figure.add_subplot(grid[0, 1]), answer, units)
    if answer.around:
        draw_around(figure.add_subplot(grid[1, 0]), analysis, answer, units)
        draw_deflection(figure.add_subplot(grid[1, 1], projection="polar"), analysis, answer)
    if rides:
        draw_ladders(figure.add_subplot(grid[-1, 0]), rides)
        draw_windows(figure.add_subplot(grid[-1, 1]), rides, units)
    title = f"{plain(analysis.sheet.name)}: {headline(analysis, units)}"
    figure.suptitle(_in_lines(title), color=INK)
    _foot(figure)
    return figure


def comparison_figure(analyses: Sequence[Analysis], units: Units) -> Figure:
    """Every rim under the case its verdict rests on, to one scale, its governing cut marked,
    above the loads at first yield of the main cases.
    """
    columns = 2 if len(analyses) in (2, 4) else min(3, len(analyses))
    lines = -(-len(analyses) // columns)
    figure = Figure(figsize=(4.4 * columns, 2.9 * lines + 3.0), layout="constrained")
    figure.set_facecolor(PAPER)
    grid = figure.add_gridspec(lines + 1, columns, height_ratios=[2.9] * lines + [2.4])
    for k, analysis in enumerate(analyses):
        axes = bare(figure.add_subplot(grid[k // columns, k % columns]), analysis, analyses)
        answer = analysis.governing
        wall = answer.verdict.governing
        draw_stress(axes, analysis, answer)
        mark(axes, wall, INK)
        load = load_words(answer, wall.first_yield, units)
        told = "the rim buckles" if analysis.buckles else f"{wall.wall}, {load}"
        title = f"{plain(analysis.sheet.name)}: {told}"
        axes.set_title(title, color=INK, fontsize=11)
    draw_cases(figure.add_subplot(grid[lines, :]), analyses, units)
    case = analyses[0].governing.name
    figure.suptitle(f"{case}: which wall gives first, and at what load", color=INK, fontsize=14)
    _foot(figure)
    return figure


def stress_scale() -> ScalarMappable:
    """The colours of stress from nothing to yield."""
    return ScalarMappable(Normalize(0.0, 1.0), STRESS)


def _in_lines(title: str) -> str:
    """A long title broken after a semicolon, and wherever it is still too long."""
    parts = title.replace("; ", ";\n").split("\n")
    return "\n".join(line for part in parts for line in wrap(part, TITLE))


def _foot(figure: Figure) -> None:
    figure.supxlabel(CAUTION, fontsize=7.5, color=INK, wrap=True)
