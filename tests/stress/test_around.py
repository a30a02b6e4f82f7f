"""Stress on the cuts summed over the basis is that of the whole field, cut afterwards."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.stress.around import around, linearised_around
from rimfea.stress.cuts import linearised

THETA = np.array([0.0, 0.013, -0.4, 2.9])


@pytest.fixture(scope="module")
def parts(rim):
    return around(rim.cuts, rim.governing.field.ring)


@pytest.mark.parametrize("case", range(7))
def test_summed_on_the_cuts_is_as_summed_in_the_nodes_and_then_cut(rim, parts, case):
    field = rim.answers[case].field
    ours = linearised_around(parts, field, THETA)
    for k, theta in enumerate(THETA):
        true = linearised(rim.cuts, field.stress_at(theta))
        for part in ("membrane", "bending"):
            whole = getattr(true, part)[:, 0]
            gap = np.abs(getattr(ours, part)[:, k] - whole).max()
            assert gap < 1e-8 * np.abs(whole).max()


def test_every_cut_has_six_components_at_every_angle(rim, parts):
    line = linearised_around(parts, rim.governing.field, THETA)
    assert line.membrane.shape == line.bending.shape == (len(rim.cuts.start), len(THETA), 6)


def test_a_few_cuts_alone_have_the_stress_that_they_have_among_all(rim, parts):
    which = np.zeros(len(rim.cuts.start), dtype=bool)
    which[[0, 3, len(which) // 2]] = True
    alone, among = around(rim.cuts.picked(which), rim.governing.field.ring), parts.picked(which)
    for ours, theirs in ((alone.even, among.even), (alone.odd, among.odd)):
        np.testing.assert_allclose(ours, theirs, rtol=1e-9, atol=1e-12 * np.abs(theirs).max())


def test_a_strike_straight_in_is_alike_on_both_sides_of_it_but_for_crossed_spokes(rim, parts):
    """In the mirror of θ = 0 the shears with z change their sign; spokes differ a little."""
    line = linearised_around(parts, rim.governing.field, np.array([0.02, -0.02])).membrane
    sign = np.array([1, 1, 1, -1, -1, 1])
    gap = np.abs(line[:, 0] - sign * line[:, 1]).max()
    assert 0 < gap < 0.02 * np.abs(line).max()
