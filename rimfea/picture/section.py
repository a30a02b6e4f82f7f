"""A section drawn on axes: outline, walls by name, stress, cuts, dimensions."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import ListedColormap
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.patheffects import withStroke
from matplotlib.tri import Triangulation
from scipy.spatial import KDTree

from rimfea.arrays import Floats, Ints
from rimfea.fem.material import von_mises
from rimfea.geometry.chords import stations
from rimfea.geometry.ring import cut_every, subdivided
from rimfea.mesh.mesh import Mesh
from rimfea.picture.palette import FAINT, HALO_WIDTH, INK, PAPER, STRESS, wall_colour
from rimfea.profile.walls import Wall
from rimfea.stress.walls import WallStress
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer

HALO = (withStroke(linewidth=HALO_WIDTH, foreground=PAPER),)
MIDDLE = (Wall.TYRE_WELL, Wall.SPOKE_BED, Wall.NIPPLE_SEAT)
LINE = 1.5  # mm of paper that a line of text takes
ROW = 1.9  # the same between the hooks, where letters are larger
PIXELS = (900, 600)
ROOM = 5.0  # mm of paper around a section


def bare(axes: Axes, analysis: Analysis, together: Sequence[Analysis] = ()) -> Axes:
    """Axes for a section in mm, one scale for all rims shown together."""
    nodes = np.vstack([each.mesh.nodes for each in together or (analysis,)])
    low, high = nodes.min(axis=0) - ROOM / 2, nodes.max(axis=0) + ROOM / 2
    axes.set_xlim(low[0], high[0])
    axes.set_ylim(low[1], high[1])
    axes.set_aspect("equal")
    axes.set_axis_off()
    return axes


def quarters(mesh: Mesh, nodes: Floats | None = None) -> Triangulation:
    """Each six-node triangle as four plain ones, so that the middle nodes count; ``nodes`` (n, 2)
    are where the mesh's have moved to, if they have.
    """
    x, y = (mesh.nodes if nodes is None else nodes).T
    t = mesh.triangles
    parts: Ints = np.vstack([t[:, [0, 3, 5]], t[:, [3, 1, 4]], t[:, [5, 4, 2]], t[:, [3, 4, 5]]])
    return Triangulation(x, y, parts)


def draw_stress(axes: Axes, analysis: Analysis, answer: Answer) -> None:
    """Von Mises stress of all loads, the growing one at first yield of the first wall."""
    theta, use = answer.verdict.governing.theta, answer.verdict.governing.first_yield
    factor = 0.0 if use == np.inf else 1 / use
    stress = factor * answer.field.stress_at(theta)
    if answer.standing is not None:
        stress = stress + answer.standing.stress_at(theta)
    share = von_mises(stress) / analysis.sheet.metal.proof_MPa
    axes.tripcolor(
        quarters(analysis.mesh),
        np.clip(share, 0, 1),
        shading="gouraud",
        cmap=STRESS,
        vmin=0,
        vmax=1,
        rasterized=True,
    )
    draw_outline(axes, analysis)


def draw_walls(axes: Axes, analysis: Analysis) -> None:
    """The metal in the colour of the nearest face's wall."""
    points, _, label = stations(analysis.outline, 0.05)
    names = tuple(dict.fromkeys(analysis.outline.labels))
    low, high = points.min(axis=0), points.max(axis=0)
    x, y = (np.linspace(low[k], high[k], PIXELS[k]) for k in (0, 1))
    places = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    nearest = label[KDTree(points).query(places)[1]].reshape(PIXELS[1], PIXELS[0])
    image = axes.imshow(
        nearest,
        cmap=ListedColormap([wall_colour(name) for name in names]),
        vmin=-0.5,
        vmax=len(names) - 0.5,
        extent=(low[0], high[0], low[1], high[1]),
        origin="lower",
        interpolation="nearest",
    )
    metal = PathPatch(outline_path(analysis), transform=axes.transData)
    image.set_clip_path(metal)


def outline_path(analysis: Analysis) -> Path:
    """The outline as one path, holes and all."""
    rings = [
        subdivided(ring, cut_every(ring, sweep=np.radians(6), rise=0.005))[0].corners
        for ring in analysis.outline.rings
    ]
    return Path.make_compound_path(*(Path(ring, closed=False) for ring in map(_closed, rings)))


def _closed(ring: Floats) -> Floats:
    return np.vstack([ring, ring[:1]])


def draw_outline(axes: Axes, analysis: Analysis, colour: str = INK) -> None:
    """The faces of the section as lines."""
    axes.add_patch(
        PathPatch(outline_path(analysis), facecolor="none", edgecolor=colour, linewidth=0.8)
    )


