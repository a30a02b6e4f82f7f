"""The server: on the loopback address of this machine only, on a free port."""

from __future__ import annotations

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
PATIENCE_S = 5  # for what is being solved when the end comes


class _Server(uvicorn.Server):
    """A server that says when it is there."""

    def __init__(self, config: uvicorn.Config, started: Callable[[], None]) -> None:
        super().__init__(config)
        self._told = started

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self._told()


def serve(
    on: Bench, announce: Callable[[str], None], *, port: int = 0, opened: bool = True
) -> None:
    """Serve the page until interrupted. ``announce`` is told its address; ``opened`` shows it in
    the browser. Port 0 is any that is free.

    Raises :class:`~rimfea.errors.FileError` where the port is taken.
    """
    bound = _bound(port)
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
    with threadpool_limits(limits=1, user_api="blas"), bound, suppress(KeyboardInterrupt):
        _Server(config, started).run(sockets=[bound])


def _bound(port: int) -> socket.socket:
    bound = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        bound.bind((LOOPBACK, port))
    except OSError as error:
        bound.close()
        raise FileError(f"port {port} of this machine: {error.strerror}; leave it out") from None
    return bound
