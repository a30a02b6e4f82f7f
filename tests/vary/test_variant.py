"""Variants of a rim on its moved mesh: the same answers, without the noise of meshing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimfea.elastic.harmonics import ONE_DENSE_THREAD
from rimfea.errors import OutlineError, SheetError
from rimfea.files.sheet_toml import read_sheet
from rimfea.geometry.outline import Outline
from rimfea.mesh.move import feet
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.moved import moved
from rimfea.profile.walls import Wall
from rimfea.study.analysis import inspect
from rimfea.study.cases import Loading, standard_cases, usual_lacing
from rimfea.study.ring_answers import built_ring, ring_answers
from rimfea.vary.variant import Variants
from tests.often import few

FILES = sorted((Path(__file__).parents[2] / "profiles").glob("*.toml"))
COARSE = 1.6
LONG_PATCH = Loading(patch_mm=40.0)  # few harmonics are quick
MESH_NOISE = 0.02
OTHER_EDGES = "edges of the outline came or went"


@ONE_DENSE_THREAD
def loads_at_yield(analysis):
    """The strike on one hook (N) at which each wall first yields, the governing one in front."""
    sheet = analysis.sheet
    cases = standard_cases(sheet, LONG_PATCH)[:1]
    ring = built_ring(sheet, analysis.mesh, LONG_PATCH, usual_lacing(sheet, LONG_PATCH), cases)
    (answer,) = ring_answers(sheet, analysis.cuts, ring, cases)
    return {each.wall: answer.load_at(each.first_yield) for each in answer.verdict.walls}


LEANING = {"sidewall_foot_mm": 1.7, "lip_taper_mm": 0.3, "crown_slope_deg": 8.0}


@pytest.mark.parametrize(
    "changes",
    [LEANING, {"crown_radius_mm": 1.3}, {"bead_ridge_mm": 0.4, "spoke_bed_offset_mm": -2.0}],
    ids=["leaning", "round all over", "ridge and offset"],
)
def test_the_mesh_of_a_rim_that_leans_or_is_round_follows_every_number(sheet_of, changes):
    sheet = sheet_of(**changes)
    variants = Variants(inspect(sheet, coarseness=COARSE), COARSE)
    for key in {*changes, "hook_lip_mm", "sidewall_mm", "bead_hook_mm"} - {"crown_slope_deg"}:
        for by in (-0.01, 0.01):
            assert variants.inspect(moved(sheet, {key: by})).remeshed == "", key


def least_load(analysis):
    return next(iter(loads_at_yield(analysis).values()))


@pytest.fixture(scope="module", params=DRAWN)
def base(request, sheet_of):
    return inspect(sheet_of(request.param), coarseness=COARSE)


@pytest.fixture(scope="module")
def hooked(sheet_of):
    return inspect(sheet_of(), coarseness=COARSE)


def test_the_base_is_its_own_variant(base):
    same = Variants(base, COARSE).inspect(base.sheet)
    assert same.remeshed == ""
    assert same.analysis.hoop == base.hoop
    assert same.analysis.section == base.section
    for mine, its in [("mesh", "nodes"), ("cuts", "start"), ("cuts", "end"), ("cuts", "length")]:
        found, expected = (getattr(getattr(each, mine), its) for each in (same.analysis, base))
        np.testing.assert_array_equal(found, expected)


def test_section_and_mass_are_those_of_a_fresh_mesh(base):
    sheet = base.sheet.varied(sidewall_mm=1.6, tyre_well_mm=1.35)
    moved, fresh = Variants(base, COARSE).inspect(sheet), inspect(sheet, coarseness=COARSE)
    assert moved.remeshed == ""
    assert moved.analysis.sheet is sheet
    assert moved.analysis.mesh.triangles is base.mesh.triangles
    assert moved.analysis.hoop.mass_g == pytest.approx(fresh.hoop.mass_g, rel=1e-12)
    section, expected = moved.analysis.section, fresh.section
    assert section.area_mm2 == pytest.approx(expected.area_mm2, rel=1e-12)
    assert section.torsion_constant_mm4 == pytest.approx(expected.torsion_constant_mm4, rel=2e-3)


@pytest.mark.long
def test_a_moved_rim_yields_at_the_load_of_a_fresh_one_and_gains_as_much(base):
    sheet = base.sheet.varied(sidewall_mm=1.6)
    rims = (base, Variants(base, COARSE).inspect(sheet).analysis, inspect(sheet, coarseness=COARSE))
    before, moved, fresh = (loads_at_yield(rim) for rim in rims)
    for wall in list(fresh)[:2]:
        assert moved[wall] == pytest.approx(fresh[wall], rel=MESH_NOISE)
    gains = [after[Wall.HOOK_LIP] - before[Wall.HOOK_LIP] for after in (moved, fresh)]
    assert gains[0] == pytest.approx(gains[1], rel=0.05)


def test_cuts_follow_the_faces_and_read_the_new_thickness(base):
    sheet = base.sheet.varied(sidewall_mm=1.6)
    moved = Variants(base, COARSE).inspect(sheet).analysis
    across = moved.cuts
    assert len(across.start) == len(base.cuts.start)
    np.testing.assert_array_equal(across.wall, base.cuts.wall)
    for ends in (across.start, across.end):
        assert feet(moved.outline, ends).beside.max() < 2e-3  # chords end on arcs cut at 3°
    sidewall = across.wall == across.names.index(Wall.SIDEWALL)
    assert across.length[sidewall].min() == pytest.approx(1.6, abs=0.01)
    level = sidewall & (np.abs(base.cuts.start - base.cuts.end)[:, 1] < 1e-9)
    assert level.sum() >= 4
    np.testing.assert_allclose(across.start[level, 1], across.end[level, 1], atol=1e-6)
    np.testing.assert_allclose(across.along(moved.mesh.nodes), _gauss_points(across), atol=1e-9)


def _gauss_points(across):
    s = np.polynomial.legendre.leggauss(8)[0]
    middle, half = (across.start + across.end) / 2, (across.end - across.start) / 2
    return (middle[:, None] + s[:, None] * half[:, None]).reshape(-1, 2)


@pytest.mark.long
def test_a_sweep_has_no_noise_of_meshing(sheet_of):
    sheet = sheet_of(Family.SINGLE, washer_mm=12)
    variants = Variants(inspect(sheet, coarseness=COARSE), COARSE)
    sheets = [sheet.varied(sidewall_mm=t) for t in np.linspace(1.3, 1.7, 9).tolist()]
    found = [variants.inspect(each) for each in sheets]
    assert {each.remeshed for each in found} == {""}
    moved = np.array([least_load(each.analysis) for each in found])
    fresh = np.array([least_load(inspect(each, coarseness=COARSE)) for each in sheets])
    smooth, rough = (np.abs(np.diff(loads, 2)).max() for loads in (moved, fresh))
    print(f"second differences of {np.ptp(moved):.0f} N: {smooth:.2f} moved, {rough:.2f} remeshed")
    np.testing.assert_allclose(moved, fresh, rtol=MESH_NOISE)
    assert smooth < 0.05 * np.ptp(moved)
    assert smooth < rough


def test_a_gross_change_is_meshed_anew_and_says_why(hooked):
    sheet = hooked.sheet.varied(sidewall_mm=2.2)
    found = Variants(hooked, COARSE).inspect(sheet)
    assert "smallest angle" in found.remeshed
    np.testing.assert_array_equal(
        found.analysis.mesh.nodes, inspect(sheet, coarseness=COARSE).mesh.nodes
    )


def test_a_pad_that_appears_is_meshed_anew_and_says_why(hooked):
    found = Variants(hooked, COARSE).inspect(hooked.sheet.varied(spoke_bed_mm=2.7))
    assert found.remeshed == OTHER_EDGES


def test_a_section_that_was_not_drawn_from_its_sheet_is_refused(hooked):
    outline = hooked.outline
    wider = replace(outline.outer, corners=outline.outer.corners * np.array([1.001, 1.0]))
    for other in (Outline(wider, outline.holes), Outline(outline.outer)):
        with pytest.raises(OutlineError, match="not drawn from its sheet"):
            Variants(replace(hooked, outline=other), COARSE)


@pytest.mark.parametrize("path", few(FILES, 2), ids=lambda path: path.stem)
def test_every_wall_of_every_rim_can_change_by_a_tenth(path):
    base = inspect(read_sheet(path), coarseness=COARSE)
    variants = Variants(base, COARSE)
    for wall in base.sheet.walls:
        for step in (-0.1, 0.1):
            try:
                sheet = base.sheet.varied(**{wall.key_mm: base.sheet.thickness(wall) + step})
            except SheetError:
                continue  # a seat is no thinner than its bed
            pad = bool(sheet.seat_step_mm) != bool(base.sheet.seat_step_mm)
            assert variants.inspect(sheet).remeshed == (OTHER_EDGES if pad else "")
