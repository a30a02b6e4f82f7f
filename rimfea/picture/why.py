"""What carries a blow, drawn: the section with its walls, and their shares as bars."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rimfea.ask.why import Why
from rimfea.picture.charts import plain, quiet
from rimfea.picture.palette import INK, PAPER, wall_colour
from rimfea.picture.section import bare, draw_outline, draw_walls
from rimfea.words.numbers import CAUTION, Units
from rimfea.words.why import why_headline


def why_figure(found: Why, units: Units) -> Figure:
    """The section with its walls, the blow on the struck hook, and beside it a bar a wall."""
    figure = Figure(figsize=(10.0, 4.4), layout="constrained", facecolor=PAPER)
    left, right = figure.subplots(1, 2, width_ratios=(1.2, 1))
    draw_blow(left, found, units)
    draw_shares(right, found)
    figure.suptitle(plain(why_headline(found)), color=INK, fontsize=11, wrap=True)
    figure.supxlabel(CAUTION, fontsize=7.5, color=INK, wrap=True)
    return figure


def draw_blow(axes: Axes, found: Why, units: Units) -> None:
    """The section in the colours of its walls, and an arrow where the blow lands."""
    analysis, answer = found.analysis, found.answer
    draw_walls(bare(axes, analysis), analysis)
    draw_outline(axes, analysis)
    sheet = analysis.sheet
    side = -1.0 if answer.landing.mirrored else 1.0
    x = side * (sheet.outer_width_mm / 2 - sheet.hook_lip_mm / 2)
    top = sheet.hook_height_mm
    arrow = {"arrowstyle": "-|>", "color": INK, "linewidth": 2.0}
    axes.annotate("", (x, top + 0.2), xytext=(x, top + 4.0), arrowprops=arrow)
    axes.text(
        x - 0.8 * side,
        top + 2.6,
        units.in_force(answer.load),
        color=INK,
        ha="left" if side < 0 else "right",
    )
    axes.set_ylim(top=top + 4.5)


def draw_shares(axes: Axes, found: Why) -> None:
    """Of the blow what every wall takes along the rim, the hook on top."""
    rank = np.arange(len(found.steps))
    shares = [100 * step.carries for step in found.steps]
    colours = [wall_colour(step.weakest.wall) for step in found.steps]
    axes.barh(rank, shares, color=colours, edgecolor=INK, linewidth=0.6)
    for k, share in enumerate(shares):
        axes.text(max(share, 0.0), k, f" {share:.0f} %", va="center", color=INK)
    axes.set_yticks(rank, [str(step.piece) for step in found.steps], color=INK)
    axes.invert_yaxis()
    axes.set_xlim(0, 1.2 * max(shares))
    axes.set_xlabel("of the blow goes along the rim there, %")
    quiet(axes)
