"""Text on the terminal: tables, sentences, the caution, and pictures into files."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click
from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.progress import (
    MofNCompleteColumn,
    Progress,
    SpinnerColumn,
    TextColumn,
    TimeElapsedColumn,
)
from rich.table import Table as Grid
from rich.text import Text

from rimfea.cli.encodable import echo, encodable, json_for
from rimfea.cli.fit import fitted, wrapped
from rimfea.cli.options import EXPLAIN, asked_table
from rimfea.errors import FileError
from rimfea.words.numbers import CAUTION
from rimfea.words.tables import Table

if TYPE_CHECKING:
    from matplotlib.figure import Figure


Answered = TypeVar("Answered")
USUAL_WIDTH, NARROWEST = 110, 40
PICTURE_DPI = 150


class Told(Console):
    """A console that has plain letters for what its encoding does not have, and remembers what it
    told, so that its words can be explained.
    """

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 -- as rich declares it
        super().__init__(**options)
        self.said: list[str] = []
        self.tables: list[Table] = []

    def render_str(self, text: str, **style: Any) -> Text:  # noqa: ANN401 -- as rich declares it
        """The text as it can be shown."""
        return super().render_str(encodable(text, self.encoding), **style)

    def say(self, text: str, style: str = "") -> None:
        """A sentence in lines as long as the terminal is wide."""
        self.said.append(text)
        told = wrapped(encodable(text, self.encoding), self.width)
        self.print(told, style=style or None, soft_wrap=True)


def console(*, stderr: bool = False) -> Told:
    """The terminal; where there is none (a file, a pipe), as wide as COLUMNS says, or wide enough
    for most tables.
    """
    # A name is printed as it was written: no brackets or colons of it are taken for styles.
    out = Told(stderr=stderr, markup=False, emoji=False, highlight=False)
    if not (out.is_terminal or os.environ.get("COLUMNS", "").isdigit()):
        out.width = USUAL_WIDTH
    out.width = max(out.width, NARROWEST)
    return out


def show_table(out: Told, table: Table) -> None:
    """A table under its title, no wider than the terminal; marked rows in bold."""
    out.tables.append(table)
    shown = _encodable(table, out.encoding)
    if table.title:
        out.say(table.title, style="bold")
    for part in fitted(shown, out.width):
        grid = Grid(header_style="dim", box=SIMPLE_HEAD, show_edge=False, pad_edge=False)
        for name in part.head:
            grid.add_column(name, no_wrap=True)
        for k, row in enumerate(part.rows):
            grid.add_row(*row, style="bold" if k in part.marked else None)
        out.print(grid)


def close(out: Told) -> None:
    """What ends every text: on demand what its words mean and its tables in a file; the caution."""
    asked = click.get_current_context(silent=True)
    if asked and asked.meta.get(EXPLAIN):
        from rimfea.words.glossary import terms_in

        terms = terms_in(out.said, out.tables)
        out.say("What the words mean", style="bold")
        for term in terms:
            out.say(f"  {term}")
    out.say(CAUTION, style="dim")
    path = asked_table()
    if path and out.tables:
        from rimfea.files.tables_csv import write_tables

        write_tables(path, out.tables, overwrite=True)  # whether it may, :func:`free` has asked
        echo(f"Table: {path}", err=True)
    elif path:
        echo(f"{path}: not written, this answer has no table", err=True)


def show_data(text: str) -> None:
    """JSON on the standard output, whatever that can show."""
    click.echo(json_for(text, getattr(sys.stdout, "encoding", None) or "utf-8"))


def followed(found: Iterable[Answered], count: int, what: str = "rims") -> list[Answered]:
    """All that is found, with how far it has come on a terminal."""
    with working(what, count) as done:
        return [_told(each, done) for each in found]


@contextmanager
def working(what: str, count: int | None = None) -> Iterator[Callable[[], None]]:
    """While something takes its time, say on a terminal what, since when, and how far it has come
    if it has a ``count``; what it gives is to be called after each. Elsewhere nothing is written,
    so that a pipe or a log has the answer alone.
    """
    out = console(stderr=True)
    if not out.is_terminal:
        yield lambda: None
        return
    parts = (
        SpinnerColumn("line"),
        TextColumn("{task.description}"),
        *((MofNCompleteColumn(),) if count else ()),
        TimeElapsedColumn(),
    )
    with Progress(*parts, console=out, transient=True, refresh_per_second=4) as told:
        task = told.add_task(what, total=count)
        yield lambda: told.advance(task)


def _told(answer: Answered, done: Callable[[], None]) -> Answered:
    done()
    return answer


def _encodable(table: Table, encoding: str) -> Table:
    head, *rows = (
        tuple(encodable(cell, encoding) for cell in row) for row in (table.head, *table.rows)
    )
    return Table(table.title, head, tuple(rows), table.marked)


def free(path: Path | None, *, overwrite: bool) -> None:
    """Refuse early, before any work, a file in no folder, to write over one that is there, or to
    write two things to one.
    """
    if path is None:
        return
    if path == asked_table():
        raise FileError(f"{path}: is the file of --table already; give each a file of its own")
    if not path.parent.is_dir():
        raise FileError(f"{path}: cannot be written: there is no folder {path.parent}")
    if path.exists() and not overwrite:
        raise FileError(f"{path}: is already there; add --overwrite to replace it")


def save(figure: Figure, path: Path) -> None:
    """Write a picture to a file."""
    from rimfea.files.whole_file import write_file
    from rimfea.picture.written import written

    with working("the picture is drawn"):
        drawn = written(figure, path.suffix[1:].lower(), PICTURE_DPI)
    write_file(path, drawn, overwrite=True)  # whether it may, :func:`free` has asked
    echo(f"Picture: {path}", err=True)
