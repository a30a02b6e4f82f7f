"""rimfea analyse: one rim from sheet to verdict."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options

if TYPE_CHECKING:
    from rimfea.report.words import Units
    from rimfea.study.analysis import Analysis


@click.command("analyse")
@click.argument("sheet", type=click.Path(path_type=Path))
@options.loads
@options.units
@options.outputs
@click.option(
    "--mesh",
    type=options.FileToWrite(".vtu"),
    metavar="FILE",
    help="Also write mesh, displacement and stress of the verdict's case (.vtu).",
)
def command(
    sheet: Path,
    *,
    strike: float,
    patch: float,
    angle: float,
    tension: float,
    force_unit: str,
    pressure_unit: str,
    as_data: bool,
    picture: Path | None,
    mesh: Path | None,
    overwrite: bool,
) -> None:
    """Which wall of the rim in SHEET gives first, at what load, and what would be next."""
    from rimfea.cli.printing import free, save
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.report.answers import as_json
    from rimfea.report.words import Units
    from rimfea.study.analysis import analyse

    free(picture, overwrite=overwrite)
    free(mesh, overwrite=overwrite)
    analysis = analyse(read_sheet(sheet), loading=options.loading(strike, patch, angle, tension))
    units = Units(force_unit, pressure_unit)
    if as_data:
        click.echo(as_json([analysis]))
    else:
        _print(analysis, units)
    if picture:
        from rimfea.report.figures import stress_figure

        save(stress_figure(analysis, units), picture)
    if mesh:
        from rimfea.files.mesh_vtu import write_vtu

        write_vtu(mesh, analysis, analysis.governing, overwrite=overwrite)
        click.echo(f"Mesh: {mesh}", err=True)


def _print(analysis: Analysis, units: Units) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.profile.walls import Wall
    from rimfea.report.rows import evidence_table, section_table, wall_table
    from rimfea.report.words import governs, headline, mass_words, thicker_words
    from rimfea.study.thicker import thicker

    out = console()
    out.print(f"{analysis.sheet.name}: {headline(analysis, units)}", style="bold")
    for answer in analysis.answers:
        out.print(f"  {governs(answer, units)}")
    gain = thicker(analysis, Wall(analysis.governing.verdict.governing.wall))
    if gain:
        out.print(f"  {thicker_words(gain)}")
    out.print(f"  {mass_words(analysis)}")
    for answer in analysis.answers:
        show_table(out, wall_table(analysis, answer, units))
    show_table(out, section_table(analysis))
    show_table(out, evidence_table(analysis))
    out.print(analysis.governing.field.assumes)
    close(out)
