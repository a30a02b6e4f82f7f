"""rimfea analyse: one rim from sheet to verdict."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rimfea.cli import options
from rimfea.cli.encodable import echo

if TYPE_CHECKING:
    from rimfea.ask.thicker import Gain
    from rimfea.cli.printing import Told
    from rimfea.profile.sheet import Sheet
    from rimfea.study.analysis import Analysis
    from rimfea.study.ride import Ride
    from rimfea.study.setup import Setup
    from rimfea.words.numbers import Units
    from rimfea.words.tables import Table


@click.command("analyse")
@options.sheet
@options.loads
@options.lacing
@options.units
@options.outputs
@click.option(
    "--mesh",
    type=options.FileToWrite(".vtu"),
    metavar="FILE",
    help="Also write mesh, displacement and stress of the verdict's case (.vtu).",
)
@click.option(
    "--ring",
    type=options.FileToWrite(".vtu"),
    metavar="FILE",
    help="Also write the whole rim in space, its displacement and stress in that case (.vtu).",
)
@click.option(
    "--slice",
    "sliced",
    is_flag=True,
    help="Ask a plane slice instead, for teaching; it knows no wheel.",
)
@options.wheel()
@options.details
@options.quick
def command(
    sheet: Path,
    *,
    force_unit: str,
    pressure_unit: str,
    as_data: bool,
    picture: Path | None,
    mesh: Path | None,
    ring: Path | None,
    sliced: bool,
    wheel: str | None,
    details: bool,
    quick: bool,
    overwrite: bool,
    **given: object,
) -> None:
    """Which wall of the rim in SHEET gives first, at what load and drop, what dent a blow leaves,
    how tight to build the wheel, and what pressure keeps a rock off the rim.
    """
    from rimfea.ask.thicker import best_gain
    from rimfea.cli.printing import free, save, show_data, working
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.study.analysis import analyse_slice
    from rimfea.study.setup import End, loading
    from rimfea.words.data import as_json
    from rimfea.words.numbers import Units

    if sliced and ring:
        raise click.UsageError("--slice asks a slice alone, which has no --ring; leave one out")
    for path in (picture, mesh, ring):
        free(path, overwrite=overwrite)
    rim, ridden = read_sheet(sheet), options.setup(given)
    gain: Gain | None = None
    with working(rim.name):
        if sliced:
            rides: list[Ride] = []
            asked = loading(ridden, End(wheel or End.REAR), options.loading(given))
            analysis = analyse_slice(rim, loading=asked)
        else:
            rides = _rides(rim, ridden, wheel, given)
            analysis = rides[-1].analysis
            if not (analysis.buckles or as_data or details):
                gain = best_gain(rides)  # while there is no dent: either is large
            if not (analysis.buckles or quick):
                _dent(rides, held=details)
    units = Units(force_unit, pressure_unit)
    if as_data:
        show_data(as_json([analysis], rides))
    else:
        _print(analysis, rides, units, gain, details=details)
    if picture:
        from rimfea.picture.figures import stress_figure, verdict_figure

        drawn = stress_figure if details else verdict_figure
        save(drawn(analysis, units, rides), picture)
    if mesh:
        from rimfea.files.mesh_vtu import write_vtu

        write_vtu(mesh, analysis, analysis.governing, overwrite=overwrite)
        echo(f"Mesh: {mesh}", err=True)
    if ring:
        from rimfea.files.ring_vtu import write_ring_vtu

        with working("the ring is written"):
            write_ring_vtu(ring, analysis, analysis.governing, overwrite=overwrite)
        echo(f"Ring: {ring}", err=True)


def _rides(rim: Sheet, ridden: Setup, wheel: str | None, given: Mapping[str, object]) -> list[Ride]:
    from rimfea.study.analysis import analyse
    from rimfea.study.ride import ride
    from rimfea.study.setup import End, loading

    rides: list[Ride] = []
    for end in [End(wheel)] if wheel else End:
        analysis = analyse(
            rim,
            loading=loading(ridden, end, options.loading(given)),
            lacing=options.laced(given, rim, ridden, end),
            beside=rides[0].analysis if rides else None,
        )
        rides.append(ride(analysis, ridden, end))
    return rides


def _dent(rides: Sequence[Ride], *, held: bool) -> None:
    """Ask every wheel for its dent, and once more with the crown ``held``."""
    from contextlib import suppress

    from rimfea.allocator import give_back
    from rimfea.ask.dents import lighten
    from rimfea.errors import SolveError

    for ride in rides:
        give_back()
        _ = ride.wheel_tests  # before there is a dent, which is large: no name holds on to it here
        give_back()
        if ride.found_dent and held:
            with suppress(SolveError):  # the table then tells of the free crown alone
                _ = ride.dent.held
        lighten(ride)


def _print(
    analysis: Analysis, rides: Sequence[Ride], units: Units, gain: Gain | None, *, details: bool
) -> None:
    from rimfea.cli.printing import close, console, show_table
    from rimfea.words import tables as rows
    from rimfea.words import verdict
    from rimfea.words.rides import weaker

    out = console()
    first, *others = verdict.verdict_lines(analysis, rides, units)
    out.say(first, style="bold")
    for line in others:
        out.say(f"  {line}")
    if analysis.buckles:
        show_table(out, rows.wheel_table(analysis, units))
    elif rides and not details:
        for line in verdict.answer_lines(analysis, rides, units, gain):
            out.say(f"  {line}")
        show_table(out, verdict.ladder_table(weaker(rides), units))
        show_table(out, verdict.walls_table(analysis, units))
        out.say(verdict.ROUGH)
    else:
        _print_all(out, analysis, rides, units)
    close(out)


def _print_all(out: Told, analysis: Analysis, rides: Sequence[Ride], units: Units) -> None:
    """All that is known of a rim."""
    from rimfea.ask.thicker import best_gain
    from rimfea.cli.printing import show_table, working
    from rimfea.words import analyse as words
    from rimfea.words import rides as ridden
    from rimfea.words import tables as rows
    from rimfea.words.summary import summary

    with working(analysis.sheet.name):
        gain = best_gain(rides)
    if rides:
        out.say(f"  {words.headline(analysis, units)}")
    lines = summary(analysis, rides, units, gain)
    for line in (*lines, *(ridden.tension_bars(rides, units, out.width) if rides else ())):
        out.say(f"  {line}")
    for answer in filter(lambda each: not each.case.source, analysis.answers):
        out.say(f"  {words.governs(answer, units)}")
    if rides:
        show_table(out, ridden.ladder_table(rides, units))
    for answer in analysis.answers if rides else (analysis.governing,):
        show_table(out, rows.wall_table(answer, units))
    for table in _details(analysis, rides, units) if rides else ():
        show_table(out, table)
    for line in (analysis.governing.field.assumes, *(ridden.assumptions(rides) if rides else ())):
        out.say(line)


def _details(analysis: Analysis, rides: Sequence[Ride], units: Units) -> Iterator[Table]:
    from rimfea.study.cases import wheel_load
    from rimfea.study.seat import reinforcements
    from rimfea.words import dents
    from rimfea.words import rides as ridden
    from rimfea.words import tables as rows

    if rides:
        if any(ride.knows_dent for ride in rides):
            yield dents.dents_table(rides, units)
            yield dents.last_dents_table(rides, units)
        yield ridden.wheels_table(rides, units)
        spared = reinforcements(analysis, wheel_load(analysis.loading))
        yield ridden.reinforcement_table(spared)
        yield rows.wheel_table(analysis, units)
    yield rows.section_table(analysis)
    yield rows.evidence_table(analysis)
