"""The page while it is flooded with requests: whoever sits before it has the answer next."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from rimfea.web.server import MOST_CONNECTIONS
from tests.sturdy.flood import Flood, about, as_bytes, flood, in_its_own_thread, served

pytestmark = pytest.mark.long

FIRST, MORE, SLOW = 160, 80, 240  # requests at once, and again, and of slow clients alone
OTHER_FILES = 60  # that a server has open
WORK = ("fine", "ready", "dent")
MOST_WORKED = 6  # of some 150: what was begun before, and what goes on beside


def open_files(process):
    folder = Path(f"/proc/{process.pid}/fd")
    return len([*folder.iterdir()]) if folder.exists() else 0


async def flooded(port, server):
    """The page's answers before, amid and after a flood, and what had come of the flood when it had
    its answer.
    """
    page = Flood(port)
    before = await page.ask("fine", as_bytes(about()), "page", 1)
    async with flood(port, FIRST, MORE) as crowd:
        amid = await page.ask("fine", as_bytes(about(sidewall_mm=1.27)), "page", 2)
        came = Counter(crowd.came)
        assert open_files(server) <= MOST_CONNECTIONS + OTHER_FILES
    after = await page.ask("fine", as_bytes(about()), "page", 3)
    return before, amid, after, came


def test_an_answer_comes_through_a_flood_and_all_is_as_before_when_it_is_over():
    """Of the flood next to nothing is worked out first: it waits, or was refused with a word."""
    with served() as (port, server):
        before, amid, after, came = in_its_own_thread(flooded(port, server))
    assert (before[0], amid[0], after[0]) == (200, 200, 200)
    assert amid[1]["numbers"]["mass_g"] > before[1]["numbers"]["mass_g"]
    assert after == before
    assert sum(came[what, 200] for what in WORK) <= MOST_WORKED, came
    assert sum(came[what, 429] for what in WORK) > FIRST // 4, came
    assert came["broken", 400] > 0
    assert came.total() < FIRST + MORE


async def slowly(port, server):
    """How many of the slow clients were sent away, and a page's answer when all had come."""
    page = Flood(port)
    async with flood(port, SLOW, slow=True) as crowd:
        answer = await page.ask("entries", as_bytes({"name": "a", "text": ""}), "page")
        assert open_files(server) <= MOST_CONNECTIONS + OTHER_FILES
        gone = len(crowd.came)
    return gone, answer


def test_who_sends_half_a_request_and_waits_takes_no_place_from_others():
    """Of too many the first go."""
    with served() as (port, server):
        gone, answer = in_its_own_thread(slowly(port, server))
    assert gone > 0
    assert answer[0] in (200, 422)