def mark(axes: Axes, wall: WallStress, colour: str) -> Floats:
    """The cut that yields, drawn a little longer than the wall is thick; its ends (2, 2)."""
    start, end = np.array(wall.start), np.array(wall.end)
    across = (end - start) / np.linalg.norm(end - start)
    ends = np.array([start - 0.7 * across, end + 0.7 * across])
    axes.plot(*ends.T, color=colour, linewidth=2.2, path_effects=HALO, zorder=6)
    return ends


def mark_both(axes: Axes, first: WallStress, then: WallStress) -> None:
    """The cuts of the wall that governs and of the runner-up, with words between the hooks,
    where no section has metal.
    """
    words = [("then", then, FAINT), ("first", first, INK)]
    words.sort(key=lambda each: each[1].start[1] + each[1].end[1])  # no leader crosses another
    top = max(wall.start[1] for _, wall, _ in words)
    for row, (word, wall, colour) in enumerate(words):
        ends = mark(axes, wall, colour)
        inner = ends[np.abs(ends[:, 0]).argmin()]
        axes.annotate(
            f"{word}: {wall.wall}",
            (inner[0], inner[1]),
            xytext=(0.0, max(top, 3 * ROW) - (2 - row) * ROW),
            color=colour,
            ha="center",
            va="center",
            path_effects=HALO,
            arrowprops={"arrowstyle": "-", "color": colour, "linewidth": 0.8},
            zorder=8 - row,  # a leader passes behind the words below it
        )


def name_walls(axes: Axes, analysis: Analysis) -> None:
    """Each wall's name once: the side in a column on the right, the rest on the middle line."""
    mesh = analysis.mesh
    centre = mesh.nodes[mesh.triangles[:, :3]].mean(axis=1)
    spots = {}
    for number, name in enumerate(mesh.names):
        own = centre[mesh.triangle_label == number]
        on_right = own[own[:, 0] > 0]  # of a spoke bed far to the left there may be nothing
        own = on_right if len(on_right) else own
        spots[name] = own[np.linalg.norm(own - own.mean(axis=0), axis=1).argmin()]
    right = float(mesh.nodes[:, 0].max()) + 1.5
    beside = sorted((n for n in spots if n not in MIDDLE), key=lambda n: -spots[n][1])
    heights = _spread_out([float(spots[name][1]) for name in beside])
    for name, height in zip(beside, heights, strict=True):
        _name(axes, name, spots[name], (right, height), "left")
    bottom = float(mesh.nodes[:, 1].min()) - 1.7
    seat = np.array([analysis.sheet.seat_offset_mm, bottom + 2.2])
    for name, x in ((Wall.SPOKE_BED, 6.0), (Wall.NIPPLE_SEAT, -2.5)):
        if name in spots:
            spot = spots[name] if name == Wall.SPOKE_BED else seat
            _name(axes, name, spot, (x, bottom), "center")
    if Wall.TYRE_WELL in spots:
        spot = spots[Wall.TYRE_WELL]
        _name(axes, Wall.TYRE_WELL, spot, (0.0, float(spot[1]) + 2.6), "center")


def _name(axes: Axes, name: str, spot: Floats, place: tuple[float, float], side: str) -> None:
    leader = {"arrowstyle": "-", "color": INK, "linewidth": 0.7}
    axes.annotate(
        name,
        (spot[0], spot[1]),
        xytext=place,
        color=INK,
        va="center",
        ha=side,
        arrowprops=leader,
    )


def _spread_out(heights: list[float]) -> list[float]:
    """Falling heights moved down until no two lines of text touch."""
    placed: list[float] = []
    for height in heights:
        placed.append(min(height, placed[-1] - LINE) if placed else height)
    return placed


def draw_dimensions(axes: Axes, analysis: Analysis) -> None:
    """Inner width, overall depth and hook height as a builder would sketch them."""
    sheet = analysis.sheet
    top = sheet.hook_height_mm
    half, left = sheet.inner_width_mm / 2, -sheet.outer_width_mm / 2
    bottom = top - sheet.overall_depth_mm
    _dimension(axes, (-half, top + 1.6), (half, top + 1.6), f"{round(sheet.inner_width_mm, 2):g}")
    _dimension(
        axes, (left - 1.6, bottom), (left - 1.6, top), f"{round(sheet.overall_depth_mm, 2):g}"
    )
    inside = -half + 1.2
    _dimension(axes, (inside, 0.0), (inside, top), f"{round(sheet.hook_height_mm, 2):g}")
    axes.set_ylim(bottom - 3.0, top + 3.0)
    axes.set_xlim(left - 4.5, -left + 7.5)


def _dimension(axes: Axes, start: tuple[float, float], end: tuple[float, float], text: str) -> None:
    arrow = {"arrowstyle": "<->", "color": FAINT, "linewidth": 0.9, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", start, xytext=end, arrowprops=arrow)
    x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    upright = start[0] == end[0]
    axes.text(
        x,
        y,
        text,
        rotation=90 if upright else 0,
        ha="center",
        va="center",
        color=INK,
        fontsize="small",
        bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.0},
    )
