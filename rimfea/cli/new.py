"""rimfea new: a commented sheet to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from rimfea.cli import options
from rimfea.files.blank_sheet import write_blank
from rimfea.profile.families import Family


@click.command("new")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--family",
    type=click.Choice([family.value for family in Family]),
    default=Family.HOOKED.value,
    show_default=True,
    help="Kind of section.",
)
@options.overwrite
def command(file: Path, *, family: str, overwrite: bool) -> None:
    """Make a commented caliper sheet in FILE (.toml) to fill in with any text editor."""
    write_blank(file, Family(family), overwrite=overwrite)
    click.echo(f"{file} is ready to fill in. Then: rimfea inspect {file}")
