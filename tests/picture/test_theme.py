"""A picture small, on a page, as a slide, and on dark paper."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from matplotlib.colors import same_color, to_rgba
from matplotlib.figure import Figure
from matplotlib.image import imread

from rimfea.picture.palette import DARK, FAINT, INK, LIGHT, PAPER
from rimfea.picture.theme import darkened, is_small, shown


def lines(axes):
    axes.plot([0, 1], [0, 1], color=INK, marker="o", mfc=PAPER, label="one")
    axes.plot([0, 1], [1, 0], color="#d55e00", label="other")
    axes.bar([0.5], [0.5], color=to_rgba(FAINT, 0.5))
    axes.annotate("here", (0, 0), xytext=(0.5, 0.2), arrowprops={"color": INK}, bbox={"fc": PAPER})
    axes.set_title("title")
    axes.legend()


def pixels(figure):
    sink = BytesIO()
    figure.savefig(sink, format="png", dpi=60)
    sink.seek(0)
    return imread(sink)[..., :3]


def near(colour, image, gap=0.03):
    """How many pixels are of the colour, within a gap."""
    rgb = np.array([int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)])
    return int((np.abs(image - rgb).max(axis=2) < gap).sum())


def test_a_small_picture_is_80_mm_wide_and_a_slide_is_16_to_9():
    assert shown(lines, size="small").get_figwidth() * 25.4 == pytest.approx(80)
    slide = shown(lines, size="slide")
    assert slide.get_figwidth() / slide.get_figheight() == pytest.approx(16 / 9)
    assert slide.get_dpi() * slide.get_figwidth() == pytest.approx(1920)


def test_only_a_small_picture_is_small():
    small = {size: is_small(shown(lines, size=size).axes[0]) for size in ("small", "page", "slide")}
    assert small == {"small": True, "page": False, "slide": False}


def test_a_size_that_there_is_not_is_refused():
    with pytest.raises(ValueError, match="poster"):
        shown(lines, size="poster")


def test_on_dark_paper_nothing_of_the_light_look_is_left():
    light, dark = pixels(shown(lines)), pixels(shown(lines, dark=True))
    assert near(LIGHT.paper, light) > near(DARK.paper, light) == 0
    assert near(DARK.paper, dark) > 1000
    assert near(DARK.ink, dark) > 50
    for colour in (LIGHT.ink, LIGHT.paper, "#000000"):
        assert near(colour, dark, 0.001) == 0
        assert colour == "#000000" or near(colour, light, 0.001) > 0


def test_colours_with_a_meaning_and_opacity_stay_on_dark_paper():
    axes = darkened(shown(lines)).axes[0]
    assert same_color(axes.lines[1].get_color(), "#d55e00")
    assert axes.patches[0].get_facecolor()[3] == 0.5


def test_ticks_that_are_made_later_are_dark_too():
    figure = Figure()
    lines(figure.subplots())
    darkened(figure)
    figure.axes[0].set_xticks(np.linspace(0, 1, 30))
    figure.draw_without_rendering()
    labels = figure.axes[0].get_xticklabels()
    assert len(labels) == 30
    assert all(same_color(label.get_color(), DARK.ink) for label in labels)
