"""A dent on axes: the section with the metal that flowed, and the crown under a straight-edge."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection
from matplotlib.colors import Normalize

from rimfea.picture.charts import plain, quiet
from rimfea.picture.palette import FAINT, INK, LESS, STRESS
from rimfea.picture.section import bare, draw_outline, quarters
from rimfea.picture.theme import is_small
from rimfea.picture.wheel import SHOWN_MM, rounded_down
from rimfea.study.ride import Ride

LEAST_SHOWN_MM = 15.0  # of rim to either side of a dent
BESIDE = 0.6  # of half the length of a straight-edge: how much rim is shown at its ends
SHADES = "how far the metal flowed, share of where it may crack"


def draw_dent(axes: Axes, ride: Ride) -> None:
    """The outline before and, exaggerated where it is small, with the deepest dent that was
    followed, in its middle; the metal is shaded by how far it has flowed. Of a section of which
    only the struck side was looked at, that side. The wheel's dent must be known.
    """
    analysis, dent = ride.dent.struck.looked, ride.dent
    mesh, (moved, flowed) = analysis.mesh, dent.section
    size = np.linalg.norm(moved, axis=1)
    times = max(1.0, rounded_down(SHOWN_MM / float(size.max())))
    nodes = mesh.nodes + times * moved
    share = np.minimum(flowed / analysis.sheet.metal.elongation, 1.0)
    draw_outline(bare(axes, analysis), analysis, FAINT)
    if not dent.view.both_sides:
        edge = axes.get_xlim()[1]
        axes.set_xlim((-edge, 0.0) if mesh.nodes[size.argmax(), 0] < 0 else (0.0, edge))
    axes.tripcolor(
        quarters(mesh, nodes),
        np.tile(share, 4),
        cmap=STRESS,
        vmin=0,
        vmax=1,
        rasterized=True,
    )
    axes.add_collection(
        LineCollection([*nodes[mesh.sides[:, [0, 2, 1]]]], colors=INK, lw=1.2, capstyle="round")
    )
    shades = ScalarMappable(Normalize(0.0, 1.0), STRESS)
    bar = axes.figure.colorbar(shades, ax=axes, location="bottom", shrink=0.6, pad=0.02)
    bar.set_label(SHADES.replace(", ", ",\n") if is_small(axes) else SHADES, color=INK)
    drawn = f"moved × {times:g}" if times > 1 else "to scale"
    axes.set_title(f"{plain(ride.name)}: {dent.free.deepest_mm:.1f} mm dent, {drawn}", color=INK)


def draw_depth(axes: Axes, ride: Ride) -> None:
    """The struck crown along the rim with that dent, as a straight-edge laid on it shows it."""
    along, height = ride.dent.height
    top, half = float(height.max()), ride.dent.length_mm / 2
    near = along <= max(LEAST_SHOWN_MM, (1 + BESIDE) * half)
    whole = np.concatenate([-along[near][::-1], along[near]])
    gap = np.concatenate([height[near][::-1], height[near]]) - top
    axes.plot(whole, gap, color=INK, linewidth=2.2, label="crown of the hook")
    if half:
        axes.plot([-half, half], [0.0, 0.0], color=LESS, linewidth=3.0, label="straight-edge")
        deep = top - float(height[0])
        axes.set_title(f"straight-edge: {2 * half:.0f} mm long, {deep:.1f} mm deep", color=INK)
    axes.set_xlabel("along the rim, mm")
    axes.set_ylabel("height, mm (another scale)")
    axes.legend(frameon=False, fontsize="small")
    quiet(axes)
