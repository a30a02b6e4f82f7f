"""rimfea wear: how thin a rim brake may wear the sidewalls."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options

if TYPE_CHECKING:
    from rimfea.ask.wear import Wear
    from rimfea.words.numbers import Units


@click.command("wear")
@options.sheet
@options.pressure(required=True)
@options.tyre
@click.option(
    "--margin",
    type=options.Number(1, 100),
    default=2.0,
    show_default=True,
    help="How many times the pressure the worn sidewall must bear before it yields.",
)
@options.units
@options.outputs
def command(
    sheet: Path,
    *,
    pressure: float,
    tyre: float | None,
    margin: float,
    force_unit: str,
    pressure_unit: str,
    as_data: bool,
    picture: Path | None,
    overwrite: bool,
) -> None:
    """How far the brake track of the rim in SHEET may wear before the tyre bends it open."""
    from rimfea.ask.wear import wear
    from rimfea.cli.printing import free, save, show_data, working
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.study.cases import Loading
    from rimfea.words.asked import wear_json
    from rimfea.words.numbers import Units

    free(picture, overwrite=overwrite)
    rim = read_sheet(sheet)
    with working(rim.name):
        found = wear(rim, Loading(pressure_MPa=pressure, tyre_width_mm=tyre), margin)
    units = Units(force_unit, pressure_unit)
    if as_data:
        show_data(wear_json(found))
    else:
        _print(found, units)
    if picture:
        from rimfea.picture.wear import wear_figure

        save(wear_figure(found, units), picture)


def _print(found: Wear, units: Units) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.words import wear as report

    out, told = console(), f"{found.sheet.name}: {report.wear_headline(found, units)}"
    out.say(f"{told}. {report.LAST_WORD}", style="bold")
    for line in filter(None, (report.hinge_words(found, units), report.brake_words(found))):
        out.say(f"  {line}")
    show_table(out, report.wear_table(found, units))
    out.say(report.WEAR_CAUTION)
    close(out)
