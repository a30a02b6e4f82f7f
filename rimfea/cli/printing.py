"""Text on the terminal: tables, sentences, the caution, and pictures into files."""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click
from rich.console import Console
from rich.progress import track
from rich.table import Table as Grid

from rimfea.errors import FileError
from rimfea.words.numbers import CAUTION
from rimfea.words.tables import Table

if TYPE_CHECKING:
    from matplotlib.figure import Figure


Answered = TypeVar("Answered")
NARROWEST = 110


def console() -> Console:
    """The terminal; where there is none (a file, a pipe), wide enough for the tables."""
    width = None if Console().is_terminal else NARROWEST
    # A name is printed as it was written: no brackets or colons of it are taken for styles.
    return Console(width=width, markup=False, emoji=False, highlight=False)


def show_table(out: Console, table: Table) -> None:
    """A table with its title; marked rows in bold."""
    grid = Grid(title=table.title, title_justify="left", title_style="bold", header_style="dim")
    for name in table.head:
        grid.add_column(name)
    for k, row in enumerate(table.rows):
        grid.add_row(*row, style="bold" if k in table.marked else None)
    out.print(grid)


def close(out: Console) -> None:
    """The caution that ends every text."""
    out.print(CAUTION, style="dim")


def followed(found: Iterable[Answered], count: int, what: str = "rims") -> list[Answered]:
    """All that is found, with a progress bar on a terminal."""
    bar = Console(stderr=True)
    hidden = not bar.is_terminal or count < 2
    told = track(found, what, total=count, console=bar, transient=True, disable=hidden)
    return list(told)


def free(path: Path | None, *, overwrite: bool) -> None:
    """Refuse early, before any work, a file in no folder, or to write over one that is there."""
    if path is None:
        return
    if not path.parent.is_dir():
        raise FileError(f"{path}: cannot be written: there is no folder {path.parent}")
    if path.exists() and not overwrite:
        raise FileError(f"{path}: is already there; add --overwrite to replace it")


def save(figure: Figure, path: Path) -> None:
    """Write a picture to a file."""
    from rimfea.files.whole_file import write_file

    drawn = BytesIO()
    figure.savefig(drawn, dpi=150, format=path.suffix[1:])
    write_file(path, drawn.getvalue(), overwrite=True)  # whether it may, :func:`free` has asked
    click.echo(f"Picture: {path}", err=True)
