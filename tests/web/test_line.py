"""Whose turn is next, and who is sent away."""

from __future__ import annotations

from threading import Condition, Event

import pytest

from rimfea.web.line import CROWDED, ENDED, MOST_WAITING, OVERTAKEN, Line, Waiting
from rimfea.web.requests import Reply

PATIENCE_S = 20


class Held:
    """A line whose first request is worked out until it is let go; ``worked`` says who was."""

    def __init__(self):
        self.news = Condition()
        self.line = Line("test", self.news)
        self.worked, self.go = [], Event()
        begun = Event()

        def first():
            begun.set()
            self.go.wait(PATIENCE_S)
            return Reply(200, {})

        self.first = Waiting("first", first)
        self.line.join(self.first)
        assert begun.wait(PATIENCE_S)

    def ask(self, client, what="", number=None):
        def work():
            self.worked.append(f"{client}{what}")
            return Reply(200, {"what": what})

        one = Waiting(client, work, number)
        self.line.join(one)
        return one.reply

    def end(self, *replies):
        self.go.set()
        return [reply.result(PATIENCE_S) for reply in replies]


@pytest.fixture
def held():
    found = Held()
    yield found
    found.go.set()
    found.line.close()


def test_the_newest_is_next_and_before_it_who_had_fewer_turns(held):
    """Who has the turn at the start counts as well."""
    replies = [held.ask(*each) for each in (("a", 1), ("a", 2), ("b", 1), ("b", 2), ("first", 2))]
    held.end(*replies)
    assert held.worked == ["b2", "a2", "first2", "b1", "a1"]


def test_of_too_many_the_oldest_is_refused_and_no_more_wait(held):
    """And the one who just had a turn before any other."""
    again = held.ask("first")
    replies = [held.ask(f"{k}") for k in range(MOST_WAITING + 3)]
    assert len(held.line) == MOST_WAITING
    assert again.result(0) is CROWDED
    assert [each.result(0) for each in replies[:3]] == [CROWDED] * 3
    assert {each.status for each in held.end(*replies[3:])} == {200}


def test_who_is_overtaken_hears_of_it_at_once(held):
    replies = [held.ask("a", number=k) for k in (1, 2, 3)]
    others = [held.ask("a"), held.ask("b", number=1)]
    held.line.overtake("a", 3)
    assert [each.result(0) for each in replies[:2]] == [OVERTAKEN] * 2
    assert {each.status for each in held.end(replies[2], *others)} == {200}


def test_what_nobody_waits_for_any_more_is_not_worked_out_and_takes_no_place(held):
    given_up = [held.ask("gone") for _ in range(MOST_WAITING)]
    for each in given_up:
        each.cancel()
    reply = held.ask("a")
    assert len(held.line) == 1
    held.end(reply)
    assert held.worked == ["a"]


def test_a_fault_is_raised_where_the_answer_is_waited_for_and_the_line_goes_on(held):
    def fails():
        raise ZeroDivisionError

    one = Waiting("a", fails)
    held.line.join(one)
    reply = held.ask("b")
    with pytest.raises(ZeroDivisionError):
        held.end(one.reply)
    assert held.end(reply)[0].status == 200


def test_at_the_end_all_are_told_so_and_so_is_who_comes_later(held):
    reply = held.ask("a")
    held.line.close()
    assert reply.result(0) is ENDED
    held.end(held.first.reply)
    assert held.ask("b").result(PATIENCE_S) is ENDED
    assert held.worked == []


def test_a_line_begins_nothing_while_one_before_it_is_busy(held):
    """Whoever asked first."""
    after = Line("after", held.news, [held.line])
    done = []
    one = Waiting("a", lambda: done.append("after") or Reply(200, {}))
    after.join(one)
    reply = held.ask("b")
    held.line.join(Waiting("c", lambda: done.append("before") or Reply(200, {})))
    held.end(reply, one.reply)
    assert done == ["before", "after"]
    after.close()


def test_a_line_that_waits_for_another_can_be_closed(held):
    after = Line("after", held.news, [held.line])
    one = Waiting("a", lambda: Reply(200, {}))
    after.join(one)
    after.close()
    assert one.reply.result(PATIENCE_S) is ENDED
    after.pool.shutdown(wait=True)
