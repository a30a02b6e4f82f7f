"""The spectrum of what rang after some taps, its tones, and those that were expected."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rimfea.arrays import Floats
from rimfea.picture.charts import quiet
from rimfea.picture.palette import FAINT, INK, LESS, MORE, PAPER
from rimfea.tapped.tones import Tones
from rimfea.words.numbers import CAUTION

BEYOND = 1.12  # times the highest tone, how far the picture goes
DEEPEST_DB = 75.0  # below the loudest
ROOM_DB, WORD_DB = 34.0, 3.0  # above the loudest, for words; between a peak and its words
CLOSE = 0.022  # of the picture's width: tones so close share their words
FINEST_HZ = 0.05  # what is known better has a decimal


def recording_figure(
    found: Tones, expected: Sequence[tuple[float, str]] = (), headline: str = ""
) -> Figure:
    """The spectrum with the tones that were found, what was left out, and a line at every tone
    that was ``expected``: its frequency in Hz, and what it is called; above it the headline, or
    how much was found.
    """
    figure = Figure(figsize=(9.0, 5.6), layout="constrained", facecolor=PAPER)
    axes = figure.subplots()
    draw_spectrum(axes, found)
    draw_expected(axes, expected)
    axes.legend(frameon=False, loc="lower left", labelcolor=INK)
    count, taps = len(found.hertz), len(found.taps)
    told = f"{count} tone{'s' if count > 1 else ''} after {taps} tap{'s' if taps > 1 else ''}"
    figure.suptitle(headline or told, color=INK, fontsize=10, wrap=True)
    figure.supxlabel(CAUTION, fontsize=7.5, color=INK, wrap=True)
    return figure


def draw_spectrum(axes: Axes, found: Tones) -> None:
    """The level of what rang, with a mark on every tone and a cross on what is none."""
    spectrum, top = found.spectrum, float(found.spectrum.level_dB.max())
    axes.plot(spectrum.hertz, spectrum.level_dB, color=INK, linewidth=0.8)
    axes.plot(spectrum.hertz, spectrum.noise_dB, ":", color=FAINT, linewidth=1.2, label="noise")
    others = np.array([each.hertz for each in found.left_out])
    if len(others):
        axes.plot(others, _peak(found, others), "x", color=FAINT, label="left out")
    axes.plot(found.hertz, _peak(found, found.hertz), "v", color=MORE, mec=INK, label="tone")
    last = BEYOND * max(found.hertz.max(), others.max(initial=0.0))
    axes.set_xlim(0.0, last)
    axes.set_ylim(top - DEEPEST_DB, top + ROOM_DB)
    for group in _close(found.hertz, CLOSE * last):
        told = ", ".join(_hertz(found.hertz[k], found.plus_minus_Hz[k]) for k in group)
        high = float(_peak(found, found.hertz[group]).max()) + WORD_DB
        place = float(found.hertz[group].mean())
        axes.text(place, high, told, rotation=90, ha="center", va="bottom", color=INK, fontsize=8)
    axes.set_xlabel("frequency, Hz")
    axes.set_ylabel("level, dB of the full scale")
    quiet(axes)


def draw_expected(axes: Axes, expected: Sequence[tuple[float, str]]) -> None:
    """A dashed line at every expected tone that the picture has, its name at the top."""
    low, high = axes.get_xlim()
    seen = sorted((hertz, name) for hertz, name in expected if low <= hertz <= high)
    if not seen:
        return
    for k, (hertz, _) in enumerate(seen):
        label = "expected" if k == 0 else "_"
        axes.axvline(hertz, color=LESS, linestyle="--", linewidth=0.9, alpha=0.8, label=label)
    groups = [*_close(np.array([hertz for hertz, _ in seen]), CLOSE * (high - low))]
    above = axes.secondary_xaxis("top")
    above.set_xticks(
        [float(np.mean([seen[k][0] for k in group])) for group in groups],
        [", ".join(seen[k][1] for k in group) for group in groups],
        rotation=90,
        fontsize=8,
        color=LESS,
    )
    above.tick_params(length=0)
    above.spines["top"].set_visible(False)


def _peak(found: Tones, hertz: Floats) -> Floats:
    """The level of the spectrum at the tones (t,)."""
    spectrum = found.spectrum
    return np.interp(hertz, spectrum.hertz, spectrum.level_dB)


def _close(hertz: Floats, near: float) -> Iterator[list[int]]:
    """Rising frequencies, by number, in groups that share their words."""
    group: list[int] = []
    for k in range(len(hertz)):
        if group and hertz[k] - hertz[group[0]] > near:
            yield group
            group = []
        group.append(k)
    if group:
        yield group


def _hertz(hertz: float, plus_minus: float) -> str:
    return f"{hertz:.1f}" if plus_minus <= FINEST_HZ else f"{hertz:.0f}"
