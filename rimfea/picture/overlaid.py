"""Sections laid over each other, bead seat on bead seat, and grams by wall as bars."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch

from rimfea.arrays import Floats
from rimfea.ask.dimensions import side_by_side
from rimfea.picture.charts import plain, quiet
from rimfea.picture.palette import FAINT, INK
from rimfea.picture.section import bare, outline_path
from rimfea.picture.theme import is_small
from rimfea.profile.pieces import Piece
from rimfea.study.analysis import Analysis
from rimfea.study.grams import grams_by_piece
from rimfea.words.dimensions import signed_mm, words

COLOURS = (INK, "#d55e00", "#0072b2", "#009e73", "#cc79a7", "#e69f00")
DASHES = ("-", "--", ":", "-.", (0, (5, 1)), (0, (1, 1)))
# mm of paper beside the sections, for a column of words, and for each of its lines
GAP, COLUMN, LINE = 2.0, 24.0, 2.1
LEADER = {"arrowstyle": "-", "color": FAINT, "linewidth": 0.6, "relpos": (0.0, 0.5), "shrinkA": 2}
PALE = 0.12  # of the metal of the base


def draw_overlaid(axes: Axes, analyses: Sequence[Analysis], base: int = 0) -> None:
    """Every section in a colour and a dash of its own; of two, also every difference that a caliper
    can tell, at its wall, in mm more or less than the base has.
    """
    bare(axes, analyses[base], analyses)
    for rim, analysis in enumerate(analyses):
        colour, dash = COLOURS[rim % len(COLOURS)], DASHES[rim % len(DASHES)]
        fill = {"facecolor": colour, "alpha": PALE, "edgecolor": "none"}
        if rim == base:
            axes.add_patch(PathPatch(outline_path(analysis), **fill))
        line = {"facecolor": "none", "edgecolor": colour, "linestyle": dash, "linewidth": 1.4}
        axes.add_patch(PathPatch(outline_path(analysis), **line))
        told = ", mm more or less" if len(analyses) == 2 and rim != base else ""
        name = f"{plain(analysis.sheet.name)}{told}"
        axes.plot([], [], color=colour, linestyle=dash, label=name)
    if len(analyses) == 2:
        _label(axes, analyses, base)
    columns = min(3, len(analyses))
    axes.legend(frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=columns)
    quiet(axes)


def draw_grams(axes: Axes, analyses: Sequence[Analysis]) -> None:
    """For each wall a bar for each rim, the hook on top."""
    found = [grams_by_piece(each) for each in analyses]
    walls = [str(piece) for piece in Piece if any(piece in each for each in found)]
    rank, thick = np.arange(len(walls)), 0.84 / len(found)
    for rim, own in enumerate(found):
        grams = [own.get(wall, 0.0) for wall in walls]
        rows = rank + (rim - (len(found) - 1) / 2) * thick
        colour, name = COLOURS[rim % len(COLOURS)], plain(analyses[rim].sheet.name)
        axes.barh(rows, grams, thick * 0.92, color=colour, label=f"{name}, {sum(grams):.0f} g")
        for row, mass in zip(rows, grams, strict=True):
            if mass and len(found) <= 2:
                axes.text(mass, row, f" {mass:.0f}", va="center", color=INK, fontsize="small")
    axes.set_yticks(rank, walls, color=INK)
    axes.invert_yaxis()
    axes.margins(x=0.12)
    axes.set_xlabel("grams of the wall as drawn")
    columns = 1 if is_small(axes) else min(3, len(found))
    axes.legend(frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=columns)
    quiet(axes)


def _label(axes: Axes, analyses: Sequence[Analysis], base: int) -> None:
    """The differences in a column on the right, from the crown down, each with a line to its wall;
    those of the whole section, without, below.
    """
    other = 1 - base
    found = side_by_side([rim.sheet for rim in analyses], base)
    told = [each for each in found if each.is_told(other)]
    whose = {key: piece for piece in Piece for key in piece.keys}
    spots = {each.key: _spot(analyses[other], whose[each.key]) for each in told}
    led = [each for each in told if spots[each.key] is not None]
    led.sort(key=lambda each: -float((spots[each.key] or (0.0, 0.0))[1]))
    order = [*led, *(each for each in told if each not in led)]
    (left, right), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    middle, tall = (bottom + top) / 2, LINE * (len(order) - 1)
    heights = np.linspace(middle + tall / 2, middle - tall / 2, len(order))
    for each, height in zip(order, heights, strict=True):
        spot = spots[each.key]
        leader = LEADER if spot else None
        axes.annotate(
            f"{words(each.key)} {signed_mm(each.gap(other), each.key)}",
            spot or (right + GAP, float(height)),
            xytext=(right + GAP, float(height)),
            color=INK,
            va="center",
            ha="left",
            fontsize="small",
            arrowprops=leader,
        )
    axes.set_xlim(left, right + GAP + COLUMN)
    axes.set_ylim(min(bottom, middle - tall / 2 - LINE), max(top, middle + tall / 2 + LINE))


def _spot(analysis: Analysis, piece: Piece) -> tuple[float, float] | None:
    """A place in the metal of a piece, on the right; None for what is not a wall."""
    mesh = analysis.mesh
    centre: Floats = mesh.nodes[mesh.triangles[:, :3]].mean(axis=1)
    names = np.array(mesh.names)[mesh.triangle_label]
    own = centre[np.isin(names, list(piece.walls)) & (centre[:, 0] > 0)]
    if not len(own):
        return None
    x, y = own[np.linalg.norm(own - own.mean(axis=0), axis=1).argmin()]
    return float(x), float(y)
