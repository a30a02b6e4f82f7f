"""Readings matched to what is expected."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.vary.matched import matched, missed

EXPECTED = np.array([129.0, 152.0, 392.0, 425.0, 751.0, 801.0])
COVARIANCE = np.diag((0.01 * EXPECTED) ** 2)
READ = 0.6


def places(*readings):
    return matched(EXPECTED, COVARIANCE, readings, READ).places


@pytest.mark.parametrize(
    ("readings", "found"),
    [
        ((128, 151, 424), (0, 1, 3)),
        (tuple(EXPECTED), (0, 1, 2, 3, 4, 5)),
        (tuple(0.92 * EXPECTED), (0, 1, 2, 3, 4, 5)),
        (tuple(1.07 * EXPECTED), (0, 1, 2, 3, 4, 5)),
        (tuple(0.92 * EXPECTED[[0, 1, 3]]), (0, 1, 3)),
        ((122, 151, 424), (0, 1, 3)),
        ((50, 128, 250, 424), (None, 0, None, 3)),
        ((), ()),
    ],
)
def test_readings_are_matched_in_order(readings, found):
    assert places(*readings) == found


def test_two_close_together_are_one_that_comes_twice():
    assert places(128, 129.5, 151) == (0, 0, 1)
    assert places(128, 128.5, 129.5, 151).count(0) == 2


def test_what_might_be_another_is_told():
    assert matched(EXPECTED, COVARIANCE, (141,), READ).others[0] in ((0,), (1,))
    sure = matched(EXPECTED, COVARIANCE, (128, 151, 424), READ)
    assert sure.others == ((), (), ())


def test_what_is_missed_is_told_of_what_is_expected_only():
    at, gap, own = missed(EXPECTED, (50, 130, 150), READ, (None, 0, 1))
    assert at == [0, 1]
    np.testing.assert_allclose(gap, [1.0, -2.0])
    np.testing.assert_allclose(own, READ)


def test_twins_may_lie_aside():
    *_, once = missed(EXPECTED, (128,), READ, (0,))
    *_, twice = missed(EXPECTED, (128, 130, 152), READ, (0, 0, 1))
    assert twice[0] == twice[1] > once[0] == twice[2]
