"""A dent as a picture, read back from the drawing."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.collections import LineCollection, PolyCollection

from rimfea.picture.dent import draw_dent, draw_depth
from rimfea.picture.figures import rides_figure, stress_figure
from rimfea.picture.theme import Size, shown
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.words.numbers import Units

FELL = Setup.from_values({"name": "fell", "tyre_width_mm": 45})


@pytest.fixture(scope="module")
def rear(sheet_of, dented_by_hand):
    whole = wheel_of(sheet_of(), FELL, End.REAR, coarseness=1.6)
    return dented_by_hand(ride(whole, FELL, End.REAR))


def drawn(draw, known, size=Size.PAGE):
    return shown(lambda axes: draw(axes, known), size=size)


def test_the_struck_side_is_drawn_moved_as_far_as_is_told(rear):
    axes = drawn(draw_dent, rear).axes[0]
    assert axes.get_title() == "Whimbrel, rear: 1.1 mm dent, to scale"
    (outline,) = (each for each in axes.collections if isinstance(each, LineCollection))
    mesh, (moved, _) = rear.dent.struck.looked.mesh, rear.dent.section
    there = (mesh.nodes + moved)[mesh.sides[:, [0, 2, 1]]]
    assert np.allclose(outline.get_segments(), there)
    assert axes.get_xlim()[0] == 0.0 < axes.get_xlim()[1]


def test_a_small_dent_is_exaggerated_and_says_so(rear, dented_by_hand):
    small = dented_by_hand(rear)
    moved, flowed = small.dent.section
    vars(small.dent)["section"] = (moved / 10, flowed)
    assert drawn(draw_dent, small).axes[0].get_title().endswith("dent, moved × 10")


def test_metal_is_shaded_by_how_far_it_flowed_and_no_darker_than_where_it_may_crack(rear):
    axes = drawn(draw_dent, rear).axes[0]
    (metal,) = (each for each in axes.collections if isinstance(each, PolyCollection))
    flowed = rear.dent.section[1] / rear.analysis.sheet.metal.elongation
    assert flowed.max() > 1.2
    assert np.allclose(metal.get_array(), np.tile(np.minimum(flowed, 1.0), 4))


@pytest.mark.parametrize("size", list(Size))
@pytest.mark.parametrize("draw", [draw_dent, draw_depth])
def test_no_text_reaches_beyond_the_paper(rear, draw, size):
    figure = drawn(draw, rear, size)
    for axes in figure.axes:
        for text in (axes.title, axes.xaxis.label, axes.yaxis.label):
            box = text.get_window_extent()
            assert not text.get_text() or (box.x0 >= -1 and box.x1 <= figure.bbox.x1 + 1)


def test_the_straight_edge_lies_on_both_shoulders_of_the_dent(rear):
    axes = drawn(draw_depth, rear).axes[0]
    crown, edge = axes.lines
    along, gap = np.asarray(crown.get_xdata()), np.asarray(crown.get_ydata())
    assert np.allclose(np.abs(edge.get_xdata()), rear.dent.length_mm / 2)
    assert gap.max() == pytest.approx(0.0, abs=1e-9)
    deep = -gap[np.abs(along) < 1.0].min()
    length = f"{rear.dent.length_mm:.0f}"
    assert axes.get_title() == f"straight-edge: {length} mm long, {deep:.1f} mm deep"


def test_a_rim_that_still_bulges_has_no_straight_edge(rear, dented_by_hand):
    shallow = dented_by_hand(rear)
    along, depth = shallow.dent.profile
    vars(shallow.dent)["profile"] = (along, depth / 1e4)
    axes = drawn(draw_depth, shallow).axes[0]
    assert len(axes.lines) == 1
    assert axes.get_title() == ""


def test_figures_have_a_dent_where_it_is_known(rear):
    bare = ride(rear.analysis, FELL, End.REAR)
    assert len(rides_figure([rear], Units()).axes) == len(rides_figure([bare], Units()).axes) + 3
    figures = [stress_figure(rear.analysis, Units(), [each]) for each in (rear, bare)]
    assert len(figures[0].axes) == len(figures[1].axes) + 3
