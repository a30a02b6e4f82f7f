"""Tones of a bare rim: holes and joint, and rims a little different."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimfea.elastic.modes import Kind, Mode
from rimfea.errors import MeshError
from rimfea.files.sheet_toml import read_sheet
from rimfea.mesh.move import Mover
from rimfea.profile.build import outline
from rimfea.profile.moved import moved
from rimfea.study.analysis import inspect, whole
from rimfea.study.tones import GRAM_PER_TONNE, held, ringing, tones

PROFILES = Path(__file__).parents[2] / "profiles"
WAVES = (2, 3)


@pytest.fixture(scope="module")
def rung(looked):
    return ringing(looked, WAVES)


def of(looked, rung, **changes):
    """Tones with other numbers of the sheet that leave the section as it is."""
    return tones(looked.sheet.varied(**changes), looked.mesh, rung.modes, rung.drilled)


def test_the_lowest_tone_comes_first_and_each_is_that_of_its_mode(looked, rung):
    assert (np.diff(rung.hertz) > 0).all()
    assert {(mode.waves, mode.kind) for mode in rung.modes} == {
        (n, kind) for n in WAVES for kind in Kind
    }
    np.testing.assert_allclose(of(looked, rung), rung.hertz)


@pytest.mark.parametrize(
    "changes", [{}, {"joint_mass_g": 30.0}, {"spoke_count": 36, "spoke_hole_mm": 5.0}]
)
def test_what_moves_is_what_the_hoop_weighs(looked, rung, changes):
    """A rim that moves sideways as a whole, as its cos nθ: half its mass."""
    sheet = looked.sheet.varied(**changes)
    shift = np.zeros((len(looked.mesh.nodes), 3))
    shift[:, 0] = 1.0
    _, moving = held(sheet, looked.mesh, [Mode(2, Kind.SIDEWAYS, shift)], rung.drilled)
    weight = whole(sheet, looked.section).mass_g
    assert 2 * np.pi * GRAM_PER_TONNE * moving[0] == pytest.approx(weight, rel=1e-4)


def test_what_is_in_the_joint_lowers_every_tone_by_half_its_share_of_the_mass(looked, rung):
    light, heavy = (of(looked, rung, joint_mass_g=mass) for mass in (0.0, 10.0))
    bare = whole(looked.sheet.varied(joint_mass_g=0), looked.section).mass_g
    np.testing.assert_allclose(heavy / light, 1 - 5 / bare, rtol=5e-4)


def test_spoke_holes_soften_the_bed_that_they_are_in(looked, rung):
    """In the plane the bed bends with the rim; to the side it lies in the middle."""
    change = of(looked, rung, spoke_hole_mm=5.0) / of(looked, rung, spoke_hole_mm=3.0) - 1
    by_kind = {
        mode.kind: by for mode, by in zip(rung.modes, change, strict=True) if mode.waves == 2
    }
    assert -0.02 < by_kind[Kind.IN_PLANE] < -0.003
    assert abs(by_kind[Kind.SIDEWAYS]) < 0.3 * abs(by_kind[Kind.IN_PLANE])


def test_a_coarse_mesh_will_do(looked, rung):
    finer = ringing(inspect(looked.sheet, coarseness=0.8), WAVES)
    np.testing.assert_allclose(rung.hertz, finer.hertz, rtol=5e-4)


def test_forms_of_one_rim_tell_the_tones_of_another_close_by(looked, rung):
    """As the moved mesh solved anew has them, up and down: what the kept forms miss is even."""
    mover, key, step, tiny = Mover(looked.outline, looked.mesh), "flank_mm", 0.02, 1e-6

    def near(by):
        sheet = moved(looked.sheet, {key: by})
        return sheet, mover.moved(outline(sheet))

    kept = [tones(*near(by), rung.modes, rung.drilled) for by in (tiny, -tiny)]
    solved = [
        ringing(replace(looked, sheet=sheet, mesh=mesh), WAVES).hertz
        for sheet, mesh in (near(step), near(-step))
    ]
    slopes = (kept[0] - kept[1]) / (2 * tiny), (solved[0] - solved[1]) / (2 * step)
    np.testing.assert_allclose(*slopes, rtol=0.01, atol=0.02 * np.abs(slopes[1]).max())


def test_a_mesh_with_nothing_where_holes_are_is_refused(looked):
    far = looked.mesh.nodes + np.array([50.0, 0.0])
    aside = replace(looked, mesh=replace(looked.mesh, nodes=far))
    with pytest.raises(MeshError, match="mesh it finer"):
        ringing(aside, WAVES)


def test_a_demo_rim_rings_as_a_builder_hears_rims():
    """Curlew: 129 Hz from the side and 151 in its plane, by its mean line 1.4 % higher."""
    curlew = inspect(read_sheet(PROFILES / "curlew.toml"), coarseness=2.2)
    rung, hoop = ringing(curlew, (2,)), curlew.hoop
    side, plane = rung.hertz
    assert side == pytest.approx(129.2, abs=0.3)
    assert plane == pytest.approx(151.4, abs=0.3)
    radius = curlew.sheet.seat_radius_mm + curlew.section.centroid_mm[1]
    mass = hoop.mass_g / GRAM_PER_TONNE
    thin = 2.683282 * np.sqrt(hoop.bending_stiffness_radial_N_mm2 / (2 * np.pi * radius**3 * mass))
    assert 1.01 < thin / plane < 1.03
