"""Errors and what they do."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.vary.doubt import Doubt, Origin, Source

RNG = np.random.default_rng(3)
COUNT, NUMBERS = 5, 4
SCALES = Source(Origin.SCALES, "weighed_mass_g", "own")


def own(count, rim="own"):
    return tuple(Source(Origin.READING, f"{k}", rim) for k in range(count))


@pytest.fixture
def doubt():
    return Doubt(own(COUNT), RNG.normal(size=(COUNT, NUMBERS)))


def test_a_reading_leaves_what_trials_leave(doubt):
    """Errors drawn at random, and by regression what the reading does not explain of them: the
    mean and the spread of a normal law given another (JCGM 102:2011 in words).
    """
    off = RNG.normal(size=COUNT)
    left, gain = doubt.read(off, SCALES, 0.7)
    runs = RNG.standard_normal((400_000, COUNT + 1))
    numbers = runs[:, :COUNT] @ doubt.shares
    reading = runs[:, :COUNT] @ off + 0.7 * runs[:, COUNT]
    slope = numbers.T @ reading / (reading @ reading)
    rest = numbers - np.outer(reading, slope)
    np.testing.assert_allclose(gain, slope, atol=0.01)
    np.testing.assert_allclose(left.covariance, np.cov(rest.T), atol=0.01 * np.max(rest.var()))


def test_a_reading_leaves_what_the_formula_of_gauss_and_markov_leaves(doubt):
    """U − U J' (J U J' + s²)⁻¹ J U, of numbers that the reading is the sum of."""
    U, J = doubt.covariance, np.ones((1, NUMBERS))
    off = doubt.through(J.T).shares[:, 0]
    expected = U - U @ J.T @ np.linalg.inv(J @ U @ J.T + 0.3**2) @ J @ U
    left, gain = doubt.read(off, SCALES, 0.3)
    np.testing.assert_allclose(left.covariance, expected, atol=1e-12)
    np.testing.assert_allclose(gain, (U @ J.T / (J @ U @ J.T + 0.3**2))[:, 0])


def test_a_reading_good_for_nothing_tells_nothing(doubt):
    left, gain = doubt.read(RNG.normal(size=COUNT), SCALES, 1e9)
    np.testing.assert_allclose(left.standard, doubt.standard, rtol=1e-9)
    np.testing.assert_allclose(gain, 0, atol=1e-15)


def test_nothing_is_in_more_doubt_for_another_reading(doubt):
    left, _ = doubt.read(RNG.normal(size=COUNT), SCALES, 0.1)
    assert (left.standard <= doubt.standard * (1 + 1e-12)).all()


def test_only_what_is_the_same_in_both_cancels():
    shared, mine = Source(Origin.INSTRUMENT, "caliper"), own(1)[0]
    one = Doubt((mine, shared), np.array([[3.0], [5.0]]))
    assert one.minus(one).standard[0] == pytest.approx(3 * np.sqrt(2))
    other = Doubt((shared,), np.array([[1.0]]))
    assert one.minus(other).standard[0] == pytest.approx(5.0)
    assert other.minus(one).standard[0] == pytest.approx(5.0)
    alone = Doubt(own(1, "other"), np.array([[4.0]]))
    assert one.minus(alone).standard[0] == pytest.approx(np.sqrt(50))


def test_shares_that_belong_to_no_source_are_refused():
    with pytest.raises(ValueError, match="shares of 2 sources"):
        Doubt(own(2), np.ones((3, 1)))


def test_readings_together_leave_what_they_leave_one_after_the_other(doubt):
    """Errors of their own apart: two readings at once are the one and then the other."""
    seen = RNG.normal(size=(COUNT, 2))
    errors = np.diag([0.3, 0.7])
    sources = (SCALES, Source(Origin.TONES, "heard", "any"))
    together, _ = doubt.read_all(seen, sources, errors)
    both = np.hstack([doubt.shares, seen])  # what the second sees is known better after the first
    first, _ = Doubt(doubt.sources, both).read(seen[:, 0], SCALES, 0.3)
    numbers = doubt.shares.shape[1]
    after = Doubt(first.sources, first.shares[:, :numbers])
    second, _ = after.read(first.shares[:, -1], sources[1], 0.7)
    np.testing.assert_allclose(together.covariance, second.covariance, atol=1e-12)
