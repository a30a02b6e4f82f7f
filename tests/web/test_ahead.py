"""Work done in the pauses."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from threading import Event

import pytest

from rimfea.errors import MeshError
from rimfea.web.ahead import PAUSE_S, Ahead


@pytest.fixture
def ahead():
    with ThreadPoolExecutor(1) as pool:
        found = Ahead(pool)
        yield found
        found.close()


def test_a_plan_is_done_in_its_order_whatever_fails(ahead):
    done, end = [], Event()

    def fails():
        raise MeshError("no mesh follows")

    ahead.plan([lambda: done.append(1), fails, lambda: done.append(2), end.set])
    assert end.wait(5)
    assert done == [1, 2]


def test_a_new_plan_takes_the_place_of_the_old_one(ahead):
    done, begun, go, end = [], Event(), Event(), Event()

    def first():
        begun.set()
        go.wait(5)

    ahead.plan([first, lambda: done.append("old")])
    assert begun.wait(5)
    ahead.plan([lambda: done.append("new"), end.set])
    go.set()
    assert end.wait(5)
    assert done == ["new"]


def test_nothing_is_done_while_somebody_waits_and_right_after(ahead):
    end = Event()
    with ahead.waiting():
        ahead.plan([end.set])
        assert not end.wait(2 * PAUSE_S)
    start = time.monotonic()
    assert end.wait(5)
    assert time.monotonic() - start >= 0.9 * PAUSE_S


def test_after_the_end_nothing_is_done(ahead):
    done = []
    ahead.close()
    ahead.plan([lambda: done.append(1)])
    time.sleep(2 * PAUSE_S)
    assert done == []
