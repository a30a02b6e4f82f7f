"""The report on paper: a page of pictures, then the same words and tables as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from io import BytesIO
from textwrap import wrap
from typing import Any, TypeVar

from matplotlib import rc_context
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from rimfea.picture.charts import plain
from rimfea.picture.palette import INK, PAPER
from rimfea.report.page import Picture, Report
from rimfea.words.tables import Table

Each = TypeVar("Each")
A4 = (8.27, 11.69)  # inches
LEFT, TOP = 0.06, 0.96  # where text begins, as shares of the page
LETTERS, LINES = 122, 104  # of a page
FIRST, MORE = 7, 8  # pictures of the first page, on which one is large, and of the next ones
POINTS = 6.5
SETTINGS: dict[Any, Any] = {"pdf.fonttype": 42, "font.size": POINTS}


def as_pdf(report: Report) -> bytes:
    """The report as PDF pages; the same report gives the same bytes."""
    sink = BytesIO()
    about = {"Title": f"{report.name}: rim report", "CreationDate": None}
    with rc_context(SETTINGS), PdfPages(sink, metadata=about) as pages:
        for figure in (*_picture_pages(report), *_text_pages(report)):
            pages.savefig(figure)
    return sink.getvalue()


def _picture_pages(report: Report) -> Iterator[Figure]:
    first, rest = report.pictures[: FIRST - 1], report.pictures[FIRST - 1 :]
    title = "\n".join(wrap(f"{report.name}: {report.verdict}", 84))
    yield _pictures(report, title, report.picture, first)
    for some in _batches(rest, MORE):
        yield _pictures(report, report.name, None, some)


def _pictures(
    report: Report, title: str, lead: Picture | None, others: Sequence[Picture]
) -> Figure:
    """Pictures two in a row, below a large one if there is one."""
    figure = Figure(A4, layout="constrained", facecolor=PAPER)
    figure.suptitle(plain(title), color=INK, fontsize="x-large", fontweight="bold")
    figure.supxlabel(f"{report.made}\n{report.caution}", fontsize=6, color=INK, wrap=True)
    large = int(lead is not None)
    lines = large + -(-len(others) // 2)
    grid = figure.add_gridspec(lines, 2, height_ratios=[1.3] * large + [1.0] * (lines - large))
    if lead:
        lead.draw(figure.add_subplot(grid[0, :]))
    for k, each in enumerate(others):
        each.draw(figure.add_subplot(grid[large + k // 2, k % 2]))
    return figure


def _text_pages(report: Report) -> Iterator[Figure]:
    for lines in _batches([*_lines(report)], LINES):
        figure = Figure(A4, facecolor=PAPER)
        figure.text(
            LEFT,
            TOP,
            "\n".join(lines),
            va="top",
            color=INK,
            family="monospace",
            fontsize=POINTS,
            parse_math=False,
            linespacing=1.15,
        )
        yield figure


def _lines(report: Report) -> Iterator[str]:
    yield from _wrapped(f"{report.name}: {report.verdict}")
    yield from _wrapped(report.made)
    for block in (report.short, report.notes, report.sentences):
        for line in block:
            yield from _wrapped(line)
        yield ""
    for table in (report.table, *report.tables, *report.evidence):
        if table.rows:
            yield from _table(table)
            yield ""
    words = ("What the words mean:", *map(str, report.terms))
    for line in (*report.assumptions, *report.sources, "", *words, "", report.caution):
        yield from _wrapped(line)


def _wrapped(line: str) -> list[str]:
    indent = " " * (len(line) - len(line.lstrip()))
    return wrap(line, LETTERS, initial_indent="", subsequent_indent=f"{indent}  ") or [""]


def _table(table: Table) -> Iterator[str]:
    """Columns as wide as their widest cell; what does not fit goes on below."""
    yield from _wrapped(table.title)
    every = (table.head, *table.rows)
    widths = [max(len(row[k]) for row in every) for k in range(len(table.head))]
    start = sum(widths[:-1]) + 2 * len(widths[:-1])
    for row in every:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        yield from wrap(
            "  ".join(cells).rstrip(),
            LETTERS,
            subsequent_indent=" " * min(start, LETTERS // 2),
            replace_whitespace=False,
            drop_whitespace=False,
        )


def _batches(every: Sequence[Each], count: int) -> Iterator[Sequence[Each]]:
    """So many at a time; the last ones may be fewer."""
    for start in range(0, len(every), count):
        yield every[start : start + count]
