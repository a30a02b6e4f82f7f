"""Lines joined into rings: small gaps closed, open and forked ones refused where they are."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from rimfea.errors import SectionError
from rimfea.geometry.ring import signed_area
from rimfea.traced.drawing import trail
from rimfea.traced.join import closed

SQUARE = np.array([(0, 0), (10, 0), (10, 10), (0, 10.0)])


def pieces(gap=0.0, order=(2, 0, 3, 1), flipped=(0, 3)):
    """The sides of a square, in any order and direction, the first shortened by a gap."""
    sides = [[SQUARE[k], SQUARE[(k + 1) % 4]] for k in range(4)]
    sides[0] = [SQUARE[0], SQUARE[1] - [gap, 0]]
    lines = [side[::-1] if k in flipped else side for k, side in enumerate(sides)]
    return [trail(lines[k], is_closed=False, where=f"LINE {k}") for k in order]


def test_sides_in_any_order_and_direction_become_one_ring():
    (ring,), told = closed(pieces())
    assert ring.is_closed
    assert abs(signed_area(ring.ring())) == pytest.approx(100)
    assert told == []


def test_an_arc_between_lines_keeps_its_bulge_whichever_way_it_is_drawn():
    bow = trail([SQUARE[1], SQUARE[2]], [0.4, 0.0], is_closed=False)
    rest = trail([SQUARE[2], SQUARE[3], SQUARE[0], SQUARE[1]], is_closed=False)
    areas = [
        abs(signed_area(closed(lines)[0][0].ring()))
        for lines in ([bow, rest], [bow.turned_over(), rest], [rest.turned_over(), bow])
    ]
    assert areas == pytest.approx([areas[0]] * 3)
    sweep = 4 * np.arctan(0.4)
    segment = 10**2 / 8 * (sweep - np.sin(sweep)) / np.sin(sweep / 2) ** 2
    assert areas[0] == pytest.approx(100 + segment)


def test_a_gap_of_a_twentieth_of_a_millimetre_is_closed_and_told():
    (ring,), told = closed(pieces(gap=0.045))
    assert ring.is_closed
    assert len(ring.bulge) == 4
    assert told == ["closed a gap of 0.045 mm at x = 9.98, y = 0.00 mm"]


def test_a_wider_gap_is_refused_with_both_ends_and_the_line():
    with pytest.raises(SectionError, match=r"LINE [01]: .* a gap of 0.20 mm") as caught:
        closed(pieces(gap=0.2))
    assert np.sort(caught.value.spots, axis=0) == pytest.approx(np.array([(9.8, 0), (10, 0)]))


def test_a_line_that_ends_on_nothing_is_refused():
    with pytest.raises(SectionError, match="the outline is open"):
        closed(pieces()[:3])


def test_where_three_lines_meet_the_place_is_told():
    spur = trail([SQUARE[1], (14, -3)], is_closed=False, where="LINE spur")
    with pytest.raises(SectionError, match=r"3 ends of lines meet at x = 10\.00, y = 0\.00"):
        closed([*pieces(), spur])


def test_points_and_lines_drawn_twice_are_dropped_and_told():
    twice = np.repeat(SQUARE, [1, 3, 1, 1], axis=0)
    ring = trail(twice, [0, 0, 0, 0.2, 0, 0], is_closed=True)
    same = trail(SQUARE[[2, 3, 0, 1]], [0, 0, 0, 0.2], is_closed=True).turned_over()
    (found,), told = closed([ring, same])
    assert found.bulge.tolist() == [0, 0.2, 0, 0]
    assert told == ["dropped 2 points drawn twice", "dropped 1 line drawn twice"]


def test_many_short_lines_are_joined_though_each_is_shorter_than_a_gap_that_is_closed():
    angle = np.linspace(0, 2 * np.pi, 401)
    round_ = np.column_stack([np.cos(angle), np.sin(angle)])
    lines = [trail([a, b], is_closed=False) for a, b in pairwise(round_)]
    (ring,), told = closed(lines)
    assert len(ring.bulge) == 400
    assert told == []
