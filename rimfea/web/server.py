"""The server: on the loopback address of this machine only, on a free port."""

from __future__ import annotations

import logging
import os
import socket
import webbrowser
from collections.abc import Callable
from contextlib import suppress

import uvicorn
from threadpoolctl import threadpool_limits

from rimfea.errors import FileError
from rimfea.web.app import app
from rimfea.web.bench import Bench

LOOPBACK = "127.0.0.1"
USUAL_PORT = 8622  # always the same, for a browser keeps what was typed by the page's address
PATIENCE_S = 1  # for what is being solved when the end comes: the page asks again


class _Server(uvicorn.Server):
    """A server that says when it is there."""

    def __init__(self, config: uvicorn.Config, started: Callable[[], None]) -> None:
        super().__init__(config)
        self._told = started

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self._told()


def serve(
    on: Bench, announce: Callable[[str], None], *, port: int | None = None, opened: bool = True
) -> None:
    """Serve the page until interrupted. ``announce`` is told its address; ``opened`` shows it in
    the browser. Without a port it is the usual one, or any where that is taken; 0 is any.

    Raises :class:`~rimfea.errors.FileError` where the port is taken.
    """
    bound = _usual() if port is None else _bound(port)
    port = bound.getsockname()[1]
    address = f"http://{LOOPBACK}:{port}/"

    def started() -> None:
        announce(address)
        if opened:
            webbrowser.open(address)

    config = uvicorn.Config(
        app(on, port),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=PATIENCE_S,
    )
    logging.getLogger("uvicorn.error").addFilter(_not_the_end)
    with threadpool_limits(limits=1, user_api="blas"), bound, suppress(KeyboardInterrupt):
        _Server(config, started).run(sockets=[bound])


def _not_the_end(record: logging.LogRecord) -> bool:
    """Whether it is more than that somebody ended it while something was being solved."""
    return "graceful shutdown" not in record.getMessage()


def _usual() -> socket.socket:
    try:
        return _bound(USUAL_PORT)
    except FileError:
        return _bound(0)


def _bound(port: int) -> socket.socket:
    bound = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":  # elsewhere it would let two servers have one port
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        bound.bind((LOOPBACK, port))
    except OSError as error:
        bound.close()
        raise FileError(f"port {port} of this machine: {error.strerror}; leave it out") from None
    return bound
