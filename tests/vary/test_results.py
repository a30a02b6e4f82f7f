"""Nobody waits for the same rim twice."""

from __future__ import annotations

import operator
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import pytest

from rimfea.errors import SolveError
from rimfea.study.outcome import outcomes
from rimfea.study.setup import End, Setup
from rimfea.vary import results as module
from rimfea.vary.results import Nothing, datum_once, each_once, named, with_ring

UNDER = ("asked", 1.0)
MOOR = Setup.from_values({"name": "moor"})


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


@pytest.mark.long
def test_a_ride_that_is_kept_is_not_solved_again_until_its_ring_is_needed(sheet_of, monkeypatch):
    kept, solved, datum = Kept(), [], module.datum

    def counted(sheet, *given, **also):
        solved.append(sheet)
        return datum(sheet, *given, **also)

    monkeypatch.setattr(module, "datum", counted)
    ask = partial(datum_once, sheet_of(), MOOR, coarseness=2.5, results=kept)
    first, again = ask(End.REAR), ask(End.REAR)
    assert len(solved) == 1
    assert with_ring(first) is first
    assert again.ride.analysis.built is None
    assert str(outcomes(again.ride)) == str(outcomes(first.ride))
    whole = with_ring(again)
    assert len(solved) == 2
    assert str(outcomes(whole.ride)) == str(outcomes(first.ride))
    stepped, own = (near.stepped("sidewall_mm")[0] for near in (whole, first))
    assert str(outcomes(stepped)) == str(outcomes(own))
    ask(End.FRONT)
    assert len(solved) == 3
