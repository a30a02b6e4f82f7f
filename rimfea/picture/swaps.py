"""Where the difference between two rims comes from, as bars."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rimfea.ask.swaps import Swaps
from rimfea.picture.charts import plain, quiet
from rimfea.picture.palette import INK, LESS, MORE, PAPER
from rimfea.study.outcome import BY_KEY
from rimfea.words.numbers import CAUTION, Units
from rimfea.words.swaps import HEADS, shown_outcomes, signed

WIDE = 2.9  # inches a chart


def swaps_figure(found: Swaps, units: Units) -> Figure:
    """A chart an outcome: a bar a piece, then what they do together."""
    keys = shown_outcomes(found)
    size = (2.0 + WIDE * max(len(keys), 1), 1.8 + 0.36 * (len(found.swaps) + 1))
    figure = Figure(size, layout="constrained", facecolor=PAPER)
    for place, key in enumerate(keys):
        draw_swaps(figure.add_subplot(1, len(keys), place + 1), found, key, units, named=not place)
    told = f"What the pieces of {found.other.name} do in {found.base.name}"
    figure.suptitle(plain(found.refused or told), color=INK, fontsize=12, wrap=True)
    figure.supxlabel(CAUTION, fontsize=7.5, color=INK, wrap=True)
    return figure


def draw_swaps(axes: Axes, found: Swaps, key: str, units: Units, *, named: bool = True) -> None:
    """One outcome, the pieces from the crown down; a bar's number stands beside it."""
    changes = [*(swap.change(key) for swap in found.swaps), found.together(key)]
    values = np.nan_to_num(changes) / (units.force_N if BY_KEY[key].unit == "N" else 1.0)
    rank = np.arange(len(values))
    colours = [MORE if value >= 0 else LESS for value in values]
    axes.barh(rank, values, color=colours, edgecolor=INK, linewidth=0.6)
    for place, (value, change) in enumerate(zip(values, changes, strict=True)):
        axes.annotate(
            signed(change, key, units),
            (value, place),
            xytext=(4 if value >= 0 else -4, 0),
            textcoords="offset points",
            ha="left" if value >= 0 else "right",
            va="center",
            color=INK,
        )
    names = [*(str(swap.piece) for swap in found.swaps), "together"]
    axes.set_yticks(rank, names if named else [""] * len(names), color=INK)
    axes.invert_yaxis()
    axes.axvline(0, color=INK, linewidth=0.8)
    axes.margins(x=0.35)
    unit = units.force if BY_KEY[key].unit == "N" else BY_KEY[key].unit
    axes.set_xlabel(f"{HEADS[key]}, {unit}")
    quiet(axes)
