"""A little more metal at one wall."""

from __future__ import annotations

import pytest

from rimfea.ask.thicker import stronger, thicker
from rimfea.errors import OutlineError, SheetError
from rimfea.geometry.outline import from_rings
from rimfea.geometry.ring import cut_every, subdivided
from rimfea.study.analysis import analyse
from rimfea.study.ride import ride
from rimfea.study.setup import End, Setup
from rimfea.traced.label import named

COARSE = 2.0
MOOR = Setup.from_values({"name": "moor"})


@pytest.fixture(scope="module")
def ridden(whimbrel):
    return ride(whimbrel, MOOR, End.REAR)


def test_a_thicker_wall_costs_mass_and_leaves_the_rest_of_the_sheet(ridden):
    before, after = ridden.analysis, thicker(ridden, "sidewall").analysis
    assert after.sheet.sidewall_mm == round(before.sheet.sidewall_mm + 0.1, 9)
    assert 0 < after.hoop.mass_g - before.hoop.mass_g < 20
    assert after.mesh.triangles is before.mesh.triangles
    assert after.governing.verdict.governing.first_yield > 0


def test_the_governing_wall_is_thickened_where_that_can_be(ridden):
    wall = ridden.analysis.governing.verdict.governing.wall
    found, was = stronger([ridden]).analysis.sheet, ridden.analysis.sheet
    assert found.thickness(wall) == round(was.thickness(wall) + 0.1, 9)
    assert stronger([]) is None


def test_a_wall_that_clashes_is_a_fault_and_no_wall_is_refused(ridden):
    with pytest.raises(SheetError):
        thicker(ridden, "bead hook", step_mm=5.0)
    with pytest.raises(ValueError, match="wing"):
        thicker(ridden, "wing")


@pytest.mark.long
def test_a_traced_section_is_not_held_against_the_rim_of_its_sheet(whimbrel):
    sheet = whimbrel.sheet
    points = [
        subdivided(ring, cut_every(ring, sweep=0.1))[0].corners.tolist()
        for ring in whimbrel.outline.rings
    ]
    traced = named(
        from_rings(points[0], points[1:]),
        spoke_hole_mm=sheet.spoke_hole_mm,
        bearing_mm=sheet.bearing_diameter_mm,
    )
    ridden = ride(analyse(sheet, outline=traced, coarseness=COARSE), MOOR, End.REAR)
    with pytest.raises(OutlineError, match="not drawn from its sheet"):
        thicker(ridden, "sidewall")
    assert stronger([ridden]) is None
