"""rimfea new: a commented sheet or set-up to fill in."""

from __future__ import annotations

from pathlib import Path

import click
from click.shell_completion import CompletionItem

from rimfea.cli import options
from rimfea.cli.encodable import echo
from rimfea.files.blank_sheet import write_blank
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.values import unknown


class FamilyName(click.ParamType[Family]):
    """A family by its name, with blanks or hyphens between the words."""

    name = "family"
    known = tuple(family.replace(" ", "-") for family in DRAWN)

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> Family:
        """The family; a wrong name is told with the one meant and all there are."""
        typed = "-".join(str(value).lower().replace("-", " ").split())
        if typed not in self.known:
            self.fail(unknown("family", repr(str(value)), self.known), param, ctx)
        return Family(typed.replace("-", " "))

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """The names that begin as typed."""
        del ctx, param
        return [CompletionItem(name) for name in self.known if name.startswith(incomplete)]


@click.command("new")
@click.argument("file", type=options.FileToWrite(".toml"))
@click.option(
    "--kind",
    type=click.Choice(("rim", "set-up")),
    default="rim",
    show_default=True,
    help="What the file is for: a rim's caliper sheet, or who rides what over what.",
)
@click.option(
    "--family",
    type=FamilyName(),
    default=FamilyName.known[0],
    show_default=True,
    metavar="NAME",
    help=f"Kind of section: {', '.join(FamilyName.known)}.",
)
@click.option(
    "--unsawn",
    is_flag=True,
    help="A sheet for a rim that nobody sawed: measured from outside, by scales and by ear.",
)
@options.overwrite
def command(file: Path, *, kind: str, family: Family, unsawn: bool, overwrite: bool) -> None:
    """Make a commented caliper sheet, or a set-up, in FILE (.toml) to fill in with any text
    editor.
    """
    from rimfea.cli.printing import free

    if unsawn and kind != "rim":
        raise click.UsageError("--unsawn is for a rim: leave out --kind set-up, or --unsawn")
    free(file, overwrite=overwrite)
    if unsawn:
        from rimfea.files.blank_unsawn import write_unsawn

        write_unsawn(file, family, overwrite=overwrite)
        echo(
            f"{file} is ready: fill it in, then ask rimfea tap {file}, then rimfea reconcile {file}"
        )
    elif kind == "set-up":
        from rimfea.files.blank_setup import write_setup

        write_setup(file, overwrite=overwrite)
        echo(f"{file} is ready: change what is yours. Then: rimfea analyse --setup {file}")
    else:
        write_blank(file, family, overwrite=overwrite)
        echo(f"{file} is ready to fill in. Then: rimfea inspect {file}")
