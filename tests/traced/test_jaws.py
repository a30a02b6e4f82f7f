from __future__ import annotations

import pytest
from shapely import LineString, Point

from rimfea.geometry.outline import polygon
from rimfea.profile.build import outline
from rimfea.profile.families import DRAWN
from rimfea.profile.fields import BY_KEY
from rimfea.profile.moved import movable
from rimfea.traced.jaws import Hold, jaws

MORE = {
    "sidewall_foot_mm": 1.7,
    "bead_ridge_mm": 0.4,
    "bead_seat_mm": 1.4,
    "washer_mm": 8.0,
    "tyre_well_width_mm": 14.0,
}
DEEP = {"overall_depth_mm": 30.0, "flank_mm": 1.2}
CHAMBER = {"web_mm": 1.0, "web_height_mm": 8.0, "spoke_bed_offset_mm": 1.5, "middle_width_mm": 26.0}


@pytest.fixture(params=DRAWN, ids=str)
def sheet(request, sheet_of):
    family = request.param
    able = {**DEEP, **CHAMBER} if BY_KEY["flank_mm"].used_by(family) else {}
    return sheet_of(family, **MORE, **able)


def test_the_jaws_are_as_far_apart_as_the_number_says(sheet):
    """For every length of the section that a caliper, a rod or a radius gauge reads."""
    found = jaws(sheet, outline(sheet))
    read = [key for key in movable(sheet) if found[key].hold is not Hold.PLACE]
    assert len(read) >= 15
    for key in read:
        assert found[key].apart == pytest.approx(abs(getattr(sheet, key)), abs=0.021), key


def test_every_number_of_the_section_can_be_pointed_out(sheet):
    """Angles and differences too."""
    keys = {*movable(sheet), "well_slope_deg", "bead_seat_diameter_mm", "erd_mm"}
    assert keys <= jaws(sheet, outline(sheet)).keys()


def test_the_jaws_of_a_wall_hold_metal_between_two_faces(sheet):
    """All the way across, and no more."""
    drawn = outline(sheet)
    metal, found = polygon(drawn), jaws(sheet, drawn)
    for wall in sheet.walls:
        grip = found[wall.key_mm]
        line = LineString([grip.start, grip.end])
        assert line.intersection(metal).length == pytest.approx(line.length, abs=1e-3), wall
        for end in (grip.start, grip.end):
            assert metal.exterior.distance(Point(end)) < 0.01 or any(
                hole.distance(Point(end)) < 0.01 for hole in metal.interiors
            )


def test_widths_inside_lie_in_the_open(sheet):
    """Nothing but air between inside jaws."""
    drawn = outline(sheet)
    metal, found = polygon(drawn), jaws(sheet, drawn)
    for key in ("inner_width_mm", "tyre_well_width_mm", "hook_height_mm", "tyre_well_depth_mm"):
        if key in found:
            line = LineString([found[key].start, found[key].end])
            assert line.intersection(metal).length < 0.02 * line.length, key


def test_the_faces_that_depth_jaws_reach_are_the_highest_and_the_lowest(sheet):
    """The crown and the innermost face."""
    drawn = outline(sheet)
    _, low, _, high = polygon(drawn).bounds
    grip = jaws(sheet, drawn)["overall_depth_mm"]
    assert sorted([grip.start[1], grip.end[1]]) == pytest.approx([low, high], abs=1e-3)
    assert grip.touches is not None
    for touched in grip.touches:
        assert polygon(drawn).distance(Point(touched)) < 1.0


@pytest.mark.parametrize("family", DRAWN, ids=str)
def test_a_number_that_was_left_out_is_pointed_out_as_well(family, sheet_of):
    """So that a builder sees where to hold a caliper before there is a number: every length of the
    section that the family may have, within the room that the section takes.
    """
    sheet = sheet_of(family)
    drawn = outline(sheet)
    found = jaws(sheet, drawn)
    able = [key for key, item in BY_KEY.items() if item.unit in ("mm", "deg")]
    assert {key for key in able if BY_KEY[key].used_by(family)} <= found.keys()
    left, low, right, high = polygon(drawn).bounds
    for key, each in found.items():
        for x, y in (each.start, each.end):
            assert left - 2 < x < right + 2, key
            assert low - 2 < y < high + 2, key
    assert jaws(sheet, drawn, "web_mm").keys() <= {"web_mm"}
