"""Figures, returned and never shown: the section with its walls, its stress, rims compared."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.figure import Figure

from rimfea.ask.compare import Measured
from rimfea.picture.charts import draw_around, draw_cases, draw_deflection, draw_loads, plain
from rimfea.picture.compare import draw_strength
from rimfea.picture.dent import draw_dent, draw_depth
from rimfea.picture.overlaid import draw_grams, draw_overlaid
from rimfea.picture.palette import INK, PAPER, STRESS
from rimfea.picture.rides import draw_ladders, draw_windows
from rimfea.picture.section import (
    bare,
    draw_dimensions,
    draw_outline,
    draw_stress,
    draw_walls,
    mark,
    mark_both,
    name_walls,
)
from rimfea.picture.theme import is_small
from rimfea.picture.wheel import draw_moved, draw_wheel
from rimfea.study.analysis import Analysis
from rimfea.study.ride import Ride
from rimfea.words.analyse import load_words
from rimfea.words.numbers import CAUTION, Units
from rimfea.words.verdict import verdict_lines

SCALE = "von Mises stress when the first wall yields, share of the proof stress"
TITLE = 110  # letters of a title in a line


def section_figure(analysis: Analysis) -> Figure:
    """The section with every wall in its colour and by its name, and the main dimensions."""
    figure = Figure(figsize=(8.0, 5.6), layout="constrained", facecolor=PAPER)
    draw_section(figure.subplots(), analysis)
    _foot(figure)
    return figure


def draw_section(axes: Axes, analysis: Analysis) -> None:
    """The same on axes."""
    draw_walls(bare(axes, analysis), analysis)
    draw_outline(axes, analysis)
    name_walls(axes, analysis)
    draw_dimensions(axes, analysis)
    sheet = analysis.sheet
    kind = f"{sheet.family}, {sheet.bead_seat_diameter_mm:g} mm"
    axes.set_title(f"{plain(sheet.name)}: {kind}", color=INK)


def verdict_figure(analysis: Analysis, units: Units, rides: Sequence[Ride] = ()) -> Figure:
    """The answer as one picture: what to do, the stress with the cut that yields first marked, and
    the load at which every wall yields.
    """
    figure = Figure(figsize=(12.0, 5.4), layout="constrained", facecolor=PAPER)
    left, right = figure.subplots(1, 2, width_ratios=(1.5, 1))
    draw_verdict(left, analysis)
    draw_loads(right, analysis.governing, units)
    _title(figure, verdict_lines(analysis, rides, units)[0])
    _foot(figure)
    return figure


def stress_figure(analysis: Analysis, units: Units, rides: Sequence[Ride] = ()) -> Figure:
    """All that is known of a rim in pictures: stress with the cut that yields first marked, the
    load at which every wall yields, for a ring the stress along the rim, its deflection and the
    wheel's under its rider, and for the wheels of a set-up their ladders and tension windows;
    where a dent is known, also the last wheel's.
    """
    answer = analysis.governing
    dented = [ride for ride in rides if ride.knows_dent][-1:]
    lines = 1 + 2 * (answer.around is not None) + bool(rides) + len(dented)
    figure = Figure(figsize=(12.0, 1.4 + 4.0 * lines), layout="constrained", facecolor=PAPER)
    grid = figure.add_gridspec(lines, 2, width_ratios=(1.5, 1))
    draw_verdict(figure.add_subplot(grid[0, 0]), analysis)
    draw_loads(figure.add_subplot(grid[0, 1]), answer, units)
    if answer.around:
        draw_around(figure.add_subplot(grid[1, 0]), analysis, answer)
        draw_deflection(figure.add_subplot(grid[1, 1], projection="polar"), analysis, answer)
        draw_moved(bare(figure.add_subplot(grid[2, 0]), analysis), analysis, answer)
        draw_wheel(figure.add_subplot(grid[2, 1]), analysis, units)
    for ride in dented:
        draw_dent(figure.add_subplot(grid[-2, 0]), ride)
        draw_depth(figure.add_subplot(grid[-2, 1]), ride)
    if rides:
        draw_ladders(figure.add_subplot(grid[-1, 0]), rides)
        draw_windows(figure.add_subplot(grid[-1, 1]), rides, units)
    _title(figure, verdict_lines(analysis, rides, units)[0])
    _foot(figure)
    return figure


def rides_figure(rides: Sequence[Ride], units: Units) -> Figure:
    """Wheels of a set-up side by side: their ladders and tension windows, and below them the dents
    that are known.
    """
    dented = [ride for ride in rides if ride.knows_dent]
    lines = 1 + len(dented)
    figure = Figure((12.0, 0.6 + 4.0 * lines), layout="constrained", facecolor=PAPER)
    grid = figure.add_gridspec(lines, 2)
    draw_ladders(figure.add_subplot(grid[0, 0]), rides)
    draw_windows(figure.add_subplot(grid[0, 1]), rides, units)
    for k, ride in enumerate(dented, 1):
        draw_dent(figure.add_subplot(grid[k, 0]), ride)
        draw_depth(figure.add_subplot(grid[k, 1]), ride)
    _foot(figure)
    return figure


def comparison_figure(
    analyses: Sequence[Analysis], units: Units, rims: Sequence[Measured] = (), base: int = 0
) -> Figure:
    """Every rim under the case its verdict rests on, to one scale, its governing cut marked,
    above the loads at first yield of the main cases; of ``rims`` also their sections laid over
    each other, the grams of their walls, and strength against mass.
    """
    columns = 2 if len(analyses) in (2, 4) else min(3, len(analyses))
    lines = -(-len(analyses) // columns)
    charts = [3.4, 2.4, 3.6] if rims else [2.4]
    heights = [2.9] * lines + charts
    figure = Figure((4.4 * columns, sum(heights) + 0.6), layout="constrained", facecolor=PAPER)
    grid = figure.add_gridspec(len(heights), columns, height_ratios=heights)
    for k, analysis in enumerate(analyses):
        axes = figure.add_subplot(grid[k // columns, k % columns])
        draw_governing(axes, analysis, units, analyses)
    if rims:
        within = grid[lines, :].subgridspec(1, 2, width_ratios=(1.6, 1))
        draw_overlaid(figure.add_subplot(within[0, 0]), analyses, base)
        draw_grams(figure.add_subplot(within[0, 1]), analyses)
        draw_strength(figure.add_subplot(grid[lines + 2, :]), rims, units)
    draw_cases(figure.add_subplot(grid[lines + len(charts[:-2]), :]), analyses, units)
    case = analyses[0].governing.name
    figure.suptitle(f"{case}: which wall gives first, and at what load", color=INK, fontsize=14)
    _foot(figure)
    return figure


def draw_governing(
    axes: Axes, analysis: Analysis, units: Units, together: Sequence[Analysis] = ()
) -> None:
    """Stress on the section at first yield, the governing cut marked and told in the title."""
    answer = analysis.governing
    wall = answer.verdict.governing
    draw_stress(bare(axes, analysis, together), analysis, answer)
    mark(axes, wall, INK)
    load = load_words(answer, wall.first_yield, units)
    told = "the rim buckles" if analysis.buckles else f"{wall.wall}, {load}"
    axes.set_title(f"{plain(analysis.sheet.name)}: {told}", color=INK)


def draw_verdict(axes: Axes, analysis: Analysis) -> None:
    """Stress on the section at first yield with its scale, the cuts of the wall that governs and
    of the runner-up marked.
    """
    answer = analysis.governing
    draw_stress(bare(axes, analysis), analysis, answer)
    mark_both(axes, answer.verdict.governing, answer.verdict.runner_up)
    bar = axes.figure.colorbar(stress_scale(), ax=axes, location="bottom", shrink=0.6, pad=0.02)
    bar.set_label(SCALE.replace(", ", ",\n") if is_small(axes) else SCALE, color=INK)


def stress_scale() -> ScalarMappable:
    """The colours of stress from nothing to yield."""
    return ScalarMappable(Normalize(0.0, 1.0), STRESS)


def _title(figure: Figure, told: str) -> None:
    figure.suptitle("\n".join(wrap(plain(told), TITLE)), color=INK)


def _foot(figure: Figure) -> None:
    figure.supxlabel(CAUTION, fontsize=7.5, color=INK, wrap=True)
