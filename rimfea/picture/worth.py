"""What each dimension is worth, as bars."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rimfea.arrays import Floats
from rimfea.ask.worth import WALLS, Worth
from rimfea.picture.charts import plain, quiet
from rimfea.picture.palette import FAINT, INK, PAPER, wall_colour
from rimfea.profile.uncertainty import COVERAGE
from rimfea.study.outcome import BY_KEY, OUTCOMES
from rimfea.words.numbers import CAUTION
from rimfea.words.worth import named, worth_headline


def worth_figure(found: Worth) -> Figure:
    """Two charts: strength that a gram buys, and what 0.1 mm more does to it, a bar a dimension."""
    figure = Figure(figsize=(11.0, 6.0), layout="constrained", facecolor=PAPER)
    left, right = figure.subplots(1, 2)
    gain, slopes = found.per_gram(), found.slopes
    _bars(left, list(reversed(gain)), np.array(list(reversed(gain.values()))))
    left.set_xlabel("first yield on one hook, N per gram spent there")
    tenth = {key: found.per_tenth(key, "yield_N") for key in slopes.keys}
    ranked = sorted(tenth, key=lambda key: tenth[key])
    place = OUTCOMES.index(BY_KEY["yield_N"])
    shares = slopes.slope[:, place] * slopes.lengths.standard
    doubt = COVERAGE * np.abs([shares[slopes.keys.index(key)] for key in ranked])
    _bars(right, ranked, np.array([tenth[key] for key in ranked]))
    told = "doubt that its measurement leaves, N (k = 2)"
    right.plot(doubt, range(len(ranked)), "D", color=PAPER, mec=INK, markersize=6, label=told)
    right.set_xlabel("first yield on one hook, N per 0.1 mm")
    right.legend(frameon=False, loc="lower right")
    figure.suptitle(plain(worth_headline(found)), color=INK, fontsize=11, wrap=True)
    figure.supxlabel(CAUTION, fontsize=7.5, color=INK, wrap=True)
    return figure


def _bars(axes: Axes, keys: list[str], values: Floats) -> None:
    colours = [wall_colour(named(key)) if key in WALLS else FAINT for key in keys]
    axes.barh(range(len(keys)), values, color=colours, edgecolor=INK, linewidth=0.6)
    axes.set_yticks(range(len(keys)), [named(key) for key in keys], color=INK)
    axes.axvline(0, color=INK, linewidth=0.8)
    quiet(axes)
