"""Ladder and tension window on axes."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

import numpy as np
from matplotlib.axes import Axes

from rimfea.arrays import Floats
from rimfea.picture.charts import plain, quiet
from rimfea.picture.palette import FAINT, INK, LESS, PAPER
from rimfea.picture.theme import is_small
from rimfea.strike.ladder import Event
from rimfea.study.ride import Ride
from rimfea.units import to_unit
from rimfea.words.numbers import Units
from rimfea.words.rides import (
    USE_CONDITIONS,
    USE_SOURCE,
    bound_words,
    event_words,
    in_both,
    largest_tension,
)

RAIL = 0.09  # half the width of a ladder, where ladders stand 1 apart
BAR, TICK = 0.13, 0.19  # half the width of a window, where windows stand 1 apart, and of its ends
BOX = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.5}
GAP = 0.055  # of the height between two lines of text
BRIEF = {
    Event.FLAT: "flat",
    Event.CASING: "casing",
    Event.YIELD: "yield",
    Event.SET: "set",
}
ALLOWED, SPOKES = "#7d97a5", "#33414b"


def draw_ladders(axes: Axes, rides: Sequence[Ride]) -> None:
    """A ladder a wheel, a rung an event, its height the drop that brings it."""
    small = is_small(axes)
    top = 1.15 * max(drop for ride in rides for drop in _drops(ride)) or 1.0
    for k, ride in enumerate(rides):
        rungs = ride.full_ladder.rungs
        for side in (-RAIL, RAIL):
            axes.plot([k + side] * 2, [0, top], color=FAINT, linewidth=1.6)
        heights = np.array([rung.drop_mm for rung in rungs])
        texts = _spread(heights, GAP * top)
        for rung, height, text in zip(rungs, heights, texts, strict=True):
            axes.plot([k - RAIL, k + RAIL], [height] * 2, color=INK, linewidth=3)
            axes.plot([k + RAIL, k + RAIL + 0.05], [height, text], color=FAINT, linewidth=0.8)
            brief = BRIEF.get(rung.event) if small else None
            event = brief or event_words(rung, ride.setup)
            told = f"{event}, {height:.0f} mm"
            axes.text(
                k + RAIL + 0.07, text, told, va="center", color=INK, fontsize="small", bbox=BOX
            )
        axes.plot(k, ride.drop_mm, "v", color=LESS, markersize=9, zorder=3)
    axes.plot([], [], "v", color=LESS, label="the set-up's own blow")
    for height, name in USE_CONDITIONS.items():
        if height < top:
            told = f"{name}: {USE_SOURCE}"
            axes.axhline(height, color=FAINT, linestyle=":", linewidth=1.2, label=told)
    axes.set_xlim(-0.2, len(rides) - 0.05)
    axes.set_ylim(0, top)
    axes.set_xticks(range(len(rides)), [_name(ride, axes) for ride in rides], color=INK)
    axes.set_ylabel("drop, mm")
    axes.legend(
        frameon=False,
        loc="lower center",
        bbox_to_anchor=(0.5, 1.0),
        ncols=1 if small else 2,
        fontsize="small",
    )
    quiet(axes)


def draw_windows(axes: Axes, rides: Sequence[Ride], units: Units) -> None:
    """A bar a wheel from the lowest to the highest tension, the builder's target in it."""
    unit, small = to_unit(1.0, units.force), is_small(axes)
    most = 1.25 * unit * max(largest_tension(ride.window) for ride in rides)
    for k, ride in enumerate(rides):
        window = ride.window
        low, high = window.lowest.tension_N * unit, window.highest.tension_N * unit
        if window.is_open:
            axes.barh(k, high - low, 2 * BAR, low, color=ALLOWED, edgecolor=SPOKES, hatch="//")
        for force, bound, under in ((low, window.lowest, True), (high, window.highest, False)):
            axes.plot([force] * 2, [k - TICK, k + TICK], color=INK, linewidth=1.6)
            axes.text(
                force,
                k + (TICK if under else -TICK),
                in_both(bound.tension_N) + ("" if small else f"\n{_short(bound_words(bound))}"),
                ha="left" if force < most / 2 else "right",
                va="top" if under else "bottom",
                color=INK,
                fontsize="small",
            )
        axes.plot(window.target_N * unit, k, "o", color=PAPER, mec=INK, mew=2, markersize=11)
    axes.plot([], [], "o", color=PAPER, mec=INK, mew=2, label="target")
    axes.set_xlim(0, most)
    axes.set_ylim(len(rides) - 0.45, -0.55)
    axes.set_yticks(range(len(rides)), [_name(ride, axes) for ride in rides], color=INK)
    axes.set_xlabel(f"spoke tension of the tighter side, {units.force}")
    axes.legend(frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0), fontsize="small")
    quiet(axes)


def _drops(ride: Ride) -> list[float]:
    return [ride.drop_mm, *(rung.drop_mm for rung in ride.full_ladder.rungs)]


def _spread(heights: Floats, gap: float) -> Floats:
    """Heights (k,), rising, moved apart so that no two are closer than ``gap``, about where they
    were, but above 0.
    """
    apart = heights.copy()
    for k in range(1, len(apart)):
        apart[k] = max(apart[k], apart[k - 1] + gap)
    return np.asarray(apart - min((apart - heights).mean(), apart[0] - gap / 2))


def _name(ride: Ride, axes: Axes) -> str:
    return str(ride.end) if is_small(axes) else plain(ride.name)


def _short(reason: str) -> str:
    return "\n".join(wrap(reason, 30))
