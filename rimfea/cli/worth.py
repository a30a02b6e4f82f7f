"""rimfea worth: what a tenth of a millimetre and a gram buy at each wall."""

from __future__ import annotations

from pathlib import Path

import click

from rimfea.cli import options


@click.command("worth")
@click.argument("sheet", type=click.Path(path_type=Path))
@options.loads
@options.one_wheel
@options.quick
@click.option(
    "--trials",
    type=click.IntRange(20, 5000),
    help="As a check, also draw the rim so many times with errors of the caliper.",
)
@options.picture
@options.overwrite
def command(
    sheet: Path,
    *,
    wheel: str,
    quick: bool,
    trials: int | None,
    picture: Path | None,
    overwrite: bool,
    **given: object,
) -> None:
    """What 0.1 mm and a gram more at every dimension of the rim in SHEET buy, and how well its
    strength is known from what was measured.
    """
    from rimfea.ask.worth import worth
    from rimfea.cli.printing import close, console, free, save, show_table
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.study.setup import End
    from rimfea.words import worth as report

    free(picture, overwrite=overwrite)
    found = worth(
        read_sheet(sheet),
        options.setup(given),
        End(wheel),
        like=options.loading(given),
        trials=trials,
        dents=not quick,
    )
    out = console()
    out.print(report.worth_headline(found), style="bold")
    for line in report.worth_lines(found):
        out.print(f"  {line}")
    show_table(out, report.worth_table(found))
    show_table(out, report.doubts_table(found))
    close(out)
    if picture:
        from rimfea.picture.worth import worth_figure

        save(worth_figure(found), picture)
