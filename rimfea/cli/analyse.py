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
@options.lacing
@options.units
@options.outputs
@click.option(
    "--mesh",
    type=options.FileToWrite(".vtu"),
    metavar="FILE",
    help="Also write mesh, displacement and stress of the verdict's case (.vtu).",
)
@click.option(
    "--slice",
    "sliced",
    is_flag=True,
    help="Ask a plane slice instead, for teaching; it knows no wheel.",
)
@click.option("--walls", is_flag=True, help="Every wall under every case, not only the verdict's.")
def command(
    sheet: Path,
    *,
    force_unit: str,
    pressure_unit: str,
    as_data: bool,
    picture: Path | None,
    mesh: Path | None,
    sliced: bool,
    walls: bool,
    overwrite: bool,
    **given: object,
) -> None:
    """Which wall of the rim in SHEET gives first, at what load, and what would be next."""
    from rimfea.cli.printing import free, save
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.report.answers import as_json
    from rimfea.report.words import Units
    from rimfea.study.analysis import analyse, analyse_slice

    free(picture, overwrite=overwrite)
    free(mesh, overwrite=overwrite)
    rim, load = read_sheet(sheet), options.loading(given)
    if sliced:
        analysis = analyse_slice(rim, loading=load)
    else:
        analysis = analyse(rim, loading=load, lacing=options.laced(given, rim, load))
    units = Units(force_unit, pressure_unit)
    if as_data:
        click.echo(as_json([analysis]))
    else:
        _print(analysis, units, every_wall=walls)
    if picture:
        from rimfea.report.figures import stress_figure

        save(stress_figure(analysis, units), picture)
    if mesh:
        from rimfea.files.mesh_vtu import write_vtu

        write_vtu(mesh, analysis, analysis.governing, overwrite=overwrite)
        click.echo(f"Mesh: {mesh}", err=True)


def _print(analysis: Analysis, units: Units, *, every_wall: bool) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.profile.walls import Wall
    from rimfea.report import rows, words
    from rimfea.study.thicker import thicker

    out, lead = console(), analysis.governing
    out.print(f"{analysis.sheet.name}: {words.headline(analysis, units)}", style="bold")
    if analysis.buckles:
        show_table(out, rows.wheel_table(analysis, units))
        close(out)
        return
    for answer in analysis.answers:
        out.print(f"  {words.governs(answer, units)}")
    if analysis.wheel:
        out.print(f"  {words.spread_words(lead)}")
        gain = thicker(analysis, Wall(lead.verdict.governing.wall))
        if gain:
            out.print(f"  {words.thicker_words(gain)}")
    out.print(f"  {words.mass_words(analysis)}")
    for line in words.wheel_words(analysis, units):
        out.print(f"  {line}")
    for answer in analysis.answers if every_wall else (lead,):
        show_table(out, rows.wall_table(answer, units))
    if analysis.wheel:
        show_table(out, rows.wheel_table(analysis, units))
    show_table(out, rows.section_table(analysis))
    show_table(out, rows.evidence_table(analysis))
    out.print(lead.field.assumes)
    close(out)
