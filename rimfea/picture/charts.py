"""Charts on axes: loads of every wall, stress along the rim, deflection, rims compared."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.projections.polar import PolarAxes

from rimfea.elastic.ring_field import RingField
from rimfea.picture.palette import FAINT, INK, wall_colour
from rimfea.picture.theme import is_small
from rimfea.picture.wheel import lowest_node, rounded_down
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.words.analyse import load_words
from rimfea.words.numbers import Units
from rimfea.words.tables import MAIN_CASES

ALONG_MM = 120.0  # of rim beside a load
LONGEST_BAR = 8  # times the shortest
TONES = ("#33414b", "#7d97a5", "#c9b27a")
HATCHES = ("", "///", "...")


def draw_loads(axes: Axes, answer: Answer, units: Units) -> None:
    """A bar a wall: the load at first yield, the governing wall on top."""
    walls = answer.verdict.walls
    loads = np.array([answer.load_at(wall.first_yield) for wall in walls]) / units.force_N
    rank = np.arange(len(walls))
    shortest = loads[loads > 0].min(initial=np.inf)
    shown = np.minimum(loads, LONGEST_BAR * shortest)
    axes.barh(rank, shown, color=[wall_colour(w.wall) for w in walls], edgecolor=INK, linewidth=0.6)
    for k, (wall, load, length) in enumerate(zip(walls, loads, shown, strict=True)):
        beyond = " →" if load > length else ""
        text = f" {load_words(answer, wall.first_yield, units)}{beyond}"
        axes.text(length, k, text, va="center", color=INK)
    axes.set_yticks(rank, [wall.wall for wall in walls], color=INK)
    axes.invert_yaxis()
    axes.set_xlim(0, 1.35 * shown.max())
    axes.set_xlabel(f"{answer.name}: load at first yield, {units.force}")
    quiet(axes)


def draw_around(axes: Axes, analysis: Analysis, answer: Answer) -> None:
    """Stress that the load alone makes in the three worst walls, along the rim beside it."""
    if answer.around is None:
        return
    around, radius = answer.around, analysis.sheet.seat_radius_mm
    near = np.abs(around.theta) * radius <= ALONG_MM
    along = around.theta[near] * radius
    worst = [wall.wall for wall in answer.verdict.walls[:3]]
    for name, dashes in zip(worst, ("-", "--", ":"), strict=True):
        stress = around.stress_MPa[around.names.index(name)][near]
        axes.plot(along, stress, color=INK, linewidth=3.0, alpha=0.35)
        axes.plot(along, stress, dashes, color=wall_colour(name), linewidth=2.2, label=name)
    reach = answer.verdict.governing.reach_mm
    axes.axvspan(-reach / 2, reach / 2, color=FAINT, alpha=0.18, linewidth=0)
    breath = "\n" if is_small(axes) else " "
    axes.set_xlabel(f"along the rim from the load, mm{breath}(shaded: {reach:.0f} mm above half)")
    axes.set_ylabel("von Mises stress of the load alone, MPa")
    axes.set_ylim(bottom=0)
    axes.legend(frameon=False)
    quiet(axes)


def draw_deflection(axes: Axes, analysis: Analysis, answer: Answer) -> None:
    """The rim's mid-line seen from the right, its radial deflection exaggerated."""
    theta = np.linspace(-np.pi, np.pi, 361)
    radius = analysis.sheet.seat_radius_mm
    if not isinstance(answer.field, RingField):
        return
    radial = answer.field.path(lowest_node(analysis), theta)[:, 1]
    size = rounded_down(0.25 * radius / float(np.abs(radial).max()))
    axes.plot(theta, np.full_like(theta, radius), color=FAINT, linewidth=1.0)
    axes.plot(theta, radius + size * radial, color=INK, linewidth=2.0)
    if isinstance(axes, PolarAxes):
        axes.set_theta_zero_location("S")
    axes.set_ylim(0, 1.05 * (radius + size * max(radial.max(), 0.0)))
    axes.set_axis_off()
    moved = np.abs(radial).max()
    axes.set_title(f"deflection × {size:.0f}; most {moved:.2f} mm", color=INK)


def draw_cases(axes: Axes, analyses: Sequence[Analysis], units: Units) -> None:
    """For each rim a bar for each main case: its load at first yield."""
    shown = [k for k, each in enumerate(analyses[0].answers) if each.name in MAIN_CASES]
    rank, width = np.arange(len(analyses)), 0.8 / len(shown)
    for k, case in enumerate(shown):
        answers = [each.answers[case] for each in analyses]
        loads = [
            0.0 if rim.buckles else each.load_at(each.verdict.governing.first_yield) / units.force_N
            for rim, each in zip(analyses, answers, strict=True)
        ]
        axes.bar(
            rank + (k - (len(shown) - 1) / 2) * width,
            loads,
            width * 0.94,
            label=answers[0].name,
            color=TONES[k],
            hatch=HATCHES[k],
            edgecolor=INK,
            linewidth=0.6,
        )
    axes.set_ylabel(f"load at first yield, {units.force}")
    names, small = [plain(each.sheet.name) for each in analyses], is_small(axes)
    axes.set_xticks(rank, names, color=INK, rotation=30 if small else 0)
    columns = 1 if small else len(shown)
    axes.legend(ncols=columns, frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0))
    quiet(axes)


def quiet(axes: Axes) -> None:
    """Axes without a frame above and to the right, the rest in ink."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["bottom", "left"]].set_color(INK)
    axes.tick_params(colors=INK)
    for label in (axes.xaxis.label, axes.yaxis.label):
        label.set_color(INK)
    legend = axes.get_legend()
    for text in legend.get_texts() if legend else ():
        text.set_color(INK)


def plain(text: str) -> str:
    """A user's text for a picture, with no sign taken for mathematics."""
    return text.replace("$", r"\$")
