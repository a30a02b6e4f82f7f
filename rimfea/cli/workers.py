"""Rims handed to the computers of a cluster, whose scheduler somebody has started."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from rimfea.errors import FileError

if TYPE_CHECKING:
    from rimfea.vary.parallel import Workers

PATIENCE = "10s"
LOST = 3  # times a rim is begun anew whose computer was lost

workers = click.option(
    "--workers",
    "address",
    metavar="ADDRESS",
    help="Hand the work to a dask scheduler there, such as tcp://10.0.0.5:8786.",
)


@contextmanager
def handed_out(address: str | None, processes: int | None = None) -> Iterator[Workers]:
    """What hands out the work: the scheduler at an address, else so many processes here. Raises
    :class:`~rimfea.errors.FileError` where none answers.
    """
    from rimfea.vary.parallel import PROCESSES

    if address is None:
        yield processes or PROCESSES
        return
    try:
        from distributed import Client
    except ImportError:
        raise FileError(
            '--workers: needs dask\'s distributed: pip install "rimfea[cluster]"'
        ) from None
    try:
        client = Client(address, timeout=PATIENCE)
    except (OSError, ValueError) as error:
        told = str(error) or "no answer"
        raise FileError(
            f"--workers {address}: no scheduler answers there ({told}); start one: dask scheduler"
        ) from None
    with client, client.get_executor(retries=LOST) as executor:
        yield executor
