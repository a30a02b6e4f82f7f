"""The least value of an energy."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from rimfea.errors import SolveError
from rimfea.plastic.descent import KEPT, Memory, descend


@dataclass(frozen=True)
class Point:
    """A vector (d,) with the product of a metric (d, d)."""

    x: np.ndarray
    metric: np.ndarray

    def plus(self, other, factor):
        return Point(self.x + factor * other.x, self.metric)

    def add(self, other, factor):
        self.x[:] += factor * other.x

    def dot(self, other):
        return float(self.x @ self.metric @ other.x)


def plain(*x):
    return Point(np.array(x), np.eye(len(x)))


def asked_of(energy, slope):
    """What :func:`descend` asks, for functions of plain vectors: in a metric M, the slope is M⁻¹ of
    the plain one.
    """

    def ask(p):
        return energy(p.x), Point(np.linalg.solve(p.metric, slope(p.x)), p.metric)

    return ask


def valley(bend):
    """A narrow convex valley along y = x whose floor steepens as (x − 1)⁴, least at (1, 1)."""

    def energy(x):
        a, b = x[0] - 1, x[1] - 1
        return a**2 + bend * a**4 + 100 * (b - a) ** 2

    def slope(x):
        a, b = x[0] - 1, x[1] - 1
        side = 200 * (b - a)
        return np.array([2 * a + 4 * bend * a**3 - side, side])

    return asked_of(energy, slope)


def square(K, f):
    return asked_of(lambda x: x @ K @ x / 2 - f @ x, lambda x: K @ x - f)


@pytest.fixture
def stretched():
    """A quadratic whose axes differ by a thousand."""
    turn, _ = np.linalg.qr(np.random.default_rng(0).normal(size=(12, 12)))
    K = turn @ np.diag(np.geomspace(1, 1e3, 12)) @ turn.T
    return K, np.random.default_rng(1).normal(size=12)


def test_the_least_value_of_a_stretched_quadratic_is_found(stretched):
    K, f = stretched
    found = descend(square(K, f), plain(*np.zeros(12)), Memory(), small=1e-8, most=200)
    assert found.left < 1e-8
    np.testing.assert_allclose(found.x.x, np.linalg.solve(K, f), atol=1e-7)


def test_in_its_own_metric_one_step_is_the_answer(stretched):
    K, f = stretched
    found = descend(square(K, f), Point(np.zeros(12), K), Memory(), small=1e-9, most=5)
    assert found.asked == 2
    np.testing.assert_allclose(found.x.x, np.linalg.solve(K, f), rtol=1e-9)


@pytest.mark.parametrize("bend", [0.0, 5.0, 50.0])
@pytest.mark.parametrize("start", [(-1.2, 1.0), (4.0, -3.0)])
def test_a_narrow_valley_is_followed_to_its_end(bend, start):
    found = descend(valley(bend), plain(*start), Memory(), small=1e-6, most=300)
    assert found.left < 1e-6
    np.testing.assert_allclose(found.x.x, [1, 1], atol=1e-6)


def test_where_it_is_least_nothing_is_stepped():
    start = plain(1.0, 1.0)
    found = descend(valley(5.0), start, Memory(), small=1e-6, most=300)
    assert found.asked == 1
    assert found.x is start


def test_it_stops_after_so_many_points_and_says_what_is_left():
    found = descend(valley(50.0), plain(4.0, -3.0), Memory(), small=1e-12, most=4)
    assert found.asked == 4
    assert found.left > 1e-12


def test_what_is_remembered_shortens_the_next_descent(stretched):
    K, f = stretched
    memory = Memory()
    first = descend(square(K, f), plain(*np.zeros(12)), memory, small=1e-6, most=200)
    again = descend(square(K, 1.1 * f), first.x, memory, small=1e-6, most=200)
    fresh = descend(square(K, 1.1 * f), first.x, Memory(), small=1e-6, most=200)
    assert again.asked < fresh.asked / 2


def test_energy_never_ends_above_where_it_began():
    """A first step that would overshoot by far is shortened."""
    ask = valley(50.0)
    start = plain(4.0, -3.0)
    high, _ = ask(start)
    for most in (3, 6, 12, 24):
        low, _ = ask(descend(ask, start, Memory(), small=1e-9, most=most).x)
        if most >= 12:
            assert low < high


def test_a_memory_that_points_uphill_is_dropped():
    memory = Memory()
    wrong = plain(1.0, 0.0)
    memory.pairs.append((wrong, plain(-1.0, 0.0), -1.0))
    found = descend(square(np.eye(2), np.ones(2)), plain(0.0, 0.0), memory, small=1e-9, most=20)
    np.testing.assert_allclose(found.x.x, [1, 1], atol=1e-9)
    assert all(step is not wrong for step, *_ in memory.pairs)


def test_a_direction_undoes_the_last_step_and_is_scaled_by_it_elsewhere():
    memory = Memory()
    memory.add(plain(1.0, 0.0), plain(4.0, 0.0))
    np.testing.assert_allclose(memory.direction(plain(4.0, 0.0)).x, [-1, 0])
    np.testing.assert_allclose(memory.direction(plain(0.0, 1.0)).x, [0, -0.25])


def test_without_memory_the_direction_is_straight_down():
    np.testing.assert_allclose(Memory().direction(plain(3.0, -2.0)).x, [-3, 2])


def test_a_step_along_which_the_energy_bends_down_is_not_remembered():
    memory = Memory()
    memory.add(plain(1.0, 0.0), plain(-1.0, 0.0))
    assert not memory.pairs
    memory.add(plain(1.0, 0.0), plain(2.0, 0.0))
    assert len(memory.pairs) == 1


def test_only_the_last_steps_are_remembered():
    memory = Memory()
    for k in range(KEPT + 5):
        memory.add(plain(1.0 + k), plain(1.0 + k))
    assert len(memory.pairs) == KEPT
    assert memory.pairs[0][0].x == [6.0]


def test_a_product_that_is_no_metric_is_refused():
    start = Point(np.array([1.0, 1.0]), np.diag([1.0, -2.0]))
    ask = asked_of(lambda x: 0.0 * x[0], lambda x: np.array([0.0, 1.0]) + 0 * x)
    with pytest.raises(SolveError, match="metric"):
        descend(ask, start, Memory(), small=1e-6, most=10)


def test_an_energy_that_is_no_number_is_refused():
    def ask(p):
        return np.nan, p.plus(p, np.nan)

    with pytest.raises(SolveError, match="metric"):
        descend(ask, plain(1.0, 1.0), Memory(), small=1e-6, most=10)


def test_a_square_that_rounding_makes_less_than_nought_is_nought():
    """Where a guess is the answer already, the slope is all rounding."""
    start = Point(np.array([1.0, 1.0]), np.diag([1.0, -1e-3]))
    ask = asked_of(lambda x: 0.0 * x[0], lambda x: np.array([0.0, 1e-10]) + 0 * x)
    found = descend(ask, start, Memory(), small=1e-6, most=10)
    assert found.asked == 1
    assert found.left == 0
