"""A wall of a traced section is as thick as its sheet says: one face of it has moved."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.errors import SheetError
from rimfea.geometry.chords import chords
from rimfea.geometry.outline import moments
from rimfea.geometry.ring import normals_at, points_at
from rimfea.profile.build import outline
from rimfea.profile.families import Family
from rimfea.profile.moved import dimensions
from rimfea.profile.sheet import Sheet
from rimfea.profile.trace import Trace
from rimfea.profile.walls import Wall
from rimfea.traced.as_traced import trace_of
from rimfea.traced.like import with_ramps
from rimfea.traced.measure import measure
from tests.often import few

STEP = 0.12


def traced(sheet):
    """The sheet of the same section as it would come from outside."""
    own = {"name": "dunlin", "bead_seat_diameter_mm": 622, "family": Family.TRACED}
    return Sheet({**own, "section": trace_of(with_ramps(outline(sheet)))})


def test_a_traced_section_is_drawn_as_it_is(sheet_of):
    drawn, kept = (moments(outline(each)) for each in (sheet_of(), traced(sheet_of())))
    np.testing.assert_allclose(kept, drawn, rtol=1e-8, atol=1e-6)


@pytest.mark.parametrize("family", few([Family.HOOKED, Family.HOOKLESS, Family.SINGLE]))
def test_each_wall_and_no_other_gets_thicker(sheet_of, family):
    sheet = traced(sheet_of(family))
    before = measure(outline(sheet))
    for wall in sheet.walls:
        if wall is Wall.NIPPLE_SEAT:  # here it is one wall with the spoke bed
            continue
        thicker = sheet.varied(**{wall.key_mm: sheet.thickness(wall) + STEP})
        after = measure(outline(thicker))
        print(family, wall, after[wall.key_mm] - before[wall.key_mm])
        assert after[wall.key_mm] - before[wall.key_mm] == pytest.approx(STEP, abs=2e-3)
        # A lip, hook and sidewall are one body, and a flank stands on its neighbours' ends.
        others = [each for each in sheet.walls if each.key_mm in after and each is not wall]
        moved = [abs(after[each.key_mm] - before[each.key_mm]) for each in others]
        assert np.median(moved) < 1e-6


def test_the_area_grows_by_the_moved_faces(sheet_of):
    """Shell theorem to the first order: dA = ∫ δ ds, over a face in a smooth run."""
    sheet = traced(sheet_of())
    hole = outline(sheet).holes[0]
    flank = np.array([label == Wall.FLANK for label in hole.labels])
    length = np.linalg.norm(np.roll(hole.corners, -1, axis=0) - hole.corners, axis=1)
    grown = moments(outline(sheet.varied(flank_mm=sheet.flank_mm + 0.01)))[0]
    expected = 0.01 * length[flank & (hole.bulge == 0)].sum()
    assert grown - moments(outline(sheet))[0] == pytest.approx(expected, rel=0.15)


def test_left_and_right_move_alike(sheet_of):
    sheet = traced(sheet_of())
    moved = outline(sheet.varied(sidewall_mm=1.8, tyre_well_mm=1.0))
    for ring in moved.rings:
        gap = np.linalg.norm(ring.corners[:, None] - ring.corners * [-1, 1], axis=2)
        assert gap.min(axis=1).max() < 1e-9


def test_a_web_grows_to_both_sides(sheet_of):
    sheet = traced(sheet_of(overall_depth_mm=30, web_mm=1.0))
    thicker = outline(sheet.varied(web_mm=1.2))
    found = chords(thicker, 0.25)
    web = found.of(Wall.WEB) & (found.lean < 0.01)
    assert np.median(found.lengths[web]) == pytest.approx(1.2, abs=1e-4)
    middle = (found.start[web, 1] + found.end[web, 1]) / 2
    before = chords(outline(sheet), 0.25)
    same = before.of(Wall.WEB) & (before.lean < 0.01)
    assert np.median(middle) == pytest.approx(
        np.median((before.start[same, 1] + before.end[same, 1]) / 2)
    )


def test_only_walls_can_be_changed_and_a_wall_that_fills_its_chamber_is_refused(sheet_of):
    sheet = traced(sheet_of())
    assert set(dimensions(sheet)) == {wall.key_mm for wall in sheet.walls} - {"spoke_bed_mm"}
    with pytest.raises(SheetError, match=r"inner_width_mm.* must be left out for a traced"):
        sheet.varied(inner_width_mm=24)
    with pytest.raises(SheetError, match="do not close to a section"):
        outline(sheet.varied(tyre_well_mm=6.0, nipple_seat_mm=9.0, spoke_bed_mm=9.0))


def test_a_family_without_a_section_and_a_section_of_another_family_are_told(sheet_of):
    own = {"name": "dunlin", "bead_seat_diameter_mm": 622}
    with pytest.raises(SheetError, match=r"section: is missing"):
        Sheet({**own, "family": "traced section"})
    section = trace_of(outline(sheet_of()))
    assert Sheet({**own, "section": section}).family is Family.TRACED
    with pytest.raises(SheetError, match=r"section.* must be left out for a single wall rim"):
        Sheet({**own, "section": section, "family": "single wall"})


def test_traces_are_told_apart_by_their_outline(sheet_of):
    one, other = (trace_of(outline(sheet_of())) for _ in range(2))
    assert one == other
    assert isinstance(one, Trace)
    assert trace_of(outline(sheet_of(sidewall_mm=1.6))) != one
    assert traced(sheet_of()) == traced(sheet_of())


def test_every_face_moves_out_of_the_metal(sheet_of):
    """Between the old and the new face lies metal: the normals agree with the step."""
    sheet = traced(sheet_of())
    old, new = outline(sheet).outer, outline(sheet.varied(sidewall_mm=1.8)).outer
    k = np.arange(len(old.labels))
    half = np.full(len(k), 0.5)
    gone = points_at(new, k, half) - points_at(old, k, half)
    out = (gone * normals_at(old, k, half)).sum(axis=1)
    assert out.max() == pytest.approx(
        sheet.varied(sidewall_mm=1.8).sidewall_mm - sheet.sidewall_mm, abs=1e-3
    )
    assert out.min() > -1e-9
