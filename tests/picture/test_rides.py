"""Ladder and tension window as pictures, read back from the drawing."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from itertools import combinations, product

import numpy as np
import pytest
from matplotlib.figure import Figure

from rimfea.picture.figures import stress_figure
from rimfea.picture.rides import _spread, draw_ladders, draw_windows
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.study.window import Bound, Limit, Window
from rimfea.units import to_unit
from rimfea.words.numbers import Units
from rimfea.words.rides import event_words
from tests.often import few

FELL = Setup.from_values({"name": "fell", "tyre_width_mm": 45})
NEWTON, KILOGRAM_FORCE = Units(), Units(force="kgf", pressure="psi")
SIZE = (12.0, 4.0)  # of the line of a figure that holds the two
# Lowest, highest and target: usual, narrow, at the left end, shut, and a target far outside.
WINDOWS = [
    (450, 1200, 1000),
    (900, 960, 930),
    (160, 2500, 300),
    (900, 500, 700),
    (400, 600, 1800),
]
# Each with itself and with the next; the others take their time.
PAIRS = [
    pytest.param(*pair, marks=() if (k - i) % 5 < 2 else pytest.mark.long)
    for (i, front), (k, rear) in product(enumerate(WINDOWS), repeat=2)
    for pair in [(front, rear)]
]
LONG = Bound(0.0, Limit.MEAN, 300.0)


@pytest.fixture(scope="module")
def both(sheet_of):
    """The front and the rear wheel."""
    sheet = sheet_of(name="snipe $1")
    return [ride(wheel_of(sheet, FELL, end, coarseness=2.0), FELL, end) for end in End]


def drawn(draw, *given):
    """The axes on which that is drawn, laid out as in the whole figure."""
    figure = Figure(figsize=SIZE, layout="constrained")
    grid = figure.add_gridspec(1, 2, width_ratios=(1.5, 1))
    axes = figure.add_subplot(grid[0, 0 if draw is draw_ladders else 1])
    draw(axes, *given)
    figure.draw_without_rendering()
    return axes


def boxes(axes):
    """The place of every text on the axes, in pixels, by what it says."""
    return {(k, text.get_text()): text.get_window_extent() for k, text in enumerate(axes.texts)}


def overlapping(axes):
    return [
        (one[1], other[1])
        for (one, a), (other, b) in combinations(boxes(axes).items(), 2)
        if a.overlaps(b)
    ]


def marked(axes, marker, direction):
    """Where the signs of a kind stand, x (0) or y (1); the legend's own stand nowhere."""
    return [
        float(place)
        for line in axes.lines
        if line.get_marker() == marker
        for place in line.get_data()[direction]
    ]


def windowed(known, low, high, target):
    bounds = (replace(LONG, tension_N=low),), (Bound(high, Limit.SEAT_FOLDS, 1.25),)
    return replace(known, window=Window(*bounds, target))


def test_every_rung_stands_at_the_drop_that_brings_it(both):
    axes = drawn(draw_ladders, both)
    level = [line.get_ydata() for line in axes.lines if line.get_linewidth() == 3]
    heights = [y[0] for y in level if y[0] == y[1]]
    assert heights == [rung.drop_mm for known in both for rung in known.ladder.rungs]
    told = [text.get_text() for text in axes.texts]
    assert told == [
        f"{event_words(r, known.setup)}, {r.drop_mm:.0f} mm"
        for known in both
        for r in known.ladder.rungs
    ]


@pytest.mark.parametrize("speed", [0.0, 12.0, 40.0])
def test_the_set_ups_own_blow_is_always_in_the_picture(both, speed):
    fast = [ride(each.analysis, FELL.varied(speed_km_h=speed), each.end) for each in both]
    axes = drawn(draw_ladders, fast)
    drops = marked(axes, "v", 1)
    assert drops == [each.drop_mm for each in fast]
    assert min(drops) >= 0
    assert max(drops) < axes.get_ylim()[1]


