from __future__ import annotations

import logging

import pytest

from rimfea.errors import FileError
from rimfea.web import server


@pytest.fixture
def usual(monkeypatch):
    """The usual port is one that is free just now."""
    with server._bound(0) as free:
        port = free.getsockname()[1]
    monkeypatch.setattr(server, "USUAL_PORT", port)
    return port


def test_the_page_is_at_the_same_address_every_time(usual):
    """A browser keeps what was typed by the address."""
    for _ in range(2):
        with server._usual() as bound:
            assert bound.getsockname() == ("127.0.0.1", usual)


def test_where_the_usual_port_is_taken_a_free_one_will_do(usual):
    """Unless that very port was asked for."""
    with server._usual() as first:
        first.listen()
        with server._usual() as second:
            assert second.getsockname()[1] != usual
        with pytest.raises(FileError, match=f"port {usual} of this machine"):
            server._bound(usual)


def test_neither_an_end_in_the_middle_of_an_answer_nor_nonsense_is_an_error():
    """Other errors are told."""
    messages = (
        "Cancel 1 running task(s), timeout graceful shutdown exceeded",
        "Invalid HTTP request received.",
        "broken",
    )
    told = [
        logging.LogRecord("uvicorn.error", logging.ERROR, "", 0, message, (), None)
        for message in messages
    ]
    assert [server._is_told(each) for each in told] == [False, False, True]
