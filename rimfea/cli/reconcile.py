"""rimfea reconcile: a sheet made to agree with scales and ERD."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options
from rimfea.cli.encodable import echo

if TYPE_CHECKING:
    from rimfea.ask.reconcile import Reconciled
    from rimfea.vary.unsawn import Unsawn


@click.command("reconcile")
@options.sheet
@click.option(
    "--also",
    multiple=True,
    metavar="KEY",
    shell_complete=options.complete_keys,
    help="A measured number that you distrust, such as flank_mm; may be repeated.",
)
@options.write
@options.outputs
def command(
    sheet: Path,
    *,
    also: tuple[str, ...],
    write: Path | None,
    as_data: bool,
    picture: Path | None,
    overwrite: bool,
) -> None:
    """Scale what nobody measured, by the least change, until the drawn rim agrees with the weighed
    one, and with the ERD if it was measured; measured numbers stay as they are. Also tells what
    scales and tones say of the walls that nobody measured.
    """
    from rimfea.ask.reconcile import Ending, reconcile
    from rimfea.cli.printing import free, save, show_data, working
    from rimfea.errors import SolveError
    from rimfea.files.sheet_toml import read_sheet, write_sheet
    from rimfea.words import reconcile as report
    from rimfea.words.asked import reconcile_json

    for file in (write, picture):
        free(file, overwrite=overwrite)
    rim = read_sheet(sheet)
    with working(rim.name):
        found = reconcile(rim, also)
        told = f"{found.before.name}: {report.reconcile_headline(found)}"
        if found.ending in (Ending.NOTHING_FREE, Ending.OUT_OF_REACH):
            raise SolveError(told)
        walls = found.unsawn
    changed = found.ending is Ending.SCALED
    if as_data:
        show_data(reconcile_json(found))
    else:
        _print(found, walls, told, changed=changed)
    if picture:
        from rimfea.picture.drawn import draw

        save(draw(found), picture)
    if write and changed:
        write_sheet(write, found.after, report.sheet_heading(found), overwrite=overwrite)
        echo(f"Sheet: {write}", err=True)
    elif write:
        echo(f"{write}: not written, there is no change", err=True)


def _print(found: Reconciled, walls: Unsawn, told: str, *, changed: bool) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.words import reconcile as report
    from rimfea.words.unsawn import walls_table

    out = console()
    out.say(told, style="bold")
    if changed:
        show_table(out, report.reconcile_table(found))
    if walls.walls:
        show_table(out, walls_table(walls))
    for line in report.walls_lines(found):
        out.say(f"  {line}")
    out.say(report.RECONCILE_ASSUMES)
    close(out)
