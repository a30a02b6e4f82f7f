"""rimfea trace: a section from a drawing or from a scan of a sawn rim."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rimfea.cli import options

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rimfea.ask.fit import Rated
    from rimfea.ask.trace import Traced
    from rimfea.profile.sheet import Sheet
    from rimfea.study.analysis import Analysis

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
    "--dpi",
    type=options.Number(),
    help="Pixels an inch of the scan, where its file does not say or is wrong.",
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
    type=options.length,
    help="Bead seat diameter: also what the hoop weighs.",
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
    help="Also write the caliper sheet whose drawing fits best (.toml), for every other command; "
    "where none fits, a sheet that keeps the outline in a file beside it (.json).",
)
@click.option(
    "--as-traced",
    is_flag=True,
    help="Keep the outline in the sheet even where a drawing fits.",
)
@click.option(
    "--walls",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Boxes (.toml) of walls that were named wrongly, such as flank = [[10, -20, 14, -3]], in "
    "mm; then the outline is kept as it is.",
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
    as_traced: bool,
    walls: Path | None,
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

    for path in (picture, outline, sheet, _kept_in(sheet) if sheet else None):
        free(path, overwrite=overwrite)
    if (sheet or verdict or as_traced or walls) and not bead_seat_diameter:
        raise click.UsageError(
            "a sheet or a verdict needs --bead-seat-diameter: the second number on the tyre"
        )
    scale = {"unit": unit, "dpi": dpi, "known": known, "between": between, "mirror": mirror}
    found = _read(file, scale, picture)
    rim = rated = None
    if bead_seat_diameter:
        rim = _weighed(found, file.stem, bead_seat_diameter)
        if sheet or verdict or as_traced or walls:
            numbers = {"name": file.stem, "bead_seat_diameter_mm": bead_seat_diameter}
            rated = _rated(found, numbers, walls, as_traced=as_traced)
    _write(found, rated, outline, sheet, picture)
    if as_data:
        from rimfea.words.trace import trace_json

        show_data(trace_json(found, rim))
    else:
        _print(found, rim, rated, verdict=verdict, details=details)


def _kept_in(sheet: Path) -> Path:
    """The file of an outline that a sheet keeps."""
    return sheet.with_name(f"{sheet.stem}-section.json")


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


def _rated(
    found: Traced, numbers: Mapping[str, object], walls: Path | None, *, as_traced: bool
) -> Rated:
    from rimfea.ask.fit import rated
    from rimfea.cli.printing import working
    from rimfea.files.boxes_toml import read_boxes

    boxes = read_boxes(walls) if walls else {}
    with working("a sheet is fitted"):
        return rated(found, boxes, as_traced=as_traced or bool(boxes), **numbers)


def _print(
    found: Traced, rim: Analysis | None, rated: Rated | None, *, verdict: bool, details: bool
) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.words.fit import fit_words, named_table
    from rimfea.words.trace import trace_headline, trace_lines, trace_table

    out = console()
    if rated and verdict:
        out.say(_verdict(rated.sheet), style="bold")
    out.say(trace_headline(found), style="bold")
    if rated:
        out.say(fit_words(rated))
    for line in trace_lines(found, rim, is_rated=rated is not None):
        out.say(line)
    show_table(out, trace_table(found, details=details))
    if rated and rated.named_alike:
        show_table(out, named_table(rated))
    close(out)


def _verdict(sheet: Sheet) -> str:
    from rimfea.ask.compare import measured
    from rimfea.cli.printing import working
    from rimfea.files.setup_toml import read_setup
    from rimfea.study.setup import End
    from rimfea.words.fit import verdict_words
    from rimfea.words.numbers import USUAL

    with working(sheet.name):
        return verdict_words(measured(sheet, read_setup("gravel"), End.REAR), USUAL)


def _write(
    found: Traced,
    rated: Rated | None,
    outline: Path | None,
    sheet: Path | None,
    picture: Path | None,
) -> None:
    """Write what was asked for; whether it may be, was asked before."""
    from rimfea.cli.printing import save
    from rimfea.files.section import write_section
    from rimfea.files.sheet_toml import write_kept_sheet, write_sheet
    from rimfea.words.fit import sheet_heading

    if sheet and rated and rated.sheet.section is None:
        write_sheet(sheet, rated.sheet, sheet_heading(found, rated), overwrite=True)
        click.echo(f"Sheet: {sheet}", err=True)
    elif sheet and rated:
        kept = _kept_in(sheet)
        write_kept_sheet(sheet, kept, rated.sheet, sheet_heading(found, rated), overwrite=True)
        click.echo(f"Sheet: {sheet}, with its outline: {kept}", err=True)
    if outline:
        write_section(outline, found.outline, overwrite=True)
        click.echo(f"Outline: {outline}", err=True)
    if picture:
        from rimfea.picture.trace import trace_figure

        save(trace_figure(found, rated.outline if rated else None), picture)
