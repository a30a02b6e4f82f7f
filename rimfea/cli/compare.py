"""rimfea compare: several rims side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options

if TYPE_CHECKING:
    from rimfea.ask.compare import Measured
    from rimfea.words.numbers import Units


@click.command("compare")
@options.sheets()
@options.loads
@options.units
@options.outputs
@options.one_wheel
@options.quick
@options.base
def command(
    sheets: tuple[Path, ...],
    *,
    force_unit: str,
    pressure_unit: str,
    as_data: bool,
    picture: Path | None,
    wheel: str,
    quick: bool,
    base: str | None,
    overwrite: bool,
    **given: object,
) -> None:
    """Rims side by side: SHEETS are sheets or folders of sheets; without any, the invented
    rims that come with the program.
    """
    from rimfea.ask.compare import compare
    from rimfea.cli.printing import followed, free, save, show_data
    from rimfea.study.setup import End
    from rimfea.words.data import as_json
    from rimfea.words.numbers import Units

    free(picture, overwrite=overwrite)
    strike, ridden, end = options.loading(given), options.setup(given), End(wheel)
    rims = options.rims(sheets)
    against = options.place([rim.name for rim in rims], base)
    found = followed(compare(rims, ridden, end, like=strike, dents=not quick), len(rims))
    rides = [each.ride for each in found]
    analyses = [each.analysis for each in rides]
    units = Units(force_unit, pressure_unit)
    if as_data:
        show_data(as_json(analyses, rides, [each.sensitivity for each in found]))
    else:
        _print(found, found[against], units)
    if picture:
        from rimfea.picture.figures import comparison_figure

        save(comparison_figure(analyses, units, found), picture)


def _print(rims: list[Measured], base: Measured, units: Units) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.study.dent import ASSUMES
    from rimfea.words import analyse as words
    from rimfea.words import compare as comparison
    from rimfea.words import rides as ridden
    from rimfea.words import tables as rows
    from rimfea.words.wheel_tests import wheel_tests_table

    out, rides = console(), [rim.ride for rim in rims]
    analyses = [each.analysis for each in rides]
    for line in comparison.comparison_lines(rims, base, units):
        out.say(line)
    for analysis in analyses:
        out.say(f"{analysis.sheet.name}: {words.headline(analysis, units)}")
        for line in words.wheel_words(analysis, units)[1:]:
            out.say(f"  {line}")
    for table in (
        comparison.outcomes_table(rims, base, units),
        rows.comparison_table(analyses, units),
        ridden.ladders_table(rides, units),
        wheel_tests_table({r.name: r.ride.known_tests for r in rims}, units),
        rows.rims_table(analyses),
        rows.wheels_table(analyses, units),
    ):
        show_table(out, table)
    told = (ASSUMES,) if any(each.knows_dent for each in rides) else ()
    for line in (analyses[0].governing.field.assumes, *told, *ridden.assumptions()):
        out.say(line)
    close(out)
