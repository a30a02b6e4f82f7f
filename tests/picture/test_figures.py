"""Whole figures, and that every picture fits its paper in every size."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, partial

import pytest
from matplotlib.text import Annotation, Text

from rimfea.ask.compare import measured
from rimfea.picture import charts, figures
from rimfea.picture.figures import section_figure
from rimfea.picture.rides import draw_ladders, draw_windows
from rimfea.picture.section import bare, mark_both
from rimfea.picture.theme import Size, shown
from rimfea.picture.wheel import draw_wheel
from rimfea.study.analysis import inspect
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.vary.sensitivity import sensitivity
from rimfea.words.numbers import Units
from tests.often import few

UNITS = Units()
FELL = Setup.from_values({"name": "fell", "tyre_width_mm": 45})
DRAWN = ("section", "verdict", "around", "loads", "cases", "wheel", "ladders", "windows")


@pytest.fixture(scope="module")
def both(sheet_of):
    sheet = sheet_of(name="snipe")
    return [ride(wheel_of(sheet, FELL, end, coarseness=2.0), FELL, end) for end in End]


@pytest.fixture(scope="module")
def pictures(both):
    analysis = both[-1].analysis
    lead = analysis.governing
    six = [
        replace(analysis, sheet=analysis.sheet.varied(name=name))
        for name in ("curlew", "grouse", "lapwing", "ouzel", "plover", "wheatear")
    ]
    draws = (
        partial(figures.draw_section, analysis=analysis),
        partial(figures.draw_verdict, analysis=analysis),
        partial(charts.draw_around, analysis=analysis, answer=lead),
        partial(charts.draw_loads, answer=lead, units=UNITS),
        partial(charts.draw_cases, analyses=six, units=UNITS),
        partial(draw_wheel, analysis=analysis, units=UNITS),
        partial(draw_ladders, rides=both),
        partial(draw_windows, rides=both, units=UNITS),
    )
    return dict(zip(DRAWN, draws, strict=True))


@pytest.fixture(scope="module")
def figure_of(pictures):
    """A picture in some size, drawn once: ``figure_of(name, size)``."""
    return cache(lambda name, size: shown(pictures[name], size=size))


def texts(figure):
    """Every text that is seen, with its place."""
    for axes in figure.axes:
        legend = axes.get_legend()
        labels = [*_seen(axes.xaxis), *_seen(axes.yaxis)] if axes.axison else []
        own = [*axes.texts, axes.title, axes.xaxis.label, axes.yaxis.label, *labels]
        for text in (*own, *(legend.get_texts() if legend else ())):
            if text.get_text() and text.get_visible():
                yield text.get_text(), Text.get_window_extent(text)


def _seen(axis):
    """The labels of an axis that are within its ends."""
    low, high = sorted(axis.get_view_interval())
    return [tick.label1 for tick in axis.get_major_ticks() if low <= tick.get_loc() <= high]


@pytest.mark.parametrize("size", few(Size))
@pytest.mark.parametrize("name", DRAWN)
def test_no_text_reaches_beyond_the_paper(figure_of, name, size):
    figure = figure_of(name, size)
    for text, box in texts(figure):
        assert box.x0 >= -1, text
        assert box.x1 <= figure.bbox.x1 + 1, text
        assert box.y0 >= -1, text
        assert box.y1 <= figure.bbox.y1 + 1, text


@pytest.mark.parametrize("size", list(Size))
@pytest.mark.parametrize("name", ["section", "wheel", "ladders", "windows", "loads"])
def test_no_words_in_a_picture_lie_on_others(figure_of, name, size):
    axes = figure_of(name, size).axes[0]
    placed = [(text.get_text(), Text.get_window_extent(text)) for text in axes.texts]
    hit = [
        (one, other)
        for k, (one, a) in enumerate(placed)
        for other, b in placed[:k]
        if a.overlaps(b) and one and other
    ]
    assert hit == []


def test_a_small_ladder_tells_its_events_in_a_word(figure_of, both):
    told = {text.get_text() for text in figure_of("ladders", Size.SMALL).axes[0].texts}
    drops = [rung.drop_mm for each in both for rung in each.ladder.rungs]
    assert {text.split(", ")[0] for text in told} == {"flat", "casing", "yield", "set"}
    assert {text.split(", ")[1] for text in told} == {f"{drop:.0f} mm" for drop in drops}


def test_the_words_of_the_cuts_stand_above_the_tyre_well_wherever_the_cuts_are(both):
    analysis = both[-1].analysis
    walls = {wall.wall: wall for wall in analysis.governing.verdict.walls}

    def draw(axes):
        mark_both(bare(axes, analysis), walls["nipple seat"], walls["flank"])

    axes = shown(draw).axes[0]
    for text in axes.texts:
        assert text.get_position()[1] > 1.0, text.get_text()


@pytest.mark.long
def test_a_comparison_has_a_section_a_rim_and_strength_against_mass_if_asked(both, monkeypatch):
    two = partial(sensitivity, keys=("sidewall_mm", "flank_mm"))
    monkeypatch.setattr("rimfea.ask.compare.sensitivity", two)
    sheet = both[-1].analysis.sheet
    rims = [measured(sheet, FELL, End.REAR)]
    heavier = replace(both[-1].analysis, sheet=sheet.varied(name="knot"))
    analyses = [both[-1].analysis, heavier]
    plain = figures.comparison_figure(analyses, UNITS)
    assert [axes.get_title().split(":")[0] for axes in plain.axes] == ["snipe", "knot", ""]
    whole = figures.comparison_figure(analyses, UNITS, rims)
    assert len(whole.axes) == len(plain.axes) + 3  # laid over each other, grams, strength
    assert any(axes.get_xlabel().startswith("mass of the rim, g") for axes in whole.axes)


def test_the_name_of_an_offset_nipple_seat_points_at_it(sheet_of):
    """Also where no metal of the spoke bed is on the right."""
    sheet = sheet_of(
        inner_width_mm=40, overall_depth_mm=25, spoke_bed_width_mm=12, spoke_bed_offset_mm=-9
    )
    axes = section_figure(inspect(sheet, coarseness=2.5)).axes[0]
    pointed = {text.get_text(): text.xy for text in axes.texts if isinstance(text, Annotation)}
    assert pointed["nipple seat"][0] == -9
    assert pointed["spoke bed"][0] < -3
