"""rimfea compare: several rims side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options

if TYPE_CHECKING:
    from rimfea.report.words import Units
    from rimfea.study.ride import Ride


@click.command("compare")
@click.argument("sheets", nargs=-1, type=click.Path(path_type=Path))
@options.loads
@options.units
@options.outputs
@click.option(
    "--wheel",
    type=click.Choice(("front", "rear")),
    default="rear",
    show_default=True,
    help="Which wheel of the set-up.",
)
def command(
    sheets: tuple[Path, ...],
    *,
    force_unit: str,
    pressure_unit: str,
    as_data: bool,
    picture: Path | None,
    wheel: str,
    overwrite: bool,
    **given: object,
) -> None:
    """Rims side by side: SHEETS are sheets or folders of sheets; without any, the invented
    rims that come with the program.
    """
    from rimfea.cli.printing import followed, free, save
    from rimfea.files.sheet_folder import demo_folder, read_sheets
    from rimfea.report.answers import as_json
    from rimfea.report.words import Units
    from rimfea.study.ride import ride, wheel_of
    from rimfea.study.setup import End

    free(picture, overwrite=overwrite)
    strike, ridden, end = options.loading(given), options.setup(given), End(wheel)
    rims = read_sheets(sheets or (demo_folder(),))
    rides = followed(
        rims, lambda sheet: ride(wheel_of(sheet, ridden, end, like=strike), ridden, end)
    )
    analyses = [each.analysis for each in rides]
    units = Units(force_unit, pressure_unit)
    if as_data:
        click.echo(as_json(analyses, rides))
    else:
        _print(rides, units)
    if picture:
        from rimfea.report.figures import comparison_figure

        save(comparison_figure(analyses, units), picture)


def _print(rides: list[Ride], units: Units) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.report import rides as ridden
    from rimfea.report import rows, words

    out, analyses = console(), [each.analysis for each in rides]
    for analysis in analyses:
        out.print(f"{analysis.sheet.name}: {words.headline(analysis, units)}")
        for line in words.wheel_words(analysis, units)[1:]:
            out.print(f"  {line}")
    show_table(out, rows.comparison_table(analyses, units))
    show_table(out, ridden.ladders_table(rides))
    show_table(out, rows.tests_table(analyses, units))
    show_table(out, rows.rims_table(analyses))
    show_table(out, rows.wheels_table(analyses, units))
    for line in (analyses[0].governing.field.assumes, *ridden.assumptions()):
        out.print(line)
    close(out)
