"""rimfea compare: several rims side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options

if TYPE_CHECKING:
    from rimfea.report.words import Units
    from rimfea.study.analysis import Analysis


@click.command("compare")
@click.argument("sheets", nargs=-1, type=click.Path(path_type=Path))
@options.loads
@options.units
@options.outputs
def command(
    sheets: tuple[Path, ...],
    *,
    force_unit: str,
    pressure_unit: str,
    as_data: bool,
    picture: Path | None,
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
    from rimfea.study.analysis import analyse

    free(picture, overwrite=overwrite)
    load = options.loading(given)
    rims = read_sheets(sheets or (demo_folder(),))
    analyses = followed(rims, lambda sheet: analyse(sheet, loading=load))
    units = Units(force_unit, pressure_unit)
    if as_data:
        click.echo(as_json(analyses))
    else:
        _print(analyses, units)
    if picture:
        from rimfea.report.figures import comparison_figure

        save(comparison_figure(analyses, units), picture)


def _print(analyses: list[Analysis], units: Units) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.report import rows, words

    out = console()
    for analysis in analyses:
        out.print(f"{analysis.sheet.name}: {words.headline(analysis, units)}")
        for line in words.wheel_words(analysis, units)[1:]:
            out.print(f"  {line}")
    show_table(out, rows.comparison_table(analyses, units))
    show_table(out, rows.tests_table(analyses, units))
    show_table(out, rows.rims_table(analyses))
    show_table(out, rows.wheels_table(analyses, units))
    out.print(analyses[0].governing.field.assumes)
    close(out)
