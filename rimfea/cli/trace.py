"""rimfea trace: a section from a drawing or from a scan of a sawn rim."""

from __future__ import annotations

import re
from pathlib import Path

import click

from rimfea.cli import options

NUMBER = r"\d+(?:\.\d+)?"
KNOWN = re.compile(rf"(depth|width)\s*=\s*({NUMBER})\s*(?:mm)?")
BETWEEN = re.compile(rf"({NUMBER}),({NUMBER}),({NUMBER}),({NUMBER})\s*=\s*({NUMBER})\s*(?:mm)?")


def _known(
    ctx: click.Context, param: click.Parameter, value: str | None
) -> tuple[str, float] | None:
    """A dimension and its mm."""
    if value is None:
        return None
    found = KNOWN.fullmatch(value.strip())
    if not found:
        raise click.BadParameter(f"{value!r}: write depth=21.0 or width=28.4, in mm", ctx, param)
    return found[1], float(found[2])


def _between(
    ctx: click.Context, param: click.Parameter, value: str | None
) -> tuple[tuple[float, float], tuple[float, float], float] | None:
    """Two points in pixels, and the mm between them."""
    if value is None:
        return None
    found = BETWEEN.fullmatch(value.strip())
    if not found:
        told = "write column,row,column,row=mm, such as 120,40,1302,40=50"
        raise click.BadParameter(f"{value!r}: {told}", ctx, param)
    x_1, y_1, x_2, y_2, mm = (float(each) for each in found.groups())
    return (x_1, y_1), (x_2, y_2), mm


@click.command("trace")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--unit",
    type=click.Choice(("mm", "inch")),
    help="What a number of the drawing is, where its file does not say or is wrong.",
)
@click.option(
    "--dpi", type=float, help="Pixels an inch of the scan, where its file does not say or is wrong."
)
@click.option(
    "--known",
    metavar="WHAT=MM",
    callback=_known,
    help="Scale of the scan by the overall depth or the outer width: depth=21.0 or width=28.4.",
)
@click.option(
    "--between",
    metavar="C,R,C,R=MM",
    callback=_between,
    help="Scale by two points of the scan, column and row in pixels: 120,40,1302,40=50.",
)
@click.option(
    "--mirror", is_flag=True, help="Put the calmer half of the scan in the place of the other."
)
@click.option(
    "--bead-seat-diameter",
    type=click.FloatRange(*options.LENGTHS_MM),
    help="Bead seat diameter, mm: also what the hoop weighs.",
)
@click.option(
    "--outline",
    type=options.FileToWrite(".csv", ".json", ".dxf", ".svg"),
    metavar="FILE",
    help="Also write the outline in mm (.csv, .json, .dxf or .svg).",
)
@options.outputs
@options.details
def command(
    file: Path,
    *,
    unit: str | None,
    dpi: float | None,
    known: tuple[str, float] | None,
    between: tuple[tuple[float, float], tuple[float, float], float] | None,
    mirror: bool,
    bead_seat_diameter: float | None,
    outline: Path | None,
    as_data: bool,
    picture: Path | None,
    details: bool,
    overwrite: bool,
) -> None:
    """Read the section in FILE: a drawing (.dxf, .svg, .csv, .json), or a scan (.png, .tif, .jpg)
    at 600 dpi of a sawn face, blackened and laid on white. It is moved into a rim's axes, and what
    was put right is told; what is no section is refused, and --picture marks the place.
    """
    from rimfea.ask.trace import looked_at
    from rimfea.cli.printing import close, console, free, save, show_data, show_table, working
    from rimfea.errors import SectionError
    from rimfea.files.section import read_section, write_section
    from rimfea.words import trace as report

    for path in (picture, outline):
        free(path, overwrite=overwrite)
    try:
        with working(file.name):
            found = read_section(
                file, unit=unit, dpi=dpi, known=known, between=between, mirror=mirror
            )
    except SectionError as error:
        if picture:
            from rimfea.picture.trace import refused_figure

            save(refused_figure(error), picture)
        raise
    rim = None
    if bead_seat_diameter:
        with working("the hoop is weighed"):
            rim = looked_at(found.outline, name=file.stem, bead_seat_diameter_mm=bead_seat_diameter)
    if as_data:
        show_data(report.trace_json(found, rim))
    else:
        out = console()
        out.say(report.trace_headline(found), style="bold")
        for line in report.trace_lines(found, rim):
            out.say(line)
        show_table(out, report.trace_table(found, details=details))
        close(out)
    if outline:
        write_section(outline, found.outline, overwrite=overwrite)
        click.echo(f"Outline: {outline}", err=True)
    if picture:
        from rimfea.picture.trace import trace_figure

        save(trace_figure(found), picture)
