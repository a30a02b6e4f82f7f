"""rimfea report: one rim or several as a page to keep, print or send."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options
from rimfea.cli.encodable import echo

if TYPE_CHECKING:
    from rimfea.ask.compare import Measured
    from rimfea.study.ride import Ride


@click.command("report")
@options.sheets(required=True)
@options.loads
@options.units
@options.base
@click.option(
    "--out",
    type=options.FileToWrite(".html"),
    required=True,
    metavar="FILE",
    help="The page to write (.html); it needs no other file.",
)
@click.option(
    "--pdf", type=options.FileToWrite(".pdf"), metavar="FILE", help="Also write it as .pdf."
)
@click.option("--date", "dated", is_flag=True, help="Also say on which day it was made.")
@options.as_json
@options.quick
@options.overwrite
def command(
    sheets: tuple[Path, ...],
    *,
    force_unit: str,
    pressure_unit: str,
    base: str | None,
    out: Path,
    pdf: Path | None,
    dated: bool,
    as_data: bool,
    quick: bool,
    overwrite: bool,
    **given: object,
) -> None:
    """A report on the rim in a sheet, as both wheels of a set-up, or on several SHEETS (or
    folders of sheets) side by side, as rear wheels.
    """
    from datetime import datetime

    from rimfea.ask.compare import compare
    from rimfea.cli.printing import followed, free, show_data, working
    from rimfea.report.page import as_html, comparison_report, rim_report
    from rimfea.study.ride import rides
    from rimfea.study.setup import End
    from rimfea.words.data import as_json
    from rimfea.words.numbers import Units

    for file in (out, pdf):
        free(file, overwrite=overwrite)
    strike, ridden = options.loading(given), options.setup(given)
    rims, units = options.rims(sheets), Units(force_unit, pressure_unit)
    against = options.place([rim.name for rim in rims], base)
    today = datetime.now().astimezone().date() if dated else None
    wheels: Sequence[Ride]
    if len(rims) == 1:
        with working(rims[0].name):
            wheels = rides(rims[0], ridden, like=strike)
            if not quick and not wheels[-1].analysis.buckles:
                for each in wheels:
                    _ = each.found_dent, each.wheel_tests  # in the report once asked for
            report = rim_report(wheels[-1].analysis, wheels, units, today)
    else:
        found: list[Measured] = followed(
            compare(rims, ridden, End.REAR, like=strike, dents=not quick), len(rims)
        )
        wheels = [each.ride for each in found]
        report = comparison_report(found, found[against], units, today)
    _write(out, as_html(report).encode())
    if pdf:
        from rimfea.report.pdf import as_pdf

        _write(pdf, as_pdf(report))
    if as_data:
        shown = wheels if len(rims) > 1 else wheels[-1:]
        show_data(as_json([each.analysis for each in shown], wheels))


def _write(path: Path, content: bytes) -> None:
    from rimfea.files.whole_file import write_file

    write_file(path, content, overwrite=True)
    echo(f"Report: {path}", err=True)
