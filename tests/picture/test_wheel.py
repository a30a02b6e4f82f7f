"""The moved section and the wheel under its rider, read back from the drawing."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.collections import LineCollection
from matplotlib.colors import to_hex

from rimfea.picture.palette import LESS, MORE
from rimfea.picture.section import bare
from rimfea.picture.theme import shown
from rimfea.picture.wheel import TOLD_SHARE, draw_moved, draw_wheel, rounded_down
from rimfea.study.analysis import analyse
from rimfea.study.cases import TENSION
from rimfea.words.numbers import Units


@pytest.fixture(scope="module")
def snipe(sheet_of):
    return analyse(sheet_of(name="snipe"), coarseness=1.6)


def spokes(axes):
    return next(each for each in axes.collections if isinstance(each, LineCollection))


def wheel(analysis, units=Units(), size="page"):  # noqa: B008 -- never changed
    return shown(lambda axes: draw_wheel(axes, analysis, units), size=size).axes[0]


@pytest.mark.parametrize("unit", ["N", "kgf"])
def test_the_spokes_that_change_are_told_in_the_unit_asked_for(snipe, unit):
    change = snipe.wheel.tension_change_N / Units(unit).force_N
    told = [f"{each:+.0f}" for each in change if abs(each) >= TOLD_SHARE * np.abs(change).max()]
    assert [text.get_text() for text in wheel(snipe, Units(unit)).texts] == told


def test_spokes_that_lose_tension_have_the_colour_of_less(snipe):
    drawn = [to_hex(colour) for colour in spokes(wheel(snipe)).get_colors()]
    assert drawn == [LESS if each < 0 else MORE for each in snipe.wheel.tension_change_N]


def test_no_number_of_a_spoke_lies_on_another(snipe):
    for size in ("small", "page", "slide"):
        boxes = [text.get_window_extent() for text in wheel(snipe, size=size).texts]
        hit = [(a, b) for k, a in enumerate(boxes) for b in boxes[:k] if a.overlaps(b)]
        assert hit == [], size


def test_the_rim_moves_with_the_rider(snipe):
    heavy = replace(snipe, loading=replace(snipe.loading, wheel_N=2 * snipe.loading.wheel_N))
    most = [
        float(re.search(r"most ([\d.]+) mm", wheel(each).get_title())[1]) for each in (snipe, heavy)
    ]
    assert most[1] == pytest.approx(2 * most[0], abs=0.011)
    built = snipe.wheel
    assert most[0] == pytest.approx(snipe.loading.wheel_N / built.radial_N_mm, rel=0.35)


def test_the_moved_outline_is_the_displacement_at_first_yield_times_what_is_told(snipe):
    answer = next(each for each in snipe.answers if each.name == TENSION)
    axes = shown(lambda axes: draw_moved(bare(axes, snipe), snipe, answer)).axes[0]
    times = float(re.search(r"× ([\d.]+);", axes.get_title())[1])
    moved = answer.displacement()[:, :2] / answer.verdict.governing.first_yield
    assert times > 1
    drawn = np.array(spokes(axes).get_segments())[:, 0]
    start = snipe.mesh.sides[:, 0]
    np.testing.assert_allclose(drawn, snipe.mesh.nodes[start] + times * moved[start])


@pytest.mark.parametrize(("asked", "given"), [(312.0, 300.0), (9.99, 9.0), (0.47, 0.4), (1.0, 1.0)])
def test_exaggerations_are_rounded_down_to_one_figure(asked, given):
    assert rounded_down(asked) == pytest.approx(given)
