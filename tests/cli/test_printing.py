"""The terminal: how wide it is, and what it tells while something takes its time."""

from __future__ import annotations

import io
import os
import re
import time

import pytest

from rimfea.cli.printing import NARROWEST, USUAL_WIDTH, console, followed, working

MOST_S = 3.0  # on a machine that does much else; alone it is a tenth of that
WIDTHS = (40, 60, 80, 120, 200)
LINES = {"inspect": (), "reconcile": (), "analyse": ("--slice",)}


class Terminal(io.StringIO):
    """Something that looks like one."""

    encoding = "ascii"

    def isatty(self):
        return True


@pytest.fixture
def standard_error(monkeypatch):
    """Put something in its place; not before the test itself runs, or pytest would undo it."""
    monkeypatch.setenv("TERM", "xterm")

    def put(seen):
        monkeypatch.setattr("sys.stderr", seen)
        return seen

    return put


def plain(told):
    return re.sub(r"\x1b\[[\d;?]*[A-Za-z]", "", told)


@pytest.mark.parametrize(
    ("columns", "width"),
    [("80", 80), ("200", 200), ("3", NARROWEST), ("", USUAL_WIDTH), ("wide", USUAL_WIDTH)],
)
def test_a_pipe_is_as_wide_as_columns_says(monkeypatch, columns, width):
    monkeypatch.setenv("COLUMNS", columns)
    assert console().width == width


@pytest.mark.parametrize(
    ("command", "columns"),
    [
        *(
            pytest.param(*case, marks=pytest.mark.long)
            for case in (("analyse", 40), ("reconcile", 60))
        ),
        *(("inspect", wide) for wide in WIDTHS),
    ],
)
def test_no_line_is_longer_than_the_terminal_is_wide(rimfea, sheet, monkeypatch, command, columns):
    monkeypatch.setenv("COLUMNS", str(columns))
    told = rimfea(command, sheet(weighed_mass_g="560"), *LINES[command]).stdout
    assert max(map(len, told.splitlines())) <= columns
    assert "…" not in told


def test_on_a_terminal_it_is_told_within_a_second_what_is_going_on_and_for_how_long(
    standard_error,
):
    terminal = standard_error(Terminal())
    with working("ouzel"):
        time.sleep(0.4)
        early = terminal.getvalue()
    assert re.search(r"ouzel +0:00:0\d", plain(early))


def test_how_far_it_has_come_is_told_where_that_is_known(standard_error):
    terminal = standard_error(Terminal())

    def slowly():
        for k in range(3):
            time.sleep(0.3)
            yield k

    assert followed(slowly(), 3) == [0, 1, 2]
    assert re.search(r"rims +[12]/3", plain(terminal.getvalue()))


def test_elsewhere_nothing_is_written_beside_the_answer(standard_error):
    seen = standard_error(io.StringIO())
    with working("ouzel"):
        time.sleep(0.05)
    assert followed([1], 1) == [1]
    assert seen.getvalue() == ""


def test_a_terminal_hears_of_it_before_anything_heavy_is_loaded(program, ouzel):
    pty = pytest.importorskip("pty")
    leader, follower = pty.openpty()
    begun = time.monotonic()
    running = program("inspect", ouzel, stdout=follower, stderr=follower, text=False)
    first = os.read(leader, 100)
    took = time.monotonic() - begun
    running.kill()
    running.communicate()
    os.close(leader)
    os.close(follower)
    assert first.startswith(b"loading\r")
    assert took < MOST_S
