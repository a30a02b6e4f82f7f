"""rimfea wear: how thin a rim brake may wear the sidewalls."""

from __future__ import annotations

from pathlib import Path

import click

from rimfea.cli import options


@click.command("wear")
@click.argument("sheet", type=click.Path(path_type=Path))
@click.option(
    "--pressure",
    type=options.Quantity("pressure", options.PRESSURES_MPA),
    required=True,
    help="Pressure that the tyre is ridden at, such as 6bar or 87psi.",
)
@click.option(
    "--tyre",
    type=click.FloatRange(*options.LENGTHS_MM),
    help="Tyre width, mm; else one that suits the rim.",
)
@click.option(
    "--margin",
    type=click.FloatRange(1, 100),
    default=2.0,
    show_default=True,
    help="How many times the pressure the worn sidewall must bear before it yields.",
)
@options.picture
@options.overwrite
def command(
    sheet: Path,
    *,
    pressure: float,
    tyre: float | None,
    margin: float,
    picture: Path | None,
    overwrite: bool,
) -> None:
    """How far the brake track of the rim in SHEET may wear before the tyre bends it open."""
    from rimfea.ask.wear import wear
    from rimfea.cli.printing import close, console, free, save, show_table
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.study.cases import Loading
    from rimfea.words import wear as report

    free(picture, overwrite=overwrite)
    rim = read_sheet(sheet)
    found = wear(rim, Loading(pressure_MPa=pressure, tyre_width_mm=tyre), margin)
    out = console()
    out.print(f"{rim.name}: {report.wear_headline(found)}. {report.LAST_WORD}", style="bold")
    for line in filter(None, (report.hinge_words(found), report.brake_words(found))):
        out.print(f"  {line}")
    show_table(out, report.wear_table(found))
    out.print(report.WEAR_CAUTION)
    close(out)
    if picture:
        from rimfea.picture.wear import wear_figure

        save(wear_figure(found), picture)
