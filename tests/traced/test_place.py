"""A section moved into the axes of a drawn one: shifted, turned a little, never turned over."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from rimfea.errors import SectionError
from rimfea.files.sheet_toml import read_sheet
from rimfea.geometry.outline import from_rings
from rimfea.profile.build import outline
from rimfea.traced.place import Move, moved, placed

PROFILES = sorted((Path(__file__).parents[2] / "profiles").glob("*.toml"))


@pytest.mark.parametrize("path", PROFILES, ids=lambda path: path.stem)
def test_a_drawn_section_stays_where_it_is_and_comes_back_from_elsewhere(path):
    drawn = outline(read_sheet(path))
    assert not placed(drawn)[1]
    away = Move(31.0, -12.0, np.radians(4.0))
    found, back = placed(moved(drawn, away))
    assert found.outer.corners == pytest.approx(drawn.outer.corners, abs=1e-6)
    whole = away.then(back)
    assert (whole.x_mm, whole.y_mm, whole.turn) == pytest.approx((0, 0, 0), abs=1e-6)


def test_a_spoke_bed_beside_the_middle_does_not_move_the_middle(outer, hollow):
    aside = [ring + [2.5, 0] * (ring[:, 1:] < -10) for ring in (outer, hollow)]
    assert not placed(from_rings(aside[0], aside[1:]))[1]


def test_a_straight_section_is_moved_outward_and_inward_only(outer, hollow):
    tilted = moved(from_rings(outer, [hollow]), Move(0.2, 3.0, np.radians(0.5)))
    _, move = placed(tilted, is_straight=True)
    assert (move.x_mm, move.turn) == (0, 0)
    assert move.y_mm == pytest.approx(-3.0, abs=0.02)


@pytest.mark.parametrize(
    ("turn", "told"),
    [(180, "upside down"), (90, "no bead seat on the right"), (15, "out of level")],
)
def test_a_section_that_lies_wrong_is_refused(outer, hollow, turn, told):
    lying = moved(from_rings(outer, [hollow]), Move(7.0, 3.0, np.radians(turn)))
    with pytest.raises(SectionError, match=told) as caught:
        placed(lying)
    assert caught.value.spots
    assert "turn" in caught.value.remedy


def test_what_has_no_bead_seats_is_refused():
    plate = from_rings([(0, 0), (20, 0), (20, 3), (12, 3), (12, 2), (8, 2), (8, 3), (0, 3)])
    with pytest.raises(SectionError, match="no bead seat on the right"):
        placed(plate)


def test_moves_follow_one_another_as_points_do():
    one, two = Move(1.0, 2.0, 0.3), Move(-4.0, 0.5, -0.8)
    points = np.array([(3.0, 1.0), (-2.0, 5.0)])
    assert one.then(two).applied(points) == pytest.approx(two.applied(one.applied(points)))
    assert one.undone(one.applied(points)) == pytest.approx(points)
