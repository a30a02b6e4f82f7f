from __future__ import annotations

import numpy as np
import pytest

from rimfea.profile.families import DRAWN, Family
from rimfea.profile.pieces import Piece
from rimfea.profile.walls import Wall
from rimfea.section.rim import GRAM_PER_MM3
from rimfea.study.analysis import inspect
from rimfea.study.grams import grams, grams_by_piece


@pytest.mark.parametrize("family", DRAWN)
def test_the_walls_weigh_what_the_rim_weighs_and_each_something(sheet_of, family):
    lip = {"hook_lip_mm": 2.6} if family is not Family.HOOKLESS else {}
    analysis = inspect(sheet_of(family, joint="sleeved", **lip), coarseness=2.0)
    found = grams(analysis)
    assert sum(found.values()) == pytest.approx(analysis.hoop.mass_g, rel=1e-12)
    assert min(found.values()) > 1.0
    assert set(found) == {*map(str, analysis.sheet.walls), "joint"} - (
        set() if Wall.SPOKE_BED in analysis.outline.labels else {"spoke bed"}
    )
    assert found["joint"] == analysis.sheet.joint_mass_g


def test_a_flank_weighs_its_thickness_times_its_length(looked):
    """By hand: the flank's strip from the bead seat's middle to the spoke bed, twice."""
    sheet = looked.sheet
    labels = np.array([looked.cuts.names[k] for k in looked.cuts.wall])
    middle = (looked.cuts.start + looked.cuts.end)[labels == "flank"] / 2
    right = middle[middle[:, 0] > 0]
    ends = right[[right[:, 1].argmin(), right[:, 1].argmax()]]
    radius = sheet.seat_radius_mm + ends[:, 1].mean()
    least = 2 * np.linalg.norm(ends[1] - ends[0]) * sheet.flank_mm * 2 * np.pi * radius
    density = sheet.metal.density_kg_m3 * GRAM_PER_MM3
    assert density * least < grams(looked)["flank"] < 1.5 * density * least


def test_coarser_triangles_move_hardly_a_gram_from_wall_to_wall(sheet_of):
    fine, coarse = (grams(inspect(sheet_of(), coarseness=by)) for by in (1.0, 2.0))
    for wall, mass in fine.items():
        assert coarse[wall] == pytest.approx(mass, rel=4e-3, abs=0.1)


def test_holes_are_drilled_from_the_nipple_seat(sheet_of):
    """Twice as many holes of 4.5 mm through 2.8 mm, at 2700 kg/m³: 36 of them weigh 4.33 g."""
    few, many = (grams(inspect(sheet_of(spoke_count=n), coarseness=2.0)) for n in (36, 72))
    lost = {wall: few[wall] - many[wall] for wall in few}
    assert lost.pop("nipple seat") == pytest.approx(
        36 * np.pi / 4 * 4.5**2 * 2.8 * 2.7e-3, rel=1e-6
    )
    assert list(lost.values()) == pytest.approx([0] * len(lost), abs=1e-9)


def test_hook_and_lip_are_one_piece_and_so_are_spoke_bed_and_nipple_seat(looked):
    walls, pieces = grams(looked), grams_by_piece(looked)
    assert pieces["hook"] == pytest.approx(walls["bead hook"] + walls["hook lip"])
    assert pieces["spoke bed"] == pytest.approx(walls["spoke bed"] + walls["nipple seat"])
    assert sum(pieces.values()) == pytest.approx(sum(walls.values()))
    assert set(pieces) <= {str(piece) for piece in Piece}
