"""Figures as the bytes of a file."""

from __future__ import annotations

import re

import numpy as np
import pytest
from matplotlib.figure import Figure

from rimfea.picture.written import written


def drawn(beyond=0.0, height=1.0):
    """A curve with marks, clipped to axes whose ends hang on the last digits of a number."""
    figure = Figure()
    axes = figure.add_subplot()
    axes.set_xlim(0.0, 1.003 + beyond)
    axes.plot([0.2, 0.5, 1.7], [0.0, height, 0.3], marker="o", clip_on=True)
    axes.fill_between(
        [0.1, 0.9], [0.1, 0.4], hatch="/", clip_path=(axes.patch.get_path(), axes.transData)
    )
    return written(figure, "svg", 100)


def names(svg, of):
    return set(re.findall(of, svg))


def test_a_picture_does_not_hang_on_the_last_digit_of_a_number():
    assert drawn(np.spacing(1.0)) == drawn()
    assert drawn(height=1.1) != drawn()


def test_what_is_clipped_and_marked_finds_its_clip_and_mark():
    svg = drawn()
    used = names(svg, rb"url\(#([^)]+)\)") | names(svg, rb'href="#(p[^"]+)"')
    assert len(used) >= 3
    assert used <= names(svg, rb'id="([^"]+)"')


def test_two_pictures_on_one_page_have_no_name_in_common():
    one, other = (names(drawn(height=h), rb'id="(p[^"]+-\d+)"') for h in (1.0, 1.2))
    assert one
    assert not one & other


@pytest.mark.parametrize("kind", ["png", "pdf"])
def test_other_kinds_are_as_matplotlib_writes_them(kind):
    assert written(Figure(), kind, 50) == written(Figure(), kind, 50)
