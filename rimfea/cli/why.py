"""rimfea why: what carries the blow, wall by wall."""

from __future__ import annotations

from pathlib import Path

import click

from rimfea.cli import options


@click.command("why")
@options.sheet
@options.loads
@options.force_unit
@options.outputs
@options.one_wheel
def command(
    sheet: Path,
    *,
    force_unit: str,
    as_data: bool,
    picture: Path | None,
    wheel: str,
    overwrite: bool,
    **given: object,
) -> None:
    """What carries a blow on the rim in SHEET: which wall takes how much of it along the rim, from
    the crown to the spokes, and over how much rim it has spread there.
    """
    from rimfea.ask.why import why
    from rimfea.cli.printing import close, console, free, save, show_data, show_table, working
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.study.setup import End
    from rimfea.words import why as report
    from rimfea.words.data import as_json
    from rimfea.words.numbers import Units

    free(picture, overwrite=overwrite)
    strike, ridden = options.loading(given), options.setup(given)
    rim = read_sheet(sheet)
    with working(rim.name):
        found = why(rim, ridden, End(wheel), like=strike)
    units = Units(force_unit)
    if as_data:
        show_data(as_json([found.analysis], whys=[found]))
    else:
        out = console()
        out.say(report.why_headline(found), style="bold")
        for line in report.why_lines(found, units):
            out.say(line)
        show_table(out, report.why_table(found, units))
        out.say(found.answer.field.assumes)
        close(out)
    if picture:
        from rimfea.picture.why import why_figure

        save(why_figure(found, units), picture)
