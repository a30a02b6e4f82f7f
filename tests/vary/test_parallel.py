"""One question put to many items, here or in two other processes."""

from __future__ import annotations

import contextlib
import multiprocessing
import operator
import os
import re
import signal
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

import pytest

from rimfea.errors import FileError, SheetError, SolveError
from rimfea.files.sheet_toml import read_sheet
from rimfea.profile.moved import moved
from rimfea.vary.parallel import each

CURLEW = Path(__file__).parents[2] / "profiles" / "curlew.toml"
A_TENTH, FAR_TOO_MUCH = {"sidewall_mm": 0.1}, {"sidewall_mm": 99.0}


@pytest.mark.parametrize("processes", [1, 2])
def test_results_come_in_the_order_of_the_items(processes):
    items = [200_000, 1, 2, 3, 4]  # the first takes longest
    found = list(each(operator.pow, items, partial(int, 3), processes=processes))
    assert found == [3**item for item in items]


@pytest.mark.parametrize(
    ("count", "processes", "elsewhere"), [(4, 2, True), (4, 1, False), (1, 2, False)]
)
def test_other_processes_are_used_where_they_are_asked_for_and_there_is_more_than_one_item(
    count, processes, elsewhere
):
    found = each(operator.add, [0] * count, os.getpid, processes=processes)
    assert {number != os.getpid() for number in found} == {elsewhere}


PIECE, PIECES = 64_000, 3_000  # bytes, each too small to come from the system by itself


def hoards(kept, _item):
    """What it holds at first, in MB, of which it is to use 190 more and keep the last piece."""
    held = int(re.search(r"VmRSS:\s+(\d+)", Path("/proc/self/status").read_text())[1]) / 1024
    kept.append([bytearray(PIECE) for _ in range(PIECES)][-1])
    return held


@pytest.mark.skipif(sys.platform != "linux", reason="other allocators give back by themselves")
@pytest.mark.parametrize("asked", [1, 2, ThreadPoolExecutor])
def test_what_an_item_took_of_the_memory_is_there_for_the_next(asked):
    """Of 18 items, so that one of two processes has 9 at least: it may not grow with each."""
    with contextlib.ExitStack() as opened:
        processes = asked if isinstance(asked, int) else opened.enter_context(asked(1))
        found = list(each(hoards, range(18), list, processes=processes))
    print(*(f"{held:.0f}" for held in found))
    assert max(found) - min(found) < PIECE * PIECES / 2e6


def test_any_executor_hands_out_the_work_and_stays_open():
    """In order, what the work needs made once for each question, errors in their turn."""
    made = []

    def start():
        made.append(len(made))
        return 10 * len(made)

    with ThreadPoolExecutor(2) as pool:
        assert list(each(operator.add, range(5), start, processes=pool)) == [10, 11, 12, 13, 14]
        assert list(each(operator.add, range(2), start, processes=pool)) == [20, 21]
        found = each(operator.truediv, [1, 0], partial(int, 1), processes=pool)
        assert next(found) == 1
        with pytest.raises(ZeroDivisionError):
            next(found)
        assert pool.submit(int, 3).result() == 3
    assert made == [0, 1]


def test_whoever_stops_asking_takes_back_what_was_not_begun():
    done, go = [], threading.Event()

    def work(_, item):
        go.wait(10 * bool(item))
        done.append(item)

    with ThreadPoolExecutor(1) as pool:
        found = each(work, range(6), partial(int, 0), processes=pool)
        next(found)
        found.close()
        go.set()
    assert len(done) <= 2


def test_a_result_is_noticed_before_its_turn():
    """Once it is there, though the first is still waited for."""
    go, seen = threading.Event(), []

    def work(_, item):
        if item == 0:
            assert go.wait(10)
        return item

    def noticed(item, found):
        seen.append((item, found))
        go.set()

    with ThreadPoolExecutor(2) as pool:
        found = each(work, range(3), partial(int, 0), processes=pool, noticed=noticed)
        assert [*found] == [0, 1, 2]
    assert sorted(seen) == [(0, 0), (1, 1), (2, 2)]
    assert seen[0] != (0, 0)


def test_nothing_is_made_for_no_items():
    assert list(each(operator.add, [], partial(pytest.fail, "made"))) == []


@pytest.mark.parametrize("processes", [1, 2])
def test_an_error_of_one_item_comes_as_itself_after_the_results_before_it(processes):
    start = partial(read_sheet, CURLEW)
    found = each(moved, [A_TENTH, FAR_TOO_MUCH, A_TENTH], start, processes=processes)
    assert next(found) == moved(start(), A_TENTH)
    with pytest.raises(SheetError) as caught:
        next(found)
    with pytest.raises(SheetError) as expected:
        moved(start(), FAR_TOO_MUCH)
    assert caught.value.faults == expected.value.faults
    assert str(caught.value) == str(expected.value)
    assert multiprocessing.active_children() == []


@pytest.mark.parametrize("processes", [1, 2])
def test_an_error_of_what_is_made_first_comes_as_itself(processes):
    start = partial(read_sheet, "nowhere.toml")
    with pytest.raises(FileError, match=r"nowhere\.toml"):
        list(each(moved, [A_TENTH, A_TENTH], start, processes=processes))


def test_an_interrupt_ends_busy_and_idle_processes_without_a_word_of_theirs(tmp_path):
    script = tmp_path / "script.py"
    script.write_text(
        "import operator\n"
        "from functools import partial\n"
        "from rimfea.vary.parallel import each\n"
        "if __name__ == '__main__':\n"
        "    for found in each(operator.pow, [0, 10**9], partial(int, 3)):\n"
        "        print(found, flush=True)\n"
    )
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    with subprocess.Popen([sys.executable, script], start_new_session=True, **streams) as running:
        try:
            assert running.stdout.readline() == "1\n"
            os.killpg(running.pid, signal.SIGINT)
            _, told = running.communicate(timeout=20)
        finally:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(running.pid, signal.SIGKILL)
    assert told.splitlines()[-1] == "KeyboardInterrupt"
    assert told.count("Traceback") == 1
    assert "Process" not in told


def test_whoever_stops_asking_ends_the_other_processes():
    found = each(operator.add, list(range(50)), partial(int, 1))
    assert next(found) == 1
    assert len(multiprocessing.active_children()) == 2
    found.close()
    assert multiprocessing.active_children() == []


def test_an_interruption_that_the_others_hear_first_is_one_all_the_same():
    """Each kills itself as the keyboard would, before this process hears of anything."""
    with pytest.raises(KeyboardInterrupt):
        list(each(os.kill, [signal.SIGINT] * 2, os.getpid))


def test_a_process_that_is_ended_from_outside_is_told_as_such():
    with pytest.raises(SolveError, match="ended from outside"):
        list(each(os.kill, [signal.SIGKILL] * 2, os.getpid))
