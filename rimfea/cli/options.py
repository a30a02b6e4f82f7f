"""Options that several commands share."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from rimfea.units import from_unit, units_of

if TYPE_CHECKING:
    from rimfea.study.cases import Loading

Command = TypeVar("Command", bound=Callable[..., object])
# What no rim meets: beyond, the arithmetic of the stresses would overflow or vanish.
SMALLEST_N, LARGEST_N = 1.0, 1e6
SHORTEST_MM, LONGEST_MM = 0.1, 1000.0


class Force(click.ParamType[float]):
    """A force with its unit, such as 2000, 2000N or 200kgf; a bare number is in newtons."""

    name = "force"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The force in N."""
        if isinstance(value, float):
            return value
        found = re.fullmatch(r"\s*([-+0-9.eE]+)\s*([A-Za-z]*)\s*", str(value))
        units = {unit.lower(): unit for unit in units_of("force")}
        try:
            force = from_unit(float(found[1]), units[(found[2] or "N").lower()]) if found else 0.0
        except (ValueError, KeyError):
            force = 0.0
        if not SMALLEST_N <= force <= LARGEST_N:
            known = ", ".join(units.values())
            allowed = f"from {SMALLEST_N:g} to {LARGEST_N:.0f} N"
            self.fail(f"{value!r}: give a number with {known}, {allowed}", param, ctx)
        return force


class FileToWrite(click.ParamType[Path]):
    """A file for what is asked for; the ending says which kind."""

    name = "file"

    def __init__(self, *endings: str) -> None:
        self.endings = endings

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> Path:
        """The path, if its ending is one of those."""
        path = Path(str(value))
        if path.suffix.lower() not in self.endings:
            self.fail(f"{path}: end it in {' or '.join(self.endings)}", param, ctx)
        return path


def loads(command: Command) -> Command:
    """How hard the strike and the spokes press."""
    force = Force()
    return _all(
        command,
        click.option(
            "--strike",
            type=force,
            default="2000N",
            show_default=True,
            help="Force of the strike, such as 2000N or 200kgf.",
        ),
        click.option(
            "--patch",
            type=float,
            callback=_patch,
            default="20",
            show_default=True,
            metavar="MM",
            help="Length of rim that the strike touches.",
        ),
        click.option(
            "--angle",
            type=float,
            default="0",
            show_default=True,
            metavar="DEG",
            help="Lean of the strike from straight inward, positive to the right.",
        ),
        click.option(
            "--tension",
            type=force,
            default="1000N",
            show_default=True,
            help="Tension of every spoke.",
        ),
    )


def loading(strike: float, patch: float, angle: float, tension: float) -> Loading:
    """The loading that the options of :func:`loads` describe."""
    from rimfea.study.cases import Loading

    return Loading(strike, patch, math.radians(angle), tension)


def units(command: Command) -> Command:
    """In which units a reader wants the answers."""
    return _all(
        command,
        click.option(
            "--force-unit",
            type=click.Choice(units_of("force")),
            default="N",
            show_default=True,
            help="Unit of forces in text and pictures.",
        ),
        click.option(
            "--pressure-unit",
            type=click.Choice(units_of("pressure")),
            default="MPa",
            show_default=True,
            help="Unit of stresses in text and pictures.",
        ),
    )


def outputs(command: Command) -> Command:
    """Where answers go besides the terminal."""
    return _all(
        command,
        click.option(
            "--json",
            "as_data",
            is_flag=True,
            help="Print the answers as JSON (mm, N, MPa, g) instead of text.",
        ),
        click.option(
            "--picture",
            type=FileToWrite(".png", ".pdf", ".svg"),
            metavar="FILE",
            help="Also draw a picture (.png, .pdf or .svg).",
        ),
        overwrite,
    )


overwrite = click.option("--overwrite", is_flag=True, help="Replace files that are there already.")


def _patch(ctx: click.Context, param: click.Parameter, value: float) -> float:
    if not SHORTEST_MM <= value <= LONGEST_MM:
        allowed = f"allowed {SHORTEST_MM:g} to {LONGEST_MM:g} mm of rim"
        raise click.BadParameter(f"{value:g}: {allowed}", ctx, param)
    return value


def _all(command: Command, *options: Callable[[Any], Any]) -> Command:
    for option in reversed(options):
        command = option(command)
    return command
