"""Strength against mass: rims side by side, each with the ellipse of its doubts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Ellipse

from rimfea.arrays import Floats
from rimfea.ask.compare import (
    Measured,
    joint_doubt,
    unbeaten,
)
from rimfea.picture.charts import plain, quiet
from rimfea.picture.palette import FAINT, INK, WALL_COLOURS
from rimfea.profile.uncertainty import COVERAGE
from rimfea.study.outcome import BY_KEY, OUTCOMES
from rimfea.words.numbers import Units

STRENGTH, WEIGHT = BY_KEY["yield_N"], BY_KEY["mass_g"]


MARKS = "osD^vPX*"


def draw_strength(axes: Axes, rims: Sequence[Measured], units: Units) -> None:
    """Strength against mass, each rim with the ellipse of its doubts, and the line of those that
    no other rim beats.
    """
    places = [OUTCOMES.index(outcome) for outcome in (WEIGHT, STRENGTH)]
    scale = np.array([1.0, 1 / units.force_N])
    points = np.array([rim.sensitivity.base[places] for rim in rims]) * scale
    colours = list(WALL_COLOURS.values())
    for k, (rim, point) in enumerate(zip(rims, points, strict=True)):
        colour = colours[k % len(colours)]
        cover = joint_doubt(rim, WEIGHT, STRENGTH) * np.outer(scale, scale)
        axes.add_patch(_ellipse(point, cover, colour))
        axes.plot(*point, MARKS[k % len(MARKS)], color=colour, mec=INK, markersize=8)
        axes.annotate(plain(rim.name), point, (8, 6), textcoords="offset points", color=INK)
    best = points[unbeaten(points[:, 0], points[:, 1])]
    best = best[best[:, 0].argsort()]
    axes.plot(*best.T, color=FAINT, linestyle="--", linewidth=1.2, zorder=0, label="not beaten")
    axes.set_xlabel("mass of the rim, g (ellipses: k = 2)")
    axes.set_ylabel(f"{STRENGTH.title}, {units.force}")
    axes.margins(0.12)
    axes.legend(frameon=False)
    quiet(axes)


def _ellipse(point: Floats, cover: Floats, colour: str) -> Ellipse:
    """Twice the standard deviations of both together."""
    size, turn = np.linalg.eigh(cover)
    wide, high = 2 * COVERAGE * np.sqrt(np.maximum(size[::-1], 0.0))
    lean = float(np.degrees(np.arctan2(turn[1, 1], turn[0, 1])))
    centre = (float(point[0]), float(point[1]))
    return Ellipse(centre, wide, high, angle=lean, facecolor=colour, alpha=0.25, edgecolor=INK)
