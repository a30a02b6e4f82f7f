"""The spectrum of taps, read back from the drawing."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.picture.recording import recording_figure
from rimfea.tapped.recording import Recording
from rimfea.tapped.tones import tones

RIM = (161.3, 163.0, 292.4, 640.7, 1391.5)
EXPECTED = [(1400.0, "four waves"), (160.0, "two waves"), (290.0, "beside"), (9000.0, "too high")]


@pytest.fixture(scope="module")
def found(tapped):
    hum = {"beside": lambda t: 0.3 * np.sin(2 * np.pi * 50 * t)}
    return tones(Recording(tapped(RIM, **hum), 16000))


@pytest.fixture(scope="module")
def figure(found):
    figure = recording_figure(found, EXPECTED)
    figure.draw_without_rendering()
    return figure


def line(figure, label):
    (found,) = (each for each in figure.axes[0].lines if each.get_label() == label)
    return found


def test_every_tone_has_a_mark_on_its_peak_and_what_is_left_out_a_cross(figure, found):
    for label, hertz in (
        ("tone", found.hertz),
        ("left out", [each.hertz for each in found.left_out]),
    ):
        marks = line(figure, label)
        np.testing.assert_allclose(marks.get_xdata(), hertz)
        (whole, *_) = figure.axes[0].lines
        level = np.interp(hertz, whole.get_xdata(), whole.get_ydata())
        np.testing.assert_allclose(marks.get_ydata(), level)


def test_tones_are_told_by_their_numbers_and_a_pair_together(figure):
    told = [text.get_text() for text in figure.axes[0].texts]
    assert told == ["161.3, 163.0", "292.4", "640.7", "1391.5"]


def test_expected_tones_have_a_line_and_a_name_each_where_the_picture_has_room(figure):
    lines = [each for each in figure.axes[0].lines if each.get_linestyle() == "--"]
    assert [each.get_xdata()[0] for each in lines] == [160.0, 290.0, 1400.0]
    (above,) = figure.axes[0].child_axes
    named = [label.get_text() for label in above.get_xticklabels()]
    assert named == ["two waves", "beside", "four waves"]


def test_no_words_lie_on_others(figure):
    (above,) = figure.axes[0].child_axes
    words = [*figure.axes[0].texts, *above.get_xticklabels()]
    boxes = [text.get_window_extent() for text in words]
    assert not [(a, b) for k, a in enumerate(boxes) for b in boxes[:k] if a.overlaps(b)]


def test_the_title_counts_tones_and_taps_and_the_caution_is_there(figure):
    assert figure.get_suptitle() == "5 tones after 3 taps"
    assert "Indicative only" in figure.get_supxlabel()


def test_without_expected_tones_there_are_no_lines(found):
    figure = recording_figure(found)
    assert not figure.axes[0].child_axes
    assert not [each for each in figure.axes[0].lines if each.get_linestyle() == "--"]
