"""rimfea page: a rim to measure and to try, in the browser."""

from __future__ import annotations

from pathlib import Path

import click

from rimfea.cli import options
from rimfea.cli.encodable import echo


@click.command("page")
@options.sheets()
@options.ridden
@click.option(
    "--port",
    type=options.Number(0, 65535, whole=True),
    help="Port; else the usual one, 8622, or a free one where that is taken.",
)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
def command(
    sheets: tuple[Path, ...], *, port: int | None, no_browser: bool, **given: object
) -> None:
    """Serve a page on this machine alone: measure a rim of your own beside its drawing, or drag any
    dimension of the SHEETS (files or folders; else the invented rims). Ctrl-C ends it.
    """
    from rimfea.files.setup_toml import read_setup, setup_names
    from rimfea.web.bench import bench
    from rimfea.web.server import serve

    first = options.named_setup(given)
    others = [read_setup(name) for name in setup_names() if name != first.name]
    on = bench(options.rims(sheets), [first, *others])

    def announce(address: str) -> None:
        echo(f"{address}  (Ctrl-C ends it)")

    serve(on, announce, port=port, opened=not no_browser)
    echo("ended")
