"""Deflections drawn on axes: the section where it is worst, and the wheel under its rider."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection

from rimfea.arrays import Floats
from rimfea.elastic.loads import WheelLoad
from rimfea.elastic.ring_field import RingField
from rimfea.picture.palette import FAINT, INK, LESS, MORE, PAPER
from rimfea.picture.section import draw_outline, mark
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.units import to_unit
from rimfea.words.numbers import Units

SHOWN_MM = 2.5  # the largest deflection of a section, on its drawing
SHOWN_SHARE = 0.14  # the same of a wheel, of its radius
TOLD_SHARE = 0.04  # changes of tension below this share of the largest are not told

NUMBERS = (0.86, 0.73)  # how far out they stand, in turn, so that none touches the next


def draw_moved(axes: Axes, analysis: Analysis, answer: Answer) -> None:
    """The outline before and, exaggerated, after the load that first makes the governing wall
    yield, where that happens.
    """
    wall, mesh = answer.verdict.governing, analysis.mesh
    use = wall.first_yield
    factor = 1 / use if 0 < use < np.inf else 1.0
    moved = factor * answer.displacement()[:, :2]
    most = float(np.linalg.norm(moved, axis=1).max())
    times = rounded_down(SHOWN_MM / most)
    draw_outline(axes, analysis, FAINT)
    sides = mesh.sides[:, [0, 2, 1]]
    axes.add_collection(
        LineCollection([*(mesh.nodes + times * moved)[sides]], colors=INK, lw=1.6, capstyle="round")
    )
    mark(axes, wall, FAINT)
    axes.set_title(f"at first yield, moved × {times:g}; most {most:.2f} mm", color=INK)


def draw_wheel(axes: Axes, analysis: Analysis, units: Units) -> None:
    """The wheel from the right under the rider's load, which is at the bottom: its rim moved,
    exaggerated, and for every spoke the tension it gains (+) or loses (-), in colour and number.
    """
    axes.set_axis_off()
    axes.set_aspect("equal")
    wheel, answer = analysis.wheel, _under_rider(analysis)
    if wheel is None or answer is None or not isinstance(answer.field, RingField):
        return
    radius = analysis.sheet.seat_radius_mm
    theta = np.linspace(-np.pi, np.pi, 721)
    share = analysis.loading.wheel_N / answer.load
    radial = share * answer.field.path(lowest_node(analysis), theta)[:, 1]
    times = rounded_down(SHOWN_SHARE * radius / float(np.abs(radial).max()))
    axes.plot(*_place(radius, theta), color=FAINT, linewidth=1.0)
    axes.plot(*_place(radius + times * radial, theta), color=INK, linewidth=2.2)
    _draw_spokes(axes, answer.field, wheel.tension_change_N * to_unit(1.0, units.force))
    load = units.in_force(analysis.loading.wheel_N)
    moved = f"moved × {times:g}, most {np.abs(radial).max():.2f} mm"
    axes.set_title(f"under {load}: spokes' change in {units.force};\n{moved}", color=INK)
    axes.margins(0.02)


def lowest_node(analysis: Analysis) -> int:
    """The node of the section that is lowest, near its middle."""
    x, y = analysis.mesh.nodes.T
    return int(np.argmin(np.abs(x) + 10 * (y - y.min())))


def _under_rider(analysis: Analysis) -> Answer | None:
    """The answer to a load straight up on the wheel: in proportion also the rider's."""
    for answer in analysis.answers:
        load = answer.case.loads[0]
        if isinstance(load, WheelLoad) and load.force_N > 0 and load.side_N == 0:
            return answer
    return None


def _draw_spokes(axes: Axes, field: RingField, change: Floats) -> None:
    spokes, radius = field.ring.spokes, field.ring.seat_radius
    most = float(np.abs(change).max())
    inward = radius + spokes.length * spokes.direction[:, 1]
    aside = spokes.length * spokes.direction[:, 2]
    hub, turned = np.hypot(inward, aside), spokes.angle + np.arctan2(aside, inward)
    start, end = _place(radius, spokes.angle), _place(hub, turned)
    colours = np.where(change < 0, LESS, MORE)
    axes.add_collection(
        LineCollection(
            [*np.stack([start.T, end.T], axis=1)],
            colors=[*colours],
            linewidths=0.6 + 3.4 * np.abs(change) / most,
        )
    )
    for k, (angle, value) in enumerate(zip(spokes.angle, change, strict=True)):
        if abs(value) >= TOLD_SHARE * most:
            x, y = _place(NUMBERS[k % 2] * radius, angle)
            told = axes.text(x, y, f"{value:+.0f}", ha="center", va="center", color=INK)
            told.set_fontsize("small")
            told.set_bbox({"facecolor": PAPER, "edgecolor": "none", "pad": 0.6})


def _place(radius: Floats | float, theta: Floats | float) -> Floats:
    """Points (2, t) of the wheel at angles from its lowest point."""
    return np.asarray([radius * np.sin(theta), -radius * np.cos(theta)])


def rounded_down(times: float) -> float:
    """A factor of exaggeration with one figure, not above the one asked for."""
    size = 10.0 ** np.floor(np.log10(times))
    return float(np.floor(times / size) * size)
