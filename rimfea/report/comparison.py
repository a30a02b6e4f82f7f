"""Rims side by side in words, tables and a chart, each number with what its measurements leave
open.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Ellipse

from rimfea.arrays import Floats
from rimfea.profile.uncertainty import COVERAGE
from rimfea.report.charts import plain, quiet
from rimfea.report.palette import FAINT, INK, WALL_COLOURS
from rimfea.report.rows import Table
from rimfea.report.words import Units, figures
from rimfea.stress.fatigue import life_ratio
from rimfea.strike.tyre import wheel_radius
from rimfea.study.compare import (
    UNTOLD,
    Difference,
    Measured,
    differences,
    joint_doubt,
    ranks,
    unbeaten,
)
from rimfea.study.outcome import BY_KEY, OUTCOMES, Outcome

TOLD = ("yield_N", "dent_N", "mass_g", "squeeze_MPa", "seat_fatigue", "radial_N_mm")
STRENGTH, WEIGHT = BY_KEY["yield_N"], BY_KEY["mass_g"]
MARKS = "osD^vPX*"


def comparison_lines(rims: Sequence[Measured], base: Measured) -> list[str]:
    """One sentence a rim: what is bigger or smaller than in the base, what cannot be told, and
    what to measure again.
    """
    return [against_words(rim, base) for rim in rims if rim is not base]


def against_words(rim: Measured, base: Measured) -> str:
    """One rim against the base."""
    found = {each.outcome.key: each for each in differences(rim, base)}
    told = "; ".join(difference_words(found[key]) for key in TOLD)
    lead = found[TOLD[0]]
    again = f" {again_words(lead)}" if lead.verdict == UNTOLD else ""
    return f"{rim.name} against {base.name}: {told}. {life_words(rim, base)}{again}"


def life_words(rim: Measured, base: Measured) -> str:
    """How many times as far the spoke holes last: a ratio, no promise of a life."""
    ratio = life_ratio(rim.ride.seat.equivalent_MPa, base.ride.seat.equivalent_MPa)
    around = wheel_radius(rim.ride.tyre, rim.ride.analysis.sheet.seat_radius_mm)
    base_around = wheel_radius(base.ride.tyre, base.ride.analysis.sheet.seat_radius_mm)
    return f"Spoke holes last {figures(ratio * around / base_around, 2)} times as many kilometres."


def difference_words(difference: Difference) -> str:
    """Whether the difference is one."""
    size = f"{difference.percent:+.0f} ± {difference.expanded_percent:.0f} %"
    return f"{difference.outcome.title} {difference.verdict} ({size})"


def again_words(difference: Difference) -> str:
    """What to measure again to tell the two apart."""
    rim, key = difference.repeat
    hope = "that may tell them apart" if difference.would else "alone it will not tell them apart"
    return f"To tell {difference.outcome.title}, measure {key} of {rim} again: {hope}."


def outcomes_table(rims: Sequence[Measured], base: Measured) -> Table:
    """Every outcome of every rim, ± k = 2, and how it stands against the base."""
    rows = []
    for place, outcome in enumerate(OUTCOMES):
        ranked = ranks(rims, outcome)
        cells = (_cell(rim, base, place, rank) for rim, rank in zip(rims, ranked, strict=True))
        unit = f", {outcome.unit}" if outcome.unit else ""
        rows.append((f"{outcome.title}{unit}", *cells))
    title = f"± is k = 2 of the measurements; + better, - worse, = not told apart from {base.name}"
    return Table(title, ("", *(rim.name for rim in rims)), tuple(rows))


def _cell(rim: Measured, base: Measured, place: int, rank: int) -> str:
    outcome, sensitivity = OUTCOMES[place], rim.sensitivity
    value = f"{figures(float(sensitivity.base[place]))} ±{_doubt(rim, outcome)}"
    if rim is base:
        return f"{value} ({rank})"
    better = differences(rim, base)[place].is_better
    return f"{value} {'=' if better is None else '+' if better else '-'} ({rank})"


def _doubt(rim: Measured, outcome: Outcome) -> str:
    return figures(rim.sensitivity.expanded(outcome.key), 2)


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
