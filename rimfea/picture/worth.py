"""What each dimension is worth, as bars."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rimfea.ask.worth import WALLS, Worth
from rimfea.picture.charts import plain, quiet
from rimfea.picture.palette import FAINT, INK, PAPER, wall_colour
from rimfea.profile.uncertainty import COVERAGE
from rimfea.study.outcome import BY_KEY, OUTCOMES
from rimfea.words.numbers import CAUTION, USUAL, Units
from rimfea.words.worth import STRENGTHS, named, worth_headline

THICK = 0.4  # of a bar
HATCHES = "", "////"


def worth_figure(found: Worth, units: Units = USUAL) -> Figure:
    """Two charts: strength that a gram buys, and what 0.1 mm more does to it, two bars a
    dimension, of permanent set and of first yield.
    """
    figure = Figure(figsize=(11.0, 6.5), layout="constrained", facecolor=PAPER)
    left, right = figure.subplots(1, 2)
    slopes = found.slopes
    best = list(reversed(found.per_gram()))
    _bars(left, best, slopes.per_gram, units)
    left.set_xlabel(f"on one hook, {units.force} per gram spent there")
    ranked = sorted(slopes.keys, key=lambda key: found.per_tenth(key, "set_N"))
    _bars(right, ranked, found.per_tenth, units)
    place = OUTCOMES.index(BY_KEY["set_N"])
    shares = slopes.slope[:, place] * slopes.lengths.standard
    doubt = COVERAGE / units.force_N * np.abs([shares[slopes.keys.index(key)] for key in ranked])
    rows = np.arange(len(ranked)) + THICK / 2
    told = "± of set that its own measurement leaves (k = 2)"
    right.plot(doubt, rows, "D", color=PAPER, mec=INK, markersize=5, label=told)
    right.set_xlabel(f"on one hook, {units.force} per 0.1 mm")
    right.legend(frameon=False, loc="upper right", bbox_to_anchor=(1, -0.07), ncols=3)
    figure.suptitle(plain(worth_headline(found, units)), color=INK, fontsize=11, wrap=True)
    figure.supxlabel(CAUTION, fontsize=7.5, color=INK, wrap=True)
    return figure


def _bars(axes: Axes, keys: list[str], slope: Callable[[str, str], float], units: Units) -> None:
    colours = [wall_colour(named(key)) if key in WALLS else FAINT for key in keys]
    rows = np.arange(len(keys))
    for place, (outcome, told) in enumerate(STRENGTHS.items()):
        values = [slope(key, outcome) / units.force_N for key in keys]
        bars = axes.barh(
            rows + THICK * (0.5 - place),
            values,
            THICK,
            color=colours,
            edgecolor=INK,
            linewidth=0.6,
            hatch=HATCHES[place],
        )
        bars.set_label(told)
    axes.set_yticks(range(len(keys)), [named(key) for key in keys], color=INK)
    axes.axvline(0, color=INK, linewidth=0.8)
    quiet(axes)
