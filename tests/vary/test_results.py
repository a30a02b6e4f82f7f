"""Nobody waits for the same rim twice."""

from __future__ import annotations

import operator
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import pytest

from rimfea.errors import SolveError
from rimfea.vary.results import Nothing, each_once, named

UNDER = ("asked", 1.0)


class Kept(dict):
    """Results kept in memory."""

    def read(self, asked, look):
        del look
        return self.get(asked)

    def write(self, asked, found):
        self[asked] = found


@pytest.fixture
def sheets(sheet_of):
    return [sheet_of(name=f"rim {k}") for k in range(4)]


def asked_of(seen, fails=None):
    """Answers a sheet by its name in capitals, but the one that fails."""

    def answer(sheet):
        seen.append(sheet.name)
        if sheet.name == fails:
            raise SolveError(fails)
        return sheet.name.upper()

    return partial(operator.itemgetter(0), [answer])


def test_only_the_missing_are_asked_and_all_come_in_order(sheets):
    kept, seen = Kept(), []
    ask = partial(each_once, operator.call, start=asked_of(seen), results=kept, processes=1)
    list(ask(sheets[1:3], under=UNDER))
    seen.clear()
    assert [*ask(sheets, under=UNDER)] == ["RIM 0", "RIM 1", "RIM 2", "RIM 3"]
    assert seen == ["rim 0", "rim 3"]
    seen.clear()
    list(ask(sheets, under=("asked", 2.0)))
    assert len(seen) == len(sheets)


def test_each_is_kept_before_the_next_is_asked(sheets):
    kept, seen = Kept(), []
    coming = each_once(
        operator.call, sheets, asked_of(seen, "rim 2"), under=UNDER, results=kept, processes=1
    )
    with pytest.raises(SolveError):
        list(coming)
    assert [*kept.values()] == ["RIM 0", "RIM 1"]
    list(each_once(operator.call, sheets, asked_of(seen), under=UNDER, results=kept, processes=1))
    assert seen == ["rim 0", "rim 1", "rim 2", "rim 2", "rim 3"]


def test_an_executor_is_handed_only_the_missing_and_what_follows_a_lost_rim_is_kept(sheets):
    kept, seen = Kept(), []
    with ThreadPoolExecutor(1) as pool:
        ask = partial(each_once, operator.call, sheets, under=UNDER, results=kept, processes=pool)
        with pytest.raises(SolveError):
            list(ask(asked_of(seen, "rim 1")))
        assert "RIM 0" in kept.values()
        before = len(kept)
        seen.clear()
        assert [*ask(asked_of(seen))] == ["RIM 0", "RIM 1", "RIM 2", "RIM 3"]
    assert len(seen) == len(sheets) - before


def test_without_a_place_to_keep_them_all_are_asked(sheets):
    seen = []
    for results in (None, Nothing(), Nothing()):
        ask = partial(each_once, operator.call, sheets, asked_of(seen), under=UNDER, processes=1)
        list(ask(results=results))
    assert len(seen) == 3 * len(sheets)


@pytest.mark.parametrize(
    ("name", "begins"),
    [("Grey plover, 2nd", "grey-plover-2nd-"), ("../..", "rim-"), ("x" * 99, f"{'x' * 40}-")],
)
def test_a_file_is_named_after_its_rim(sheet_of, name, begins):
    found = named(sheet_of(name=name))
    assert found.startswith(begins)
    assert len(found) == len(begins) + 16
