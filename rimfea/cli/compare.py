"""rimfea compare: several rims side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options
from rimfea.cli.workers import handed_out, workers

if TYPE_CHECKING:
    from rimfea.ask.compare import Measured
    from rimfea.ask.swaps import Swaps
    from rimfea.cli.printing import Told
    from rimfea.profile.sheet import Sheet
    from rimfea.study.cases import Loading
    from rimfea.study.setup import End, Setup
    from rimfea.words.numbers import Units

SIDE_BY_SIDE = 3  # rims whose walls fit beside each other


@click.command("compare")
@options.sheets()
@options.loads
@options.units
@options.outputs
@options.one_wheel
@options.results
@options.quick
@options.details
@click.option("--short", is_flag=True, help="One sentence a rim, for the phone, and nothing else.")
@click.option(
    "--swaps",
    is_flag=True,
    help="Which piece makes the difference: each is put from one rim into the other and back. Two "
    "rims; takes some minutes, with --quick one.",
)
@options.base
@workers
def command(
    sheets: tuple[Path, ...],
    *,
    force_unit: str,
    pressure_unit: str,
    as_data: bool,
    picture: Path | None,
    wheel: str,
    results: Path | None,
    quick: bool,
    details: bool,
    short: bool,
    swaps: bool,
    base: str | None,
    address: str | None,
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
    from rimfea.words.short import short_lines

    if short and options.asked_table():
        raise click.UsageError("--short has no table; leave --short or --table out")
    if swaps and results:
        raise click.UsageError("--swaps keeps no results; leave --swaps or --results out")
    free(picture, overwrite=overwrite)
    strike, ridden, end = options.loading(given), options.setup(given), End(wheel)
    rims = options.rims(sheets)
    against = options.place([rim.name for rim in rims], base)
    units = Units(force_unit, pressure_unit)
    if swaps:
        asked = _pair(rims, against), ridden, end
        drawn = _swaps(*asked, strike, units, quick=quick, details=details, as_data=as_data)
        if picture:
            from rimfea.picture.swaps import swaps_figure

            save(swaps_figure(drawn, units), picture)
        return
    with handed_out(address) as processes:
        coming = compare(
            rims,
            ridden,
            end,
            like=strike,
            dents=not quick,
            processes=processes,
            results=options.kept(results),
        )
        found = followed(coming, len(rims))
    rides = [each.ride for each in found]
    analyses = [each.analysis for each in rides]
    if as_data:
        doubts = [each.sensitivity for each in found]
        sentences = [*short_lines(found, found[against], units)]
        show_data(as_json(analyses, rides, doubts, short=sentences, base=against))
    elif short:
        for line in short_lines(found, found[against], units):
            click.echo(line)
    else:
        _print(found, found[against], units, details=details)
    if picture:
        from rimfea.picture.figures import comparison_figure

        save(comparison_figure(analyses, units, found, against), picture)


def _pair(rims: list[Sheet], base: int) -> tuple[Sheet, Sheet]:
    """The base and the other of two rims."""
    if len(rims) != 2:
        raise click.UsageError(f"--swaps takes two rims, not {len(rims)}")
    return rims[base], rims[1 - base]


def _swaps(
    pair: tuple[Sheet, Sheet],
    ridden: Setup,
    end: End,
    strike: Loading,
    units: Units,
    *,
    quick: bool,
    details: bool,
    as_data: bool,
) -> Swaps:
    from rimfea.ask.swaps import swaps
    from rimfea.cli.printing import close, console, followed, show_data, show_table
    from rimfea.words import swaps as words
    from rimfea.words.data import as_json

    found = swaps(*pair, ridden, end, like=strike, dents=not quick, follow=followed)
    if as_data:
        show_data(as_json((), swaps=[found]))
        return found
    out = console()
    out.say(words.swaps_headline(found, units), style="bold")
    if found.swaps:
        show_table(out, words.swaps_table(found, units, ends=details))
    for line in words.swaps_lines(found):
        out.say(line)
    close(out)
    return found


def _print(rims: list[Measured], base: Measured, units: Units, *, details: bool) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.words import compare as comparison
    from rimfea.words import dimensions as walls
    from rimfea.words.short import opening_lines
    from rimfea.words.verdict import ROUGH

    out, place = console(), rims.index(base)
    first, *others = opening_lines(rims, base, units)
    out.say(first, style="bold")
    for line in others:
        out.say(line)
    show_table(out, comparison.rims_table(rims, base, units))
    if details:
        _print_all(out, rims, base, units)
    else:
        if len(rims) <= SIDE_BY_SIDE:
            show_table(out, walls.walls_table([rim.ride.analysis for rim in rims], place))
        out.say(ROUGH)
    close(out)


def _print_all(out: Told, rims: list[Measured], base: Measured, units: Units) -> None:
    """All that is known of rims side by side."""
    from rimfea.cli.printing import show_table
    from rimfea.study.dent import ASSUMES
    from rimfea.words import analyse as words
    from rimfea.words import compare as comparison
    from rimfea.words import dimensions as walls
    from rimfea.words import rides as ridden
    from rimfea.words import tables as rows
    from rimfea.words.wheel_tests import wheel_tests_table

    rides = [rim.ride for rim in rims]
    analyses = [each.analysis for each in rides]
    for line in comparison.comparison_lines(rims, base, units):
        out.say(line)
    for analysis in analyses:
        out.say(f"{analysis.sheet.name}: {words.headline(analysis, units)}")
        for warning in words.wheel_warnings(analysis, units):
            out.say(f"  WARNING: {warning}")
    place = rims.index(base)
    for table in (
        comparison.outcomes_table(rims, base, units),
        walls.walls_table(analyses, place),
        *walls.details(analyses, place),
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
