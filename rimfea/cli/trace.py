"""rimfea trace: a section from a drawing or from a scan of a sawn rim."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rimfea.cli import options

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rimfea.ask.trace import Traced
    from rimfea.study.analysis import Analysis
    from rimfea.traced.fit import Fit

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
@click.option(
    "--sheet",
    type=options.FileToWrite(".toml"),
    metavar="FILE",
    help="Also write the caliper sheet whose drawing fits best (.toml), for every other command.",
)
@click.option(
    "--verdict", is_flag=True, help="Also say which wall of that sheet gives first, and how surely."
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
    sheet: Path | None,
    verdict: bool,
    as_data: bool,
    picture: Path | None,
    details: bool,
    overwrite: bool,
) -> None:
    """Read the section in FILE: a drawing (.dxf, .svg, .csv, .json), or a scan (.png, .tif, .jpg)
    at 600 dpi of a sawn face, blackened and laid on white. It is moved into a rim's axes, and what
    was put right is told; what is no section is refused, and --picture marks the place.
    """
    from rimfea.cli.printing import free, show_data

    for path in (picture, outline, sheet):
        free(path, overwrite=overwrite)
    if (sheet or verdict) and not bead_seat_diameter:
        raise click.UsageError(
            "--sheet and --verdict need --bead-seat-diameter: the second number on the tyre"
        )
    scale = {"unit": unit, "dpi": dpi, "known": known, "between": between, "mirror": mirror}
    found = _read(file, scale, picture)
    rim = fit = None
    if bead_seat_diameter:
        rim = _weighed(found, file.stem, bead_seat_diameter)
        fit = _fit(found, file.stem, bead_seat_diameter) if sheet or verdict else None
    if as_data:
        from rimfea.words.trace import trace_json

        show_data(trace_json(found, rim))
    else:
        _print(found, rim, fit, verdict=verdict, details=details)
    _write(found, fit, outline, sheet, picture)


def _read(file: Path, scale: Mapping[str, Any], picture: Path | None) -> Traced:
    """The section; where it is refused, the picture has the place."""
    from rimfea.cli.printing import save, working
    from rimfea.errors import SectionError
    from rimfea.files.section import read_section

    try:
        with working(file.name):
            return read_section(file, **scale)
    except SectionError as error:
        if picture:
            from rimfea.picture.trace import refused_figure

            save(refused_figure(error), picture)
        raise


def _weighed(found: Traced, name: str, bead_seat_diameter_mm: float) -> Analysis:
    from rimfea.ask.trace import looked_at
    from rimfea.cli.printing import working

    with working("the hoop is weighed"):
        return looked_at(found.outline, name=name, bead_seat_diameter_mm=bead_seat_diameter_mm)


def _fit(found: Traced, name: str, bead_seat_diameter_mm: float) -> Fit:
    from rimfea.ask.fit import sheet_of
    from rimfea.cli.printing import working

    with working("a sheet is fitted"):
        return sheet_of(found, name=name, bead_seat_diameter_mm=bead_seat_diameter_mm)


def _print(
    found: Traced, rim: Analysis | None, fit: Fit | None, *, verdict: bool, details: bool
) -> None:
    from rimfea.ask.fit import fits
    from rimfea.cli.printing import close, console, show_table
    from rimfea.words.fit import fit_words
    from rimfea.words.trace import trace_headline, trace_lines, trace_table

    out = console()
    if fit and verdict and fits(fit):
        out.say(_verdict(fit), style="bold")
    out.say(trace_headline(found), style="bold")
    if fit:
        out.say(fit_words(fit))
    for line in trace_lines(found, rim):
        out.say(line)
    show_table(out, trace_table(found, details=details))
    close(out)


def _verdict(fit: Fit) -> str:
    from rimfea.ask.compare import measured
    from rimfea.cli.printing import working
    from rimfea.files.setup_toml import read_setup
    from rimfea.study.setup import End
    from rimfea.words.fit import verdict_words
    from rimfea.words.numbers import USUAL

    with working(fit.sheet.name):
        return verdict_words(measured(fit.sheet, read_setup("gravel"), End.REAR), USUAL)


def _write(
    found: Traced, fit: Fit | None, outline: Path | None, sheet: Path | None, picture: Path | None
) -> None:
    """Write what was asked for; whether it may be, was asked before."""
    from rimfea.ask.fit import fits
    from rimfea.cli.printing import save
    from rimfea.files.section import write_section
    from rimfea.files.sheet_toml import write_sheet
    from rimfea.words.fit import sheet_heading

    if sheet and fit and fits(fit):
        write_sheet(sheet, fit.sheet, sheet_heading(found, fit), overwrite=True)
        click.echo(f"Sheet: {sheet}", err=True)
    elif sheet:
        click.echo(f"{sheet}: not written, no sheet draws this section", err=True)
    if outline:
        write_section(outline, found.outline, overwrite=True)
        click.echo(f"Outline: {outline}", err=True)
    if picture:
        from rimfea.picture.trace import trace_figure

        save(trace_figure(found), picture)
