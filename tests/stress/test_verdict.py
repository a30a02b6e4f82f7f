from __future__ import annotations

import math

import pytest

from rimfea.errors import OutlineError
from rimfea.stress.verdict import verdict
from rimfea.stress.walls import WallStress


def wall(name, first_yield, hinge=0.1):
    return WallStress(name, first_yield, hinge, (0, 0), (0, 1), 1.0, 0.0, 0.0, 0.0, 0.0)


def test_walls_are_ranked_by_which_yields_first():
    judged = verdict([wall("a", 0.2), wall("b", math.inf), wall("c", 0.5)])
    assert [each.wall for each in judged.walls] == ["b", "c", "a"]
    assert (judged.governing.wall, judged.runner_up.wall) == ("b", "c")


def test_the_margin_is_how_much_more_the_runner_up_bears():
    assert verdict([wall("a", 0.5), wall("b", 0.4)]).margin == pytest.approx(0.25)
    assert verdict([wall("a", 0.5), wall("b", 0.0)]).margin == math.inf


def test_two_walls_that_yield_before_any_load_are_alike():
    assert verdict([wall("a", math.inf), wall("b", math.inf)]).margin == 0


def test_dents_have_an_order_of_their_own():
    judged = verdict([wall("a", 0.5, 0.2), wall("b", 0.4, 0.3)])
    assert [each.wall for each in judged.by_hinge] == ["b", "a"]


def test_one_wall_alone_is_no_verdict():
    with pytest.raises(OutlineError, match="at least two walls"):
        verdict([wall("a", 0.5)])
