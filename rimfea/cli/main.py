"""The command `rimfea`: finds the command asked for, and turns errors into plain text."""

from __future__ import annotations

import difflib
import errno
import importlib
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, cast

import click

from rimfea.cli.encodable import echo, never_fail
from rimfea.cli.examples import shown
from rimfea.cli.options import ABOUT
from rimfea.cli.outliving import is_deserted, outlive_readers
from rimfea.cli.start import INTERRUPTED, STATUS
from rimfea.errors import FileError, RimfeaError, SheetError, UnitError, UnknownError

# Command → what it does in one line; a command's module is imported only when it runs.
COMMANDS = {
    "new": "Make a commented caliper sheet, or a set-up, to fill in.",
    "inspect": "Say what was understood of a sheet: section, mass, defaults used.",
    "analyse": "One rim from sheet to verdict: which wall gives first, and at what load.",
    "compare": "Several rims side by side, and which differences the caliper can tell.",
    "why": "What carries the blow, wall by wall, from the crown to the spokes.",
    "worth": "What 0.1 mm and a gram more buy at every wall, and how sure that is.",
    "sweep": "One or two numbers of a sheet varied over a range: what a little more buys.",
    "wear": "How far a rim brake may wear the sidewalls.",
    "tap": "The tones of the bare rim, and whether its sheet agrees with those you hear.",
    "reconcile": "Scale what nobody measured until drawing, scales and ERD agree.",
    "trace": "A section from a drawing (.dxf, .svg, .csv, .json) or a scan of a sawn rim.",
    "report": "One rim or several as a page to keep, print or send (.html, .pdf).",
    "page": "A local page with sliders: drag a wall and see what it does.",
    "design": "The lightest walls that keep the strength, or the strongest at a mass.",
    "choose": "Which rims for a set-up, front and rear: the lightest that hold.",
    "explain": "What a word or a number means, in one line.",
}
BAD_INPUT, UNREAD = 2, 1
LOADING = "loading"
OF_THE_COMMAND_LINE = (FileError, UnitError, UnknownError)  # and not of the sheet that it names
TYPED = ("--with", "axis")


class Commands(click.Group):
    """Commands listed without importing what they need."""

    def main(self, *args: Any, **options: Any) -> Any:  # noqa: ANN401 -- as click declares it
        """Run what was typed, on streams that nothing makes fail."""
        outlive_readers()
        never_fail()
        try:
            return super().main(*args, **options)
        except SystemExit as ended:
            if is_deserted() and not ended.code:
                raise SystemExit(UNREAD) from None
            raise

    def make_context(self, *args: Any, **options: Any) -> click.Context:  # noqa: ANN401 -- as click
        """Read what was typed."""
        with _interruptible():
            return super().make_context(*args, **options)

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names in the order in which a newcomer needs them."""
        del ctx
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or None."""
        del ctx
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"rimfea.cli.{cmd_name}")
        command = cast("click.Command", module.command)
        command.epilog = shown(cmd_name)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command asked for; a mistyped one is told with the nearest that there is."""
        if args[0] not in COMMANDS:
            near = difflib.get_close_matches(args[0], COMMANDS, n=1)
            known = f"Did you mean '{near[0]}'?" if near else f"There are: {', '.join(COMMANDS)}."
            ctx.fail(f"No such command '{args[0]}'. {known}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands in the help text."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401 -- as click declares it
        """Run the command; errors of the input end with status 2 and no traceback."""
        _begin()
        try:
            with _interruptible():
                return super().invoke(ctx)
        except RimfeaError as error:
            told = _placed(error, ctx.meta.get(ABOUT))
        except MemoryError:
            told = "there is not enough memory for this: end other programs, or ask fewer rims"
        except OSError as error:
            if error.errno == errno.EPIPE:  # whoever reads the output has read enough
                raise
            told = f"{error.filename or 'the output'} cannot be written: {error.strerror or error}"
        echo(told, err=True)
        return ctx.exit(BAD_INPUT)


@contextmanager
def _interruptible() -> Iterator[None]:
    """Whoever interrupts is told so in a word, and what is then left to do ends without one."""
    try:
        yield
    except KeyboardInterrupt:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        echo(INTERRUPTED, err=True)
        raise SystemExit(STATUS) from None


def _begin() -> None:
    """Say on a terminal that the program is at work while it loads; what comes next is written
    over it.
    """
    if sys.stderr and sys.stderr.isatty() and os.environ.get("TERM") != "dumb":
        sys.stderr.write(f"{LOADING}\r")
        sys.stderr.flush()


def _placed(error: RimfeaError, about: Path | None) -> str:
    """What is said of an error, with the file that it is about; what was typed has none."""
    told = str(error)
    if about is None or isinstance(error, OF_THE_COMMAND_LINE) or str(about) in told:
        return told
    if isinstance(error, SheetError) and error.source in TYPED:
        return told
    return f"{about}: {told}"


def _print_schema(ctx: click.Context, _: click.Parameter, asked: bool) -> None:  # noqa: FBT001
    """The form of what ``--json`` prints, and then the end."""
    if asked:
        from rimfea.words.data import schema
        from rimfea.words.plain import as_text

        echo(as_text(schema()))
        ctx.exit()


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="For names of rims, set-ups and outcomes on the Tab key, put this into ~/.bashrc: "
    'eval "$(_RIMFEA_COMPLETE=bash_source rimfea)" (zsh: zsh_source into ~/.zshrc). '
    "Indicative only. The maker's limits, local codes and licensed practice come first.",
)
@click.version_option(package_name="rimfea", message="rimfea %(version)s")
@click.option(
    "--schema",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_print_schema,
    help="Print the JSON Schema of what --json prints, and exit.",
)
def commands() -> None:
    """From the caliper numbers of a bicycle rim to mechanics: which wall gives first under a
    rock strike or spoke tension, at what load, and what the rim weighs.

    \b
    Start with:  rimfea new my-rim.toml
                 (fill it in)
                 rimfea analyse my-rim.toml --picture my-rim.png
    """


def main() -> None:
    """Run the command line."""
    commands(prog_name="rimfea")
