"""Sections laid over each other: what a caliper can tell is there, and no word covers another."""

from __future__ import annotations

from functools import partial
from itertools import combinations

import pytest
from matplotlib.text import Text

from rimfea.picture.overlaid import draw_grams, draw_overlaid
from rimfea.picture.theme import Size, shown
from rimfea.profile.families import Family
from rimfea.study.analysis import inspect
from rimfea.study.grams import grams_by_piece

MORE = {"sidewall_mm": 1.9, "hook_lip_mm": 3.1, "bead_hook_mm": 2.1, "hook_height_mm": 7.0}
WIDER = {"inner_width_mm": 30, "overall_depth_mm": 24, "tyre_well_mm": 1.6, "nipple_seat_mm": 3.4}


@pytest.fixture(scope="module")
def rims(sheet_of):
    sheets = (
        sheet_of(hook_height_mm=6),
        sheet_of(name="ruff", **MORE, **WIDER),
        sheet_of(Family.SINGLE, name="knot"),
    )
    return [inspect(sheet, coarseness=2.0) for sheet in sheets]


@pytest.mark.parametrize("size", Size)
def test_every_difference_that_a_caliper_can_tell_is_labelled_and_no_label_covers_another(
    rims, size
):
    figure = shown(partial(draw_overlaid, analyses=rims[:2]), size=size)
    (axes,) = figure.axes
    told = {text.get_text() for text in axes.texts}
    assert {"sidewall +0.40", "inner width +5.00", "overall depth +3.00"} <= told
    assert len(told) == len(MORE) + len(WIDER)
    labels = [*axes.texts, *axes.get_legend().get_texts()]
    boxes = [Text.get_window_extent(text) for text in labels]
    assert not [pair for pair in combinations(boxes, 2) if pair[0].overlaps(pair[1])]
    assert all(figure.bbox.x0 <= box.x0 and box.x1 <= figure.bbox.x1 for box in boxes)


def test_labels_say_how_much_more_than_in_the_base(rims):
    figure = shown(partial(draw_overlaid, analyses=rims[:2], base=1))
    assert "sidewall -0.40" in {text.get_text() for text in figure.axes[0].texts}
    names = [text.get_text() for text in figure.axes[0].get_legend().get_texts()]
    assert names == ["Whimbrel, mm more or less", "ruff"]


def test_bead_seat_lies_on_bead_seat(rims):
    """Both outlines are drawn in one place: their bead seats at y = 0."""
    figure = shown(partial(draw_overlaid, analyses=rims[:2]))
    lines = figure.axes[0].patches[1:]
    tops = [float(line.get_path().vertices[:, 1].max()) for line in lines]
    assert tops == pytest.approx([rim.sheet.hook_height_mm for rim in rims[:2]], abs=0.01)


def test_of_more_than_two_rims_each_has_a_line_of_its_own_and_no_labels(rims):
    figure = shown(partial(draw_overlaid, analyses=rims))
    (axes,) = figure.axes
    assert not axes.texts
    assert (
        len({(str(line.get_edgecolor()), str(line.get_linestyle())) for line in axes.patches[1:]})
        == 3
    )
    assert [text.get_text() for text in axes.get_legend().get_texts()] == [
        "Whimbrel",
        "ruff",
        "knot",
    ]


def test_every_wall_has_a_bar_for_every_rim(rims):
    figure = shown(partial(draw_grams, analyses=rims[:2]))
    (axes,) = figure.axes
    found = [grams_by_piece(each) for each in rims[:2]]
    widths = [patch.get_width() for patch in axes.patches]
    assert widths == pytest.approx([mass for each in found for mass in each.values()])
    assert axes.get_legend().get_texts()[0].get_text().startswith("Whimbrel, ")
