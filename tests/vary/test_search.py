"""Steps to the best that keeps the rest, on hills whose tops are known."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

from rimfea.errors import Fault, LoadError, SheetError
from rimfea.vary.search import DIGIT_MM, WITHIN, Bounds, Place, Search, climbed, merit_of

WIDE = Bounds(np.full(2, 0.5), np.full(2, 3.0))


@dataclass(frozen=True)
class Hill(Place):
    """Two walls x, y that weigh x + y and bear x y, at least 1 of which is asked; the sheets with
    a wall below ``clash_mm`` are none, and rims with one below ``breaks_mm`` cannot be solved.
    """

    at: tuple[float, float] = (1.5, 1.3)
    clash_mm: float = 0.0
    breaks_mm: float = 0.0
    held: str = ""

    @property
    def at_mm(self):
        return np.array(self.at)

    @property
    def gains(self):
        return np.array([-self.at_mm.sum() / 2.8])

    @property
    def margins(self):
        return np.array([self.at_mm.prod() - 1])

    @property
    def within(self):
        return np.array([WITHIN])

    @property
    def slopes(self):
        x, y = self.at
        return np.full((2, 1), -1 / 2.8), np.array([[y], [x]]), {self.held: "why"}

    def sheet_at(self, asked_mm):
        if min(asked_mm) < self.clash_mm:
            raise SheetError([Fault("", "clash")])

    def moved_to(self, asked_mm):
        self.sheet_at(asked_mm)
        if min(asked_mm) < self.breaks_mm:
            raise LoadError("breaks")
        return replace(self, at=tuple(asked_mm))


def hill(**own):
    return Hill(aim=None, first=None, meshed=None, near=None, keys=("x", "y"), fine=None, **own)


@pytest.mark.parametrize("at", [(1.5, 1.3), (0.7, 1.4), (2.5, 0.6), (0.6, 0.6)])
def test_the_least_of_x_and_y_with_x_y_at_least_1_is_2(at):
    """From rims too strong and from rims too weak."""
    end = climbed(Search(hill(at=at), WIDE))
    for _ in range(2):
        end = climbed(end)
    assert end.ended
    assert sum(end.here.at) == pytest.approx(2.0, abs=0.01)
    assert end.here.margins[0] >= -WITHIN


def test_no_step_of_a_climb_is_down(monkeypatch):
    found = []
    moved_to = Hill.moved_to

    def noted(self, asked_mm):
        found.append((self.merit, self.foreseen(asked_mm)))
        return moved_to(self, asked_mm)

    monkeypatch.setattr(Hill, "moved_to", noted)
    climbed(Search(hill(), WIDE))
    merits = [merit for merit, _ in found]
    assert merits == sorted(merits)
    assert all(foreseen > merit for merit, foreseen in found)


def test_walls_stay_within_their_bounds_and_the_other_makes_up_for_it():
    tight = Bounds(np.array([1.25, 0.5]), np.full(2, 3.0))
    end = climbed(Search(hill(), tight))
    assert end.here.at == pytest.approx((1.25, 0.8), abs=DIGIT_MM)


def test_no_wall_is_rounded_beyond_its_bound():
    tight = Bounds(np.array([1.403, 0.5]), np.full(2, 3.0))
    assert hill().best_within(tight, 0.2)[0] == 1.403


def test_walls_are_drawn_in_hundredths():
    end = climbed(Search(hill(at=(1.523, 1.308)), WIDE)).here.at_mm
    np.testing.assert_allclose(end, end.round(2), atol=1e-12)


def test_no_wall_moves_further_than_the_reach():
    asked = hill().best_within(WIDE, 0.07)
    assert np.abs(asked - hill().at_mm).max() == pytest.approx(0.07)


def test_a_sum_of_walls_is_not_below_its_least_and_the_walls_are_drawn_so():
    """x − 0.5 y ≥ 0.9: of x + y with x y = 1 the least is then at x = (0.9 + √(0.81 + 2)) / 2."""
    tied = replace(WIDE, sums=((np.array([1.0, -0.5]), 0.9),))
    end = climbed(Search(hill(at=(1.9, 1.3)), tied))
    x = (0.9 + np.sqrt(0.81 + 2)) / 2
    assert end.here.at == pytest.approx((x, 1 / x), abs=2 * DIGIT_MM)
    assert tied.spare(end.here.at_mm)[0] >= -1e-6
    assert climbed(Search(hill(at=(1.9, 1.3)), WIDE)).here.at[0] < x - 0.1


def test_a_start_below_the_least_of_a_sum_may_stay():
    tied = replace(WIDE, sums=((np.array([1.0, -1.0]), 0.2),))
    assert hill(held="y").best_within(tied, 0.1) == pytest.approx([1.5, 1.3])


def test_a_wall_that_the_mesh_cannot_follow_is_held():
    asked = hill(held="x").best_within(WIDE, 0.1)
    assert asked == pytest.approx([1.5, 1.2])


def test_a_wall_whose_sheet_clashes_is_held_where_it_does_not():
    end = climbed(Search(hill(at=(1.5, 0.9), clash_mm=0.85), WIDE))
    assert end.here.at[1] >= 0.85
    assert end.bounds.low[1] > WIDE.low[1]
    assert "y" in end.bounds.clash
    assert "x" not in end.bounds.clash


def test_where_a_rim_cannot_be_solved_the_step_is_shorter_and_the_reason_kept():
    end = climbed(Search(hill(at=(1.5, 0.9), breaks_mm=0.85), WIDE))
    assert min(end.here.at) >= 0.85
    assert end.bounds.clash == {"": "breaks"}
    assert end.here.merit > hill(at=(1.5, 0.9)).merit


def test_a_bound_is_tightened_to_half_of_the_way_on_the_side_that_was_asked():
    assert WIDE.tightened(0, 1.5, 1.31).low == pytest.approx([1.41, 0.5])
    assert WIDE.tightened(1, 1.5, 1.69).high == pytest.approx([3.0, 1.59])
    assert WIDE.tightened(1, 1.5, 1.51).high == pytest.approx([3.0, 1.5])
    assert WIDE.low[0] == 0.5


def test_what_is_kept_comes_before_what_is_won():
    good, margin, within = np.array([-0.9]), np.array([0.1, -0.05]), np.array([0.0, WITHIN])
    assert merit_of(good, margin, within) < merit_of(good - 0.4, np.array([0.1, 0.0]), within)
    assert merit_of(good, np.array([0.0, -WITHIN]), within) == -0.9
    assert merit_of(good, np.array([-WITHIN, 0.0]), within) < -0.9