@pytest.mark.parametrize("speed", [12.0, 40.0])
@pytest.mark.parametrize("count", [1, 2])
def test_no_text_of_a_ladder_lies_on_another_or_beyond_the_axes(both, speed, count):
    rides = [ride(each.analysis, FELL.varied(speed_km_h=speed), each.end) for each in both]
    axes = drawn(draw_ladders, rides[-count:])
    assert overlapping(axes) == []
    frame = axes.get_window_extent()
    for (_, text), box in boxes(axes).items():
        assert frame.y0 <= box.y0, text
        assert box.y1 <= frame.y1, text
        assert box.x1 <= frame.x1, text


def test_the_text_of_a_ladder_ends_before_the_next(both):
    axes = drawn(draw_ladders, both)
    rail = axes.transData.transform((1 - 0.09, 0))[0]
    for (k, text), box in boxes(axes).items():
        assert k >= 4 or box.x1 < rail, text


@pytest.mark.parametrize("heights", [[0, 0, 0, 0], [5, 5.5, 6, 40], [10, 30, 50, 70], [0, 1, 90]])
def test_heights_are_moved_apart_by_no_more_than_they_must(heights):
    given, gap = np.array(heights, dtype=float), 5.0
    apart = _spread(given, gap)
    assert np.diff(apart).min() > gap - 1e-9
    assert apart[0] >= gap / 2
    if np.diff(given).min() >= gap:
        np.testing.assert_allclose(apart, given)


@pytest.mark.parametrize("units", [NEWTON, KILOGRAM_FORCE])
def test_a_window_is_drawn_from_its_lowest_to_its_highest_tension_in_the_unit_asked_for(
    both, units
):
    axes = drawn(draw_windows, both, units)
    unit = to_unit(1.0, units.force)
    assert len(axes.patches) == 2
    for bar, known in zip(axes.patches, both, strict=True):
        ends = (bar.get_x(), bar.get_x() + bar.get_width())
        window = known.window
        assert ends == pytest.approx(
            [unit * window.lowest.tension_N, unit * window.highest.tension_N]
        )
    assert marked(axes, "o", 0) == pytest.approx([unit * known.window.target_N for known in both])
    assert axes.get_xlabel().endswith(units.force)


def test_a_shut_window_has_two_ends_and_no_bar(both):
    axes = drawn(draw_windows, [windowed(both[0], 900, 500, 700)], NEWTON)
    assert len(axes.patches) == 0
    ends = [line.get_xdata()[0] for line in axes.lines if line.get_linewidth() == 1.6]
    assert ends == [900, 500]


@pytest.mark.parametrize(("front", "rear"), PAIRS)
def test_no_text_of_a_window_lies_on_another_or_beyond_the_axes(both, front, rear):
    rides = [windowed(known, *bounds) for known, bounds in zip(both, (front, rear), strict=True)]
    axes = drawn(draw_windows, rides, NEWTON)
    assert overlapping(axes) == []
    frame = axes.get_window_extent()
    for (_, text), box in boxes(axes).items():
        assert frame.x0 <= box.x0, text
        assert box.x1 <= frame.x1, text
        assert box.y0 >= frame.y0, text
        assert not any(box.overlaps(bar.get_window_extent()) for bar in axes.patches), text
    assert len(axes.texts) == 4


@pytest.mark.parametrize("count", few([1, 0, 2]))
def test_the_whole_picture_is_drawn_with_as_many_wheels_as_there_are(both, count):
    figure = stress_figure(both[-1].analysis, NEWTON, both[2 - count :] if count else ())
    labels = [axes.get_ylabel() for axes in figure.axes]
    assert labels.count("drop, mm") == bool(count)
    sink = BytesIO()
    figure.savefig(sink, format="png", dpi=40)
    assert sink.getvalue().startswith(b"\x89PNG")
