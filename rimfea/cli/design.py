"""rimfea design: the walls of a rim drawn anew."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options
from rimfea.cli.encodable import echo
from rimfea.study.outcome_names import NAMES

if TYPE_CHECKING:
    from rimfea.ask.design import Design
    from rimfea.cli.printing import Told
    from rimfea.study.outcome import Outcome
    from rimfea.vary.sensitivity import Sensitivity
    from rimfea.words.numbers import Units

MASSES_G = (20.0, 5000.0)
WALLS_MM = (0.3, 10.0)


@click.command("design")
@options.sheet
@options.loads
@click.option(
    "--keep",
    multiple=True,
    metavar="OUTCOME[=VALUE]",
    shell_complete=options.complete_outcomes,
    help="What the rim must keep, such as first-yield=1400N or set, as it is now if no value is "
    "given; may be repeated. Without it and --mass, all that it bears now. An outcome is one of "
    f"{', '.join(NAMES.values())}.",
)
@click.option(
    "--mass",
    type=options.Number(*MASSES_G, unit="g"),
    metavar="GRAMS",
    help="The most strength at this mass, instead of the least mass.",
)
@options.one_wheel
@options.results
@options.quick
@click.option(
    "--only",
    multiple=True,
    metavar="KEY",
    shell_complete=options.complete_keys,
    help="Vary only this wall, such as flank_mm; repeat.",
)
@click.option(
    "--thinnest",
    type=options.Number(*WALLS_MM, unit="mm"),
    default=0.9,
    show_default=True,
    help="No wall is made thinner.",
)
@click.option(
    "--thickest",
    type=options.Number(*WALLS_MM, unit="mm"),
    default=4.0,
    show_default=True,
    help="No wall is made thicker.",
)
@options.write
@options.details
@options.force_unit
@options.outputs
def command(
    sheet: Path,
    *,
    keep: tuple[str, ...],
    mass: float | None,
    wheel: str,
    results: Path | None,
    quick: bool,
    only: tuple[str, ...],
    thinnest: float,
    thickest: float,
    write: Path | None,
    details: bool,
    force_unit: str,
    as_data: bool,
    picture: Path | None,
    overwrite: bool,
    **given: object,
) -> None:
    """The lightest walls for the rim in SHEET that keep its strength, or the strongest for a mass;
    takes a few minutes.
    """
    from rimfea.ask.design import asked, design, doubts
    from rimfea.cli.printing import close, console, free, save, show_data, working
    from rimfea.errors import LoadError
    from rimfea.files.sheet_toml import read_sheet, write_sheet
    from rimfea.study.setup import End
    from rimfea.vary.datum import DRAFT
    from rimfea.vary.results import datum_once
    from rimfea.words import design as report
    from rimfea.words.asked import design_json
    from rimfea.words.numbers import Units

    units = Units(force_unit)
    for file in (write, picture):
        free(file, overwrite=overwrite)
    if thinnest > thickest:
        raise click.BadParameter("must not be below --thinnest", param_hint="--thickest")
    wanted = dict(map(_kept, keep))
    rim, ridden, strike = read_sheet(sheet), options.setup(given), options.loading(given)
    kept, end = options.kept(results) if results else None, End(wheel)
    with working(rim.name):
        around = datum_once(rim, ridden, end, like=strike, coarseness=DRAFT, results=kept)
        found = design(
            around,
            keep=asked(wanted, mass),
            best="mass_g" if mass is None else "yield_N",
            keys=only or None,
            thinnest_mm=thinnest,
            thickest_mm=thickest,
            dents=not quick,
            results=kept,
        )
    if not found.holds:
        raise LoadError(report.out_of_reach(found, units))
    if as_data:
        show_data(design_json(found))
    else:
        out = console()
        _print(out, found, units)
        if details:
            _print_details(out, found, doubts(found, kept), units, thinnest, thickest)
        close(out)
    if picture:
        from rimfea.picture.drawn import draw

        save(draw(found, units=units), picture)
    if write and found.changes:
        write_sheet(write, found.sheet, report.sheet_heading(found, units), overwrite=overwrite)
        echo(f"Sheet: {write}", err=True)
    elif write:
        echo(f"{write}: not written, there is no change", err=True)


def _kept(text: str) -> tuple[str, float | None]:
    from rimfea.study.outcome import named

    name, _, value = (part.strip() for part in text.partition("="))
    outcome = named(name)
    return outcome.key, _number(outcome, value) if value else None


def _number(outcome: Outcome, text: str) -> float:
    if outcome.unit == "N":
        return options.Quantity("force", options.FORCES_N, "N").convert(text, None, None)
    try:
        return float(text.removesuffix(outcome.unit))
    except ValueError:
        unit = f" in {outcome.unit}" if outcome.unit else ""
        told = f"{text!r}: {outcome.title} is a number{unit}"
        raise click.BadParameter(told, param_hint="--keep") from None


def _print(out: Told, found: Design, units: Units) -> None:
    from rimfea.cli.printing import show_table
    from rimfea.words import design as report

    out.say(report.design_headline(found, units), style="bold")
    told = (report.dent_lines(found, units), report.worse_lines(found, units))
    for line in (*(line for lines in told for line in lines), *report.limit_lines(found)):
        out.say(f"  {line}")
    show_table(out, report.walls_table(found))
    out.say(report.LAST_WORD)


def _print_details(
    out: Told,
    found: Design,
    known: tuple[Sensitivity, Sensitivity],
    units: Units,
    thinnest: float,
    thickest: float,
) -> None:
    from rimfea.cli.printing import show_table
    from rimfea.files.sheet_toml import sheet_text
    from rimfea.study.dent import ASSUMES
    from rimfea.words import design as report

    show_table(out, report.outcomes_table(found, *known, units))
    sheets = (found.before.ride.analysis.sheet, found.sheet)
    show_table(out, report.lines_table(*map(sheet_text, sheets)))
    out.say(report.design_assumes(thinnest, thickest))
    if found.now.knows_dent:
        out.say(ASSUMES)
