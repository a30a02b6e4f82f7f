"""rimfea worth: what a tenth of a millimetre and a gram buy at each wall."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options

if TYPE_CHECKING:
    from rimfea.ask.worth import Worth
    from rimfea.words.numbers import Units


@click.command("worth")
@options.sheet
@options.loads
@options.force_unit
@options.outputs
@options.one_wheel
@options.quick
@options.details
@click.option(
    "--trials",
    type=options.Number(20, 5000, whole=True),
    help="As a check, also draw the rim so many times with errors of the caliper.",
)
def command(
    sheet: Path,
    *,
    force_unit: str,
    as_data: bool,
    picture: Path | None,
    wheel: str,
    quick: bool,
    details: bool,
    trials: int | None,
    overwrite: bool,
    **given: object,
) -> None:
    """What 0.1 mm and a gram more at every dimension of the rim in SHEET buy, and how well its
    strength is known from what was measured.
    """
    from rimfea.ask.worth import worth
    from rimfea.cli.printing import free, save, show_data, working
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.study.setup import End
    from rimfea.words.asked import worth_json
    from rimfea.words.numbers import Units

    free(picture, overwrite=overwrite)
    rim, ridden, strike = read_sheet(sheet), options.setup(given), options.loading(given)
    with working(rim.name):
        found = worth(rim, ridden, End(wheel), like=strike, trials=trials, dents=not quick)
    units = Units(force_unit)
    if as_data:
        show_data(worth_json(found))
    else:
        _print(found, units, details=details)
    if picture:
        from rimfea.picture.worth import worth_figure

        save(worth_figure(found, units), picture)


def _print(found: Worth, units: Units, *, details: bool) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.words import worth as report

    out = console()
    out.say(report.worth_headline(found, units), style="bold")
    for line in report.worth_lines(found, units):
        out.say(f"  {line}")
    show_table(out, report.grams_table(found, units))
    if details or found.trials:
        show_table(out, report.worth_table(found, units))
        show_table(out, report.doubts_table(found, units))
    close(out)
