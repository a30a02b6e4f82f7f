"""A sweep as a picture: curves over one length, or a chart over two."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patches import Ellipse

from rimfea.arrays import Floats
from rimfea.ask.sweep import DECIDED, Names, Swept
from rimfea.picture.charts import TONES, plain, quiet
from rimfea.picture.palette import INK, PAPER, wall_colour
from rimfea.study.outcome import BY_KEY
from rimfea.words.numbers import CAUTION, Units
from rimfea.words.outcomes import scale_of, titled, unit_of
from rimfea.words.sweep import own_doubt_mm, stretches, sweep_headline
from rimfea.words.worth import named

TOGETHER = ("yield_N", "set_N")  # drawn on one axis
MOOR = LinearSegmentedColormap.from_list("moor", ["#f7f5ec", TONES[1], TONES[0]])
LEVELS = 9
GRAM = 1.0  # grids over which the mass changes by less have no lines of it
BOX = {"facecolor": PAPER, "edgecolor": "none", "alpha": 0.8, "pad": 1.5}
BORDER = "#d55e00"
ROOM = 0.12  # above and below curves, share of what they span


def sweep_figure(swept: Swept, of: str, units: Units) -> Figure:
    """The outcome asked for over what was swept, the mass, which wall decides where, and the rim
    itself with how well it is known.
    """
    figure = Figure(figsize=(9.0, 7.2), layout="constrained", facecolor=PAPER)
    if len(swept.sweep.axes) == 1:
        upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=(3, 1))
        shown = TOGETHER if of in TOGETHER else (of,)
        for outcome in shown:
            _draw_curve(upper, swept, outcome, units)
            if len(shown) > 1:
                _name(upper, swept, outcome, units)
        upper.legend(frameon=False, loc="best")
        upper.set_ylabel(_label(shown, units))
        _draw_curve(lower, swept, "mass_g", units)
        lower.set_ylabel(_label(("mass_g",), units))
        lower.set_xlabel(f"{named(swept.sweep.keys[0])}, mm")
    else:
        _draw_chart(figure, figure.subplots(), swept, of, units)
    title = f"{swept.sweep.sheet.name}: {sweep_headline(swept, of, units)}"
    figure.suptitle(plain(title), color=INK, fontsize=11, wrap=True)
    figure.supxlabel(CAUTION, fontsize=7.5, color=INK, wrap=True)
    return figure


def _draw_curve(axes: Axes, swept: Swept, of: str, units: Units) -> None:
    """An outcome over the one length, in the colour of the wall that decides it."""
    x, y = np.array(swept.sweep.axes[0].values), swept.values(of) * scale_of(of, units)
    y = np.where(np.isfinite(y), y, np.nan)
    axes.plot(x, y, color=INK, linewidth=3.4)
    if of in DECIDED and np.isfinite(y).any():
        _colour(axes, swept, of, x, y)
    anew = np.array([bool(point.remeshed) for point in swept.grid])
    axes.plot(x[~anew], y[~anew], ".", color=INK)
    axes.plot(x[anew], y[anew], "o", color=PAPER, mec=INK, markersize=6, zorder=4)
    (own,), (doubt,) = swept.sweep.own, own_doubt_mm(swept)
    here = swept.own.outcomes.get(of, np.nan) * scale_of(of, units)
    told = "_" if of == TOGETHER[-1] else f"the rim itself, ± {doubt:.2f} mm"
    axes.errorbar(
        own, here, xerr=doubt, fmt="D", color=INK, mfc=PAPER, capsize=4, zorder=5, label=told
    )
    axes.margins(y=ROOM)
    quiet(axes)


def _name(axes: Axes, swept: Swept, of: str, units: Units) -> None:
    """The outcome's name at the end of its curve."""
    ends = [point for point in swept.grid if np.isfinite(point.outcomes.get(of, np.nan))][-1:]
    for point in ends:
        place = (point.place[0], point.outcomes[of] * scale_of(of, units))
        axes.annotate(titled(of), place, (0, 8), textcoords="offset points", ha="right", color=INK)


