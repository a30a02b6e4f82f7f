"""rimfea choose: the rims for a set-up."""

from __future__ import annotations

from pathlib import Path

import click

from rimfea.cli import options


@click.command("choose")
@click.argument("sheets", nargs=-1, type=click.Path(path_type=Path))
@options.loads
@options.quick
@click.option(
    "--diameter",
    type=click.FloatRange(*options.LENGTHS_MM),
    help="Bead seat diameter of the bicycle's rims, mm; else that of most rims.",
)
def command(
    sheets: tuple[Path, ...], *, quick: bool, diameter: float | None, **given: object
) -> None:
    """Which of the rims in SHEETS, sheets or folders of sheets, suit a set-up: the lightest that
    hold, in front and behind. Without any, the invented rims that come with the program.
    """
    from rimfea.ask.choose import candidate, choose, of_one_diameter
    from rimfea.cli.printing import close, console, followed, show_table
    from rimfea.files.demo import demo_folder
    from rimfea.files.sheet_folder import read_sheets
    from rimfea.study.dent import ASSUMES
    from rimfea.words import choose as report
    from rimfea.words import rides

    strike, ridden = options.loading(given), options.setup(given)
    rims, others = of_one_diameter(read_sheets(sheets or (demo_folder(),)), diameter)
    coming = (candidate(rim, ridden, like=strike, dents=not quick) for rim in rims)
    tried = followed(coming, len(rims))
    choice, out = choose([*others, *tried]), console()
    out.print(report.choice_headline(choice), style="bold")
    for line in report.choice_lines(choice):
        out.print(f"  {line}")
    show_table(out, report.choice_table(choice))
    show_table(out, rides.ladders_table([wheel for rim in choice.ranked for wheel in rim.wheels]))
    told = () if quick else (report.DENT_ASSUMES, ASSUMES)
    for line in (report.CHOOSE_ASSUMES, *told, *rides.assumptions()):
        out.print(line)
    close(out)
