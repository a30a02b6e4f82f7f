"""The report on paper."""

from __future__ import annotations

from datetime import date

import pytest

from rimfea.report.page import Picture, Report
from rimfea.report.pdf import LETTERS, LINES, _lines, _text_pages, as_pdf
from rimfea.words.tables import Table

WALLS = Table(
    "walls $a", ("wall", "told"), (("hook", "short"), ("flank", "long " * 40)), frozenset({0})
)


def crossed(axes):
    axes.plot([0, 1], [0, 1])


@pytest.fixture
def report():
    """One with 9 pictures besides the large one and tables of 240 rows."""
    many = Table("many", ("k", "square"), tuple((f"{k}", f"{k * k}") for k in range(240)))
    picture = Picture("a line", crossed)
    return Report(
        "ruff $1 & $2", "the flank governs", ("in short",), ("a note",),
        ("a sentence", "  under it"), picture,
        WALLS, (picture,) * 9, (many,), (), ("assumed",), ("a source",), date(2026, 3, 1),
    )  # fmt: skip


@pytest.mark.long
def test_the_same_report_is_the_same_bytes(report):
    content = as_pdf(report)
    assert content.startswith(b"%PDF")
    assert as_pdf(report) == content


def test_every_line_fits_the_page_and_every_page_holds_no_more_than_fits(report):
    lines = [*_lines(report)]
    assert max(len(line) for line in lines) <= LETTERS
    pages = [figure.texts[0].get_text().split("\n") for figure in _text_pages(report)]
    assert max(len(page) for page in pages) <= LINES
    assert [line for page in pages for line in page] == lines


def test_the_last_letter_and_the_last_line_are_on_the_paper(report):
    figure = next(_text_pages(report))
    figure.texts[0].set_text("\n".join(["m" * LETTERS] * LINES))
    figure.draw_without_rendering()
    box = figure.texts[0].get_window_extent()
    assert 0 < box.x0 < box.x1 < figure.bbox.x1
    assert 0 < box.y0 < box.y1 < figure.bbox.y1


def test_every_word_of_the_report_is_on_paper(report):
    told = " ".join(" ".join(_lines(report)).split())
    for said in (
        "ruff $1 & $2: the flank governs", "a note", "a sentence", "under it", "walls $a",
        "hook short", "long long", "239 57121", "assumed", "a source", report.caution,
    ):  # fmt: skip
        assert said in told
    assert told.count("long") == 40