def _colour(axes: Axes, swept: Swept, of: str, x: Floats, y: Floats) -> None:
    """Each stretch in its wall's colour, with its name, and a stroke where another takes over."""
    told = stretches(swept, of)
    ends = [start for _, start in told[1:]] + [x[-1]]
    known = np.isfinite(y)
    for (wall, start), end in zip(told, ends, strict=True):
        inner = x[(x > start) & (x < end)]
        along = np.concatenate([[start], inner, [end]])
        level = np.interp(along, x[known], y[known])
        axes.plot(along, level, color=wall_colour(wall), linewidth=2.2)
        middle = (start + end) / 2
        place = (middle, float(np.interp(middle, along, level)))
        axes.annotate(wall, place, (5, -13), textcoords="offset points", color=INK, fontsize=8)
    turns = np.array(ends[:-1])
    axes.plot(turns, np.interp(turns, x[known], y[known]), "|", color=INK, markersize=18)


def _draw_chart(figure: Figure, axes: Axes, swept: Swept, of: str, units: Units) -> None:
    """An outcome in tones over two lengths, lines of equal mass, borders between the walls that
    decide it, and the rim itself.
    """
    down, across = (np.array(axis.values) for axis in swept.sweep.axes)
    value = np.ma.masked_invalid(swept.values(of) * scale_of(of, units))
    mass = np.ma.masked_invalid(swept.values("mass_g"))
    if value.count():
        tones = axes.contourf(across, down, value, LEVELS, cmap=MOOR)
        figure.colorbar(tones, ax=axes).set_label(_label((of,), units))
    if mass.count() and np.ptp(mass.compressed()) > GRAM:
        equal = axes.contour(
            across, down, mass, LEVELS - 3, colors=INK, linestyles="--", linewidths=1
        )
        for text in axes.clabel(equal, fmt="%.0f g", fontsize=8):
            text.set_bbox(BOX)
    if of in DECIDED:
        _draw_borders(axes, swept, of, across, down)
    for point in swept.grid:
        sign = "x" if point.gap else "o" if point.remeshed else "."
        axes.plot(point.place[1], point.place[0], sign, color=INK, mfc=PAPER, markersize=4)
    _draw_own(axes, swept)
    axes.margins(0.03)
    axes.set_xlabel(f"{named(swept.sweep.keys[1])}, mm; dashed: equal mass")
    axes.set_ylabel(f"{named(swept.sweep.keys[0])}, mm")
    quiet(axes)


def _draw_borders(axes: Axes, swept: Swept, of: str, across: Floats, down: Floats) -> None:
    """A line half way between points at which different walls decide, and the walls' names."""
    walls = swept.walls(of)
    x, y = _between(across), _between(down)
    for k, m in np.argwhere(_differ(walls[:, 1:], walls[:, :-1])):
        axes.plot([x[m + 1]] * 2, y[k : k + 2], color=BORDER, linewidth=2)
    for k, m in np.argwhere(_differ(walls[1:], walls[:-1])):
        axes.plot(x[m : m + 2], [y[k + 1]] * 2, color=BORDER, linewidth=2)
    for wall in sorted(set(walls.ravel()) - {""}):
        places = np.argwhere(walls == wall)
        row, column = places[np.abs(places - places.mean(axis=0)).sum(axis=1).argmin()]
        above = 1 if row < len(down) / 2 else -1
        axes.annotate(
            wall,
            (across[column], down[row]),
            (0, 14 * above),
            textcoords="offset points",
            ha="center",
            va="center",
            color=INK,
            bbox=BOX,
        )


def _differ(one: Names, other: Names) -> npt.NDArray[np.bool_]:
    """Where two different walls decide; a gap is not a wall."""
    return np.asarray((one != other) & (one != "") & (other != ""))


def _between(places: Floats) -> Floats:
    """The middles between places (k,), and the ends: (k + 1,)."""
    return np.concatenate([places[:1], (places[1:] + places[:-1]) / 2, places[-1:]])


def _draw_own(axes: Axes, swept: Swept) -> None:
    """The rim itself, and how well its two lengths are known (k = 2)."""
    (y, x), (tall, wide) = swept.sweep.own, own_doubt_mm(swept)
    known = Ellipse((x, y), 2 * wide, 2 * tall, facecolor=PAPER, edgecolor=INK, alpha=0.7, zorder=4)
    axes.add_patch(known)
    told = f"the rim itself, ± {tall:.2f} and ± {wide:.2f} mm"
    axes.plot(x, y, "D", color=INK, mfc=PAPER, markersize=5, zorder=5, label=told)
    axes.legend(frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0))


def _label(shown: tuple[str, ...], units: Units) -> str:
    """What stands beside the axis; curves that share it are named beside themselves."""
    unit = unit_of(shown[0], units)
    title = BY_KEY[shown[0]].title if len(shown) == 1 else "load"
    return f"{title}, {unit}" if unit else title
