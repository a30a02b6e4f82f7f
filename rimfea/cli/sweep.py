"""rimfea sweep: one or two numbers of a sheet varied over a range."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options
from rimfea.cli.workers import handed_out, workers
from rimfea.study.outcome_names import NAMES

if TYPE_CHECKING:
    from rimfea.ask.sweep import Sweep, Swept
    from rimfea.vary.parallel import Workers
    from rimfea.words.numbers import Units


@click.command("sweep")
@options.sheet
@click.argument(
    "axes",
    nargs=-1,
    required=True,
    metavar="KEY=FROM:TO:COUNT...",
    shell_complete=options.complete_keys,
)
@options.loads
@options.force_unit
@options.outputs
@options.one_wheel
@click.option(
    "--of",
    default="set",
    show_default=True,
    metavar="OUTCOME",
    shell_complete=options.complete_outcomes,
    help="What the first line and the picture are about; set tells first yield besides; a dent "
    f"takes several times as long. One of {', '.join(NAMES.values())}.",
)
@click.option(
    "--csv",
    type=options.FileToWrite(".csv"),
    metavar="FILE",
    help="Also write a row a point (.csv); begun before, it goes on where it stopped.",
)
@click.option(
    "--processes",
    type=options.Number(1, 64, whole=True),
    default=2,
    show_default=True,
    help="How many points are computed at a time.",
)
@workers
def command(
    sheet: Path,
    axes: tuple[str, ...],
    *,
    force_unit: str,
    as_data: bool,
    picture: Path | None,
    wheel: str,
    of: str,
    csv: Path | None,
    processes: int,
    address: str | None,
    overwrite: bool,
    **given: object,
) -> None:
    """What the rim in SHEET would bear and weigh with other numbers: one length of it, or two,
    in COUNT steps from FROM to TO, such as sidewall_mm=1.0:1.6:7.
    """
    from rimfea.ask.sweep import Sweep
    from rimfea.cli.printing import free, save, show_data
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.study.outcome import BY_KEY, named
    from rimfea.study.setup import End
    from rimfea.vary.axis import axes as read_axes
    from rimfea.words.numbers import Units
    from rimfea.words.sweep import sweep_json

    free(picture, overwrite=overwrite)
    free(csv, overwrite=True)  # whose it is, is found out when it is read
    of = named(of).key
    strike, ridden = options.loading(given), options.setup(given)
    along, dents = read_axes(axes), BY_KEY[of].dent
    sweep = Sweep(read_sheet(sheet), ridden, End(wheel), along, strike, dents=dents)
    with handed_out(address, processes) as served:
        swept = _swept(sweep, csv, served, overwrite=overwrite)
    units = Units(force_unit)
    if as_data:
        show_data(sweep_json(swept))
    else:
        _print(swept, of, units)
    if picture:
        from rimfea.picture.sweep import sweep_figure

        save(sweep_figure(swept, of, units), picture)


def _swept(sweep: Sweep, out: Path | None, processes: Workers, *, overwrite: bool) -> Swept:
    """What a file has of it already, and the rest, each point written as it comes."""
    from rimfea.ask.sweep import Swept, points
    from rimfea.cli.printing import followed
    from rimfea.files.sweep_csv import read_points, recorded

    found = {} if out is None or overwrite else read_points(out, sweep)
    missing = [place for place in sweep.places if place not in found]
    coming = points(sweep, missing, processes=processes)
    if out:
        coming = recorded(out, sweep, coming, overwrite=overwrite)
    found.update((point.place, point) for point in followed(coming, len(missing), "points"))
    return Swept(sweep, found)


def _print(swept: Swept, of: str, units: Units) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.words import rides, sweep

    out = console()
    headline = sweep.sweep_headline(swept, of, units)
    out.say(f"{swept.sweep.sheet.name}: {headline}", style="bold")
    for line in sweep.sweep_lines(swept, of, units):
        out.say(f"  {line}")
    show_table(out, sweep.sweep_table(swept, of, units))
    for line in rides.assumptions():
        out.say(line)
    close(out)
