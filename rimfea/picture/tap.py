"""Where to hold a bare rim and where to tap it, and its tones on a scale."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure

from rimfea.arrays import Floats
from rimfea.elastic.modes import Kind
from rimfea.picture.charts import plain, quiet
from rimfea.picture.palette import FAINT, INK, LESS, MORE, PAPER
from rimfea.picture.recording import recording_figure
from rimfea.vary.tap import Tap, Tone
from rimfea.words.numbers import CAUTION
from rimfea.words.tap import FROM, apart_cm, hertz, tap_headline, tone_words

DRAWN = (2, 3)  # waves, of both kinds
SWING = 0.13  # of the radius
ROUND = 481
TICKS_HZ = (20, 50, 100, 200, 300, 500, 1000, 2000, 3000, 5000, 10_000)
COLOURS = {Kind.SIDEWAYS: MORE, Kind.IN_PLANE: LESS}


def tap_figure(found: Tap) -> Figure:
    """The rim from the right in the first modes of each kind, hung at the top, and all tones; or
    the spectrum of a recording, with these.
    """
    if found.recorded is not None:
        expected = [(tone.hertz, f"tone {k}") for k, tone in enumerate(found.tones, 1)]
        return recording_figure(found.recorded, expected, plain(tap_headline(found)))
    shown = [tone for tone in found.tones if tone.waves in DRAWN]
    shown.sort(key=lambda tone: (tone.waves, tone.kind is Kind.IN_PLANE))
    figure = Figure(figsize=(11.0, 6.6), layout="constrained", facecolor=PAPER)
    grid = figure.add_gridspec(2, len(shown), height_ratios=(1.5, 1))
    for k, tone in enumerate(shown):
        draw_mode(figure.add_subplot(grid[0, k]), found, tone)
    draw_tones(figure.add_subplot(grid[1, :]), found)
    figure.suptitle(plain(tap_headline(found)), color=INK, fontsize=11, wrap=True)
    figure.supxlabel(CAUTION, fontsize=7.5, color=INK, wrap=True)
    return figure


def draw_mode(axes: Axes, found: Tap, tone: Tone) -> None:
    """One mode with the string on top, which holds what stays still: rings where to hold, an arrow
    where to tap. What moves sideways moves towards you (+) and away (-).
    """
    axes.set_axis_off()
    axes.set_aspect("equal")
    theta = np.linspace(0, 2 * np.pi, ROUND)
    wave = np.sin(tone.waves * theta)
    axes.plot(*_place(1.0, theta), color=FAINT, linewidth=1.0)
    axes.plot([0, 0], [1.0, 1.42], color=INK, linewidth=1.0)
    if tone.kind is Kind.IN_PLANE:
        axes.plot(*_place(1 + SWING * wave, theta), color=LESS, linewidth=2.4)
        axes.plot(*_place(1 - SWING * wave, theta), color=LESS, linewidth=1.0, linestyle="--")
    else:
        _draw_sideways(axes, tone, theta, wave)
    still = _every(tone, 0.0)
    axes.plot(*_place(1.0, still), "o", color=PAPER, markeredgecolor=INK, markersize=7)
    arrow = {"arrowstyle": "-|>", "color": INK, "linewidth": 2.0}
    start, end = (_place(r, np.array(tone.aside)) for r in (1.5, 1.08 + SWING))
    axes.annotate("", tuple(end), xytext=tuple(start), arrowprops=arrow)
    axes.set_xlim(-1.6, 1.6)
    axes.set_ylim(-1.35, 1.5)
    tap = f"tap {FROM[tone.kind]},\n{apart_cm(found, tone)} cm from the string"
    axes.set_title(f"{tone_words(tone)}\n{tap}", color=INK, fontsize="medium")
    told = "○ hold here" if tone.kind is Kind.IN_PLANE else "○ hold here\n+ towards you\n- away"
    axes.text(0, 0, told, color=INK, ha="center", va="center", fontsize="small")


def draw_tones(axes: Axes, found: Tap) -> None:
    """Every tone expected as a line with its ±, and what was heard as a mark under it."""
    for k, tone in enumerate(found.tones):
        colour = COLOURS[tone.kind]
        wide = tone.hertz - tone.expanded, tone.hertz + tone.expanded
        axes.axvspan(*wide, color=colour, alpha=0.25, linewidth=0)
        axes.axvline(tone.hertz, color=colour, linewidth=1.4)
        axes.text(
            tone.hertz,
            0.5,
            f"  {hertz(tone.hertz, tone.expanded)}  ",
            color=INK,
            ha="left" if k % 2 else "right",  # they come in pairs
            fontsize="small",
        )
    for kind, colour in COLOURS.items():
        axes.plot([], [], color=colour, label=f"{kind}, tapped {FROM[kind]}")
    if found.heard:
        heard = [each.hertz for each in found.heard]
        axes.plot(heard, np.full(len(heard), 0.12), "^", color=INK, markersize=9, label="heard")
    every = [*(each.hertz for each in found.heard), *(tone.hertz for tone in found.tones)]
    axes.set_xscale("log")
    low, high = 0.85 * min(every), 1.2 * max(every)
    axes.set_xlim(low, high)
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    ticks = [f for f in TICKS_HZ if low <= f <= high]
    axes.set_xticks(ticks, [str(each) for each in ticks], minor=False)
    axes.set_xticks([], minor=True)
    axes.set_xlabel("tone, Hz")
    axes.legend(frameon=False, ncols=3, loc="lower center", bbox_to_anchor=(0.5, 1.0))
    quiet(axes)


def _draw_sideways(axes: Axes, tone: Tone, theta: Floats, wave: Floats) -> None:
    """Thicker where it moves more, in one colour towards you and in another away."""
    points = _place(1.0, theta).T
    pieces = np.stack([points[:-1], points[1:]], axis=1)
    middle = (wave[:-1] + wave[1:]) / 2
    axes.add_collection(
        LineCollection(
            [*pieces],
            colors=[MORE if each > 0 else LESS for each in middle],
            linewidths=0.8 + 6.0 * np.abs(middle),
        )
    )
    for k, (x, y) in enumerate(_place(0.82, _every(tone, tone.aside)).T):
        sign = "+" if k % 2 == 0 else "-"
        axes.text(x, y, sign, color=INK, ha="center", va="center", fontweight="bold")


def _every(tone: Tone, first: float) -> Floats:
    """Angles of the places alike, from the first on."""
    return np.asarray(first + 2 * tone.aside * np.arange(2 * tone.waves), dtype=np.float64)


def _place(radius: Floats | float, theta: Floats) -> Floats:
    """Points (2, t) at angles from the top, clockwise."""
    return np.asarray([radius * np.sin(theta), radius * np.cos(theta)])
