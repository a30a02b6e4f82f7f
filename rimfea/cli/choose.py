"""rimfea choose: the rims for a set-up."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options
from rimfea.cli.workers import handed_out, workers

if TYPE_CHECKING:
    from rimfea.ask.choose import Choice
    from rimfea.words.numbers import Units


@click.command("choose")
@options.sheets()
@options.loads
@options.units
@options.outputs
@options.results
@options.quick
@options.details
@workers
@click.option(
    "--diameter",
    type=options.length,
    help="Bead seat diameter of the bicycle's rims; else that of most rims.",
)
def command(
    sheets: tuple[Path, ...],
    *,
    force_unit: str,
    pressure_unit: str,
    as_data: bool,
    picture: Path | None,
    results: Path | None,
    quick: bool,
    details: bool,
    diameter: float | None,
    address: str | None,
    overwrite: bool,
    **given: object,
) -> None:
    """Which of the rims in SHEETS, sheets or folders of sheets, suit a set-up: the lightest that
    hold, in front and behind. Without any, the invented rims that come with the program.
    """
    from rimfea.ask.choose import candidates, choose, of_one_diameter
    from rimfea.cli.printing import followed, free, save, show_data
    from rimfea.words.asked import choice_json
    from rimfea.words.numbers import Units

    free(picture, overwrite=overwrite)
    strike, ridden = options.loading(given), options.setup(given)
    rims, others = of_one_diameter(options.rims(sheets), diameter)
    with handed_out(address) as processes:
        coming = candidates(
            rims,
            ridden,
            like=strike,
            dents=not quick,
            processes=processes,
            results=options.kept(results),
        )
        choice = choose([*others, *followed(coming, len(rims))])
    units = Units(force_unit, pressure_unit)
    if as_data:
        show_data(choice_json(choice))
    else:
        _print(choice, units, quick=quick, details=details)
    if picture:
        from rimfea.picture.drawn import draw

        save(draw(choice, units=units), picture)


def _print(choice: Choice, units: Units, *, quick: bool, details: bool) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.study.dent import ASSUMES
    from rimfea.words import choose as report
    from rimfea.words import rides
    from rimfea.words.verdict import ROUGH

    out, wheels = console(), [wheel for rim in choice.ranked for wheel in rim.wheels]
    out.say(report.choice_headline(choice), style="bold")
    for line in report.choice_lines(choice, units):
        out.say(f"  {line}")
    show_table(out, report.choice_table(choice))
    told = [report.CHOOSE_ASSUMES]
    if details:
        show_table(out, rides.ladders_table(wheels, units))
        told += [*(() if quick else (report.DENT_ASSUMES, ASSUMES)), *rides.assumptions()]
    else:
        told += [ROUGH]
    for line in told:
        out.say(line)
    close(out)
