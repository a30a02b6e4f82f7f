"""rimfea worth: what a tenth of a millimetre and a gram buy at each wall."""

from __future__ import annotations

from pathlib import Path

import click

from rimfea.cli import options


@click.command("worth")
@click.argument("sheet", type=click.Path(path_type=Path))
@options.loads
@options.one_wheel
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
    trials: int | None,
    picture: Path | None,
    overwrite: bool,
    **given: object,
) -> None:
    """What 0.1 mm and a gram more at every dimension of the rim in SHEET buy, and how well its
    strength is known from what was measured.
    """
    from rimfea.cli.printing import close, console, free, save, show_table
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.study.setup import End
    from rimfea.vary.datum import datum
    from rimfea.vary.sensitivity import sensitivity
    from rimfea.vary.trials import monte_carlo
    from rimfea.words import worth

    free(picture, overwrite=overwrite)
    rim, ridden = read_sheet(sheet), options.setup(given)
    around = datum(rim, ridden, End(wheel), like=options.loading(given))
    found = sensitivity(around)
    drawn = monte_carlo(around, runs=trials) if trials else None
    out = console()
    out.print(worth.worth_headline(found), style="bold")
    out.print(f"  {worth.doubt_words(found)}")
    for key, why in found.left_out.items():
        out.print(f"  Left out: {worth.named(key)}: {why}")
    show_table(out, worth.worth_table(found))
    show_table(out, worth.doubts_table(found, drawn))
    close(out)
    if picture:
        from rimfea.picture.worth import worth_figure

        save(worth_figure(found), picture)
