"""The server: on the loopback address of this machine only, on a free port."""

from __future__ import annotations

import asyncio
import logging
import os
import socket
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from itertools import count

import uvicorn
from threadpoolctl import threadpool_limits
from uvicorn.protocols.http.h11_impl import H11Protocol

from rimfea.errors import FileError
from rimfea.web.app import app
from rimfea.web.bench import Bench

LOOPBACK = "127.0.0.1"
USUAL_PORT = 8622  # always the same, for a browser keeps what was typed by the page's address
PATIENCE_S = 1  # for what is being solved when the end comes: the page asks again
MOST_CONNECTIONS = 200  # more than can wait in all lines
NOT_TOLD = ("graceful shutdown", "Invalid HTTP request", "upgrade request")


class Connection(H11Protocol):
    """A connection; of too many the one is ended that has been silent longest, first of those
    that have sent no whole request: who sends half of one and waits takes no place from others.
    """

    _clock = count()
    heard = 0

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take it, in place of another if there are too many."""
        super().connection_made(transport)
        self.heard = next(self._clock)
        every = [each for each in self.connections if isinstance(each, Connection)]
        there = [each for each in every if not each.transport.is_closing()]
        if len(there) > MOST_CONNECTIONS:
            ended = min(there, key=lambda each: (each.has_asked, each.heard))
            ended.transport.abort()

    def data_received(self, data: bytes) -> None:
        """Remember that it was not silent."""
        self.heard = next(self._clock)
        super().data_received(data)

    @property
    def has_asked(self) -> bool:
        """Whether it waits for the answer to a whole request."""
        cycle = self.cycle
        return cycle is not None and not (cycle.more_body or cycle.response_complete)


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
        http=Connection,
        ws="none",
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=PATIENCE_S,
    )
    logging.getLogger("uvicorn.error").addFilter(_is_told)
    with threadpool_limits(limits=1, user_api="blas"), bound, suppress(KeyboardInterrupt):
        _Server(config, started).run(sockets=[bound])


def _is_told(record: logging.LogRecord) -> bool:
    """Whether it is more than that somebody ended it while something was being solved, or sent
    what is no request.
    """
    return not any(told in record.getMessage() for told in NOT_TOLD)


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
