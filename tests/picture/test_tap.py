"""The picture of a rim's tones."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.elastic.modes import Kind
from rimfea.picture.tap import draw_mode, tap_figure
from rimfea.vary import tap as rings


@pytest.fixture(scope="module")
def found(sheet_of):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rings, "COARSE", 2.5)
        return rings.tap(sheet_of(name="dunlin", note="drawn")).hearing([150.0, 55.0])


def test_it_has_the_first_modes_of_each_kind_and_every_tone(found):
    *modes, tones = tap_figure(found).axes
    assert len(modes) == 4
    titles = [axes.get_title() for axes in modes]
    assert [("from the side" in title) for title in titles].count(True) == 2
    named = {text.get_text().strip() for text in tones.texts}
    assert len(named) == len(found.tones)
    (heard,) = [line for line in tones.lines if line.get_marker() == "^"]
    assert heard.get_xdata() == pytest.approx([55.0, 150.0])


def test_the_string_is_where_the_rim_is_still_and_the_arrow_where_it_moves_most(found):
    plane = next(tone for tone in found.tones if tone.kind is Kind.IN_PLANE)
    axes = tap_figure(found).add_subplot()
    draw_mode(axes, found, plane)
    (rings,) = [line for line in axes.lines if line.get_marker() == "o"]
    x, y = rings.get_data()
    assert (x[0], y[0]) == pytest.approx((0.0, 1.0))
    assert len(x) == 2 * plane.waves
    swung = next(line for line in axes.lines if line.get_linestyle() == "--")
    far = np.hypot(*swung.get_data())
    at = np.arctan2(*swung.get_data())
    tip = axes.texts[0].xy
    assert abs(np.interp(np.arctan2(*tip), at[:240], far[:240]) - 1) > 0.12
