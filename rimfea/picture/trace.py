"""A section from outside, drawn for the eye to approve: over its scan, in its axes, or with the
place marked where it was refused.
"""

from __future__ import annotations

from textwrap import wrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path

from rimfea.arrays import Floats
from rimfea.ask.trace import Traced
from rimfea.errors import SectionError
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import chorded
from rimfea.picture.charts import plain
from rimfea.picture.palette import FAINT, INK, LESS, MORE, PAPER, wall_colour
from rimfea.profile.walls import Wall
from rimfea.scanned.scan import Scanned
from rimfea.words.numbers import CAUTION
from rimfea.words.trace import trace_headline

ROOM_MM = 2.0
CLOSE_MM = 3.6  # of the face, seen so near that pixels show
TITLE = 100  # letters in a line
SMALLEST_RING = 0.05  # of what is drawn, around a marked place


def trace_figure(found: Traced, named: Outline | None = None) -> Figure:
    """The outline over its scan, whole and one hook so near that pixels show; or of a drawing in
    the axes of a rim. What was ``named`` stands beside it, a colour a wall.
    """
    more = (1.5,) if named else ()
    if found.scan is None:
        figure = _figure(8.0 + 6.0 * len(more), 5.2, trace_headline(found))
        panels = np.atleast_1d(figure.subplots(1, 1 + len(more)))
        draw_outline(panels[0], found.outline)
        if named:
            draw_named(panels[-1], named)
        return figure
    figure = _figure(12.0 + 6.0 * len(more), 5.2, trace_headline(found))
    left, right, *rest = figure.subplots(1, 2 + len(more), width_ratios=(1.5, 1, *more))
    draw_over(left, found, found.scan)
    draw_near(right, found, found.scan)
    if named:
        draw_named(rest[0], named)
    box = (*right.get_xlim(), *sorted(right.get_ylim()))
    left.add_patch(
        Rectangle((box[0], box[2]), box[1] - box[0], box[3] - box[2], fill=False, edgecolor=MORE)
    )
    return figure


def refused_figure(error: SectionError) -> Figure:
    """What was read of a file that was refused, the places that are meant marked."""
    figure = _figure(8.0, 5.6, str(error))
    draw_refused(figure.subplots(), error)
    return figure


def draw_over(axes: Axes, found: Traced, face: Scanned) -> None:
    """The outline over the scan's part with the section."""
    axes.imshow(face.picture, cmap="gray", vmin=0, vmax=255, interpolation="nearest")
    for ring in _in_picture(found, face):
        axes.plot(*ring.T, color=LESS, linewidth=1.0)
    axes.set_axis_off()


def draw_near(axes: Axes, found: Traced, face: Scanned) -> None:
    """The same, of one hook alone."""
    draw_over(axes, found, face)
    outer = _in_picture(found, face)[0]
    right = outer[outer[:, 0] > outer[:, 0].mean()]
    row = right[:, 1].min()
    column = right[right[:, 1] < row + 1 / face.grid.mm[1], 0].mean()
    half = CLOSE_MM / face.grid.mm[0] / 2
    axes.set_xlim(column - half, column + half)
    axes.set_ylim(row + 1.6 * half, row - 0.4 * half)


def draw_named(axes: Axes, outline: Outline) -> None:
    """The faces of a section in the colours of its walls, with their names."""
    lines: dict[str, list[Floats]] = {}
    for ring in (chorded(each) for each in outline.rings):
        ends = np.stack([ring.corners, np.roll(ring.corners, -1, axis=0)], axis=1)
        for name, piece in zip(ring.labels, ends, strict=True):
            lines.setdefault(name, []).append(piece)
    for name in (wall for wall in Wall if wall in lines):
        drawn = LineCollection(lines[name], colors=wall_colour(name), linewidths=3.0, label=name)
        axes.add_collection(drawn)
    points = np.vstack([ring.corners for ring in outline.rings])
    _fitted(axes, points.min(axis=0), points.max(axis=0))
    axes.legend(loc="center left", bbox_to_anchor=(1.0, 0.5), frameon=False)
    axes.set_title("Which wall is which: look at it", fontsize=10)


def draw_outline(axes: Axes, outline: Outline) -> None:
    """The metal of an outline in its axes, bead seats and middle as lines."""
    rings = [chorded(ring).corners for ring in outline.rings]
    closed = [Path(np.vstack([ring, ring[:1]])) for ring in rings]
    axes.add_patch(
        PathPatch(Path.make_compound_path(*closed), facecolor="#d9dde0", edgecolor=INK, linewidth=1)
    )
    for line in (axes.axhline, axes.axvline):
        line(0.0, color=MORE, linewidth=0.8, linestyle="--")
    points = np.vstack(rings)
    _fitted(axes, points.min(axis=0), points.max(axis=0))
    axes.set_xlabel("x across the rim, mm", color=INK)
    axes.set_ylabel("y outward from the bead seat, mm", color=INK)


def draw_refused(axes: Axes, error: SectionError) -> None:
    """The lines that were read, and a ring around every place that is meant."""
    lines = [np.array(line, dtype=float).reshape(-1, 2) for line in error.lines if line]
    spots = np.array(error.spots, dtype=float).reshape(-1, 2)
    for line in lines:
        axes.plot(*line.T, color=FAINT, linewidth=1.0)
    points = np.vstack([*lines, spots]) if lines or len(spots) else np.zeros((1, 2))
    low, high = points.min(axis=0), points.max(axis=0)
    size = SMALLEST_RING * float(max(*(high - low), 1.0))
    for place in spots:
        axes.plot(
            *place, marker="o", markersize=18, fillstyle="none", color=LESS, markeredgewidth=2.2
        )
        axes.plot(*place, marker="+", color=LESS)
    _fitted(axes, low - size, high + size)
    axes.set_xlabel("x of the file, mm", color=INK)
    axes.set_ylabel("y of the file, upward, mm", color=INK)


def _in_picture(found: Traced, face: Scanned) -> list[Floats]:
    """The rings of the outline, closed, as columns and rows of the scan's part."""
    places = [found.move.undone(ring.corners) for ring in found.outline.rings]
    return [face.in_picture(np.vstack([ring, ring[:1]])) for ring in places]


def _figure(width: float, height: float, title: str) -> Figure:
    figure = Figure(figsize=(width, height), layout="constrained", facecolor=PAPER)
    figure.suptitle("\n".join(wrap(plain(title), TITLE)), color=INK, fontsize=10)
    figure.supxlabel("\n".join(wrap(CAUTION, TITLE)), fontsize=7.5, color=INK)
    return figure


def _fitted(axes: Axes, low: Floats, high: Floats) -> None:
    axes.set_aspect("equal")
    axes.set_xlim(float(low[0]) - ROOM_MM, float(high[0]) + ROOM_MM)
    axes.set_ylim(float(low[1]) - ROOM_MM, float(high[1]) + ROOM_MM)
    axes.tick_params(colors=INK, labelsize=8)
    for side in axes.spines.values():
        side.set_color(FAINT)
