"""Plane moments, principal axes, and what moving or turning a section must not change."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimfea.geometry.outline import Outline, from_rings
from rimfea.geometry.ring import Ring
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline
from rimfea.section.properties import section_properties

# An angle with one rounded corner: no axis of symmetry, one arc.
ANGLE = Outline(
    rounded(
        [
            Corner(0, 0, "leg", 1.5),
            Corner(9, 0, "leg"),
            Corner(9, 2, "leg"),
            Corner(1.5, 2, "leg", 1.0),
            Corner(1.5, 6, "leg"),
            Corner(0, 6, "leg"),
        ]
    )
)
MESH = mesh_outline(ANGLE)
PLAIN = section_properties(ANGLE, MESH)
few_millimetres = st.floats(-400, 400)
any_turn = st.floats(-np.pi, np.pi)


def placed(turn=0.0, shift=(0.0, 0.0)):
    """The angle section, turned about the origin and then shifted, on the same triangles."""
    c, s = np.cos(turn), np.sin(turn)
    by = np.array([[c, -s], [s, c]])
    rings = [replace(ring, corners=ring.corners @ by.T + shift) for ring in ANGLE.rings]
    mesh = replace(MESH, nodes=MESH.nodes @ by.T + shift)
    return section_properties(Outline(rings[0], tuple(rings[1:])), mesh), by


def section_of(outline):
    return section_properties(outline, mesh_outline(outline))


def test_moments_are_taken_about_the_centroid_and_named_for_the_way_the_hoop_bends():
    section = section_of(from_rings([(50, 20), (54, 20), (54, 21), (50, 21)]))
    assert section.centroid_mm == pytest.approx((52.0, 20.5), rel=1e-14)
    assert section.second_moment_radial_mm4 == pytest.approx(4 * 1**3 / 12, rel=1e-12)
    assert section.second_moment_lateral_mm4 == pytest.approx(1 * 4**3 / 12, rel=1e-12)
    assert section.product_moment_mm4 == pytest.approx(0.0, abs=1e-13)


def test_third_moment_of_a_triangle_is_that_of_the_integral_about_its_centroid():
    b, h = 3.0, 2.0  # ∫ (y − h/3)³ b (1 − y/h) dy from 0 to h
    section = section_of(from_rings([(7, 5), (7 + b, 5), (7, 5 + h)]))
    assert section.third_moment_radial_mm5 == pytest.approx(b * h**4 / 270, rel=1e-10)


def test_third_moment_of_a_half_disc_is_exact_on_its_arc():
    r = 2.0
    half = Outline(Ring(np.array([[-r, 0], [r, 0.0]]), np.array([0.0, 1.0]), ("cut", "round")))
    c = 4 * r / (3 * np.pi)
    about_cut = np.array([np.pi * r**2 / 2, 2 * r**3 / 3, np.pi * r**4 / 8, 4 * r**5 / 15])
    expected = about_cut @ [-(c**3), 3 * c**2, -3 * c, 1]
    section = section_properties(half, mesh_outline(half, coarseness=0.2))
    assert section.third_moment_radial_mm5 == pytest.approx(expected, rel=1e-11)


def test_a_hole_takes_its_moments_away():
    square = [(-3, -3), (3, -3), (3, 3), (-3, 3)]
    hollow = section_of(from_rings(square, [[(-2, -1), (2, -1), (2, 1), (-2, 1)]]))
    assert hollow.area_mm2 == pytest.approx(36 - 8, rel=1e-12)
    assert hollow.second_moment_radial_mm4 == pytest.approx(108 - 4 * 2**3 / 12, rel=1e-12)
    assert hollow.second_moment_lateral_mm4 == pytest.approx(108 - 2 * 4**3 / 12, rel=1e-12)


@pytest.mark.parametrize("size", [(4, 1), (1, 4)])
def test_a_symmetrical_section_leans_by_nothing_whichever_way_it_is_stiffer(size):
    a, b = size
    section = section_of(from_rings([(0, 0), (a, 0), (a, b), (0, b)]))
    assert section.principal_angle == pytest.approx(0.0, abs=1e-12)
    assert section.principal_moments_mm4 == pytest.approx((a * b**3 / 12, b * a**3 / 12))


@pytest.mark.parametrize("first", [0.0, np.pi / 2])
def test_a_section_turned_back_by_its_lean_stands_on_its_principal_axes(first):
    before, _ = placed(first)
    after, _ = placed(first - before.principal_angle)
    moments = (after.second_moment_radial_mm4, after.second_moment_lateral_mm4)
    assert abs(before.principal_angle) > 0.05
    assert after.product_moment_mm4 == pytest.approx(0.0, abs=1e-10 * moments[0])
    assert moments == pytest.approx(before.principal_moments_mm4, rel=1e-12)


@settings(deadline=None, max_examples=20)
@given(few_millimetres, few_millimetres)
def test_moving_a_section_moves_its_centroid_and_shear_centre_and_nothing_else(x, y):
    section, _ = placed(shift=(x, y))
    shift = np.array([x, y])
    np.testing.assert_allclose(section.centroid_mm, PLAIN.centroid_mm + shift, atol=1e-9)
    np.testing.assert_allclose(section.shear_centre_mm, PLAIN.shear_centre_mm + shift, atol=1e-8)
    for name in (
        "area_mm2",
        "second_moment_radial_mm4",
        "second_moment_lateral_mm4",
        "product_moment_mm4",
        "third_moment_radial_mm5",
        "torsion_constant_mm4",
        "warping_constant_mm6",
    ):
        assert getattr(section, name) == pytest.approx(getattr(PLAIN, name), rel=1e-8), name


@settings(deadline=None, max_examples=20)
@given(any_turn)
def test_turning_a_section_turns_its_axes_and_centres_and_leaves_its_invariants(turn):
    section, by = placed(turn)
    lean = section.principal_angle - PLAIN.principal_angle - turn  # a multiple of a quarter turn
    assert np.sin(2 * lean) == pytest.approx(0.0, abs=1e-9)
    assert abs(section.principal_angle) <= np.pi / 4 + 1e-12
    np.testing.assert_allclose(
        sorted(section.principal_moments_mm4), sorted(PLAIN.principal_moments_mm4), rtol=1e-10
    )
    np.testing.assert_allclose(section.shear_centre_mm, by @ PLAIN.shear_centre_mm, atol=1e-9)
    assert section.torsion_constant_mm4 == pytest.approx(PLAIN.torsion_constant_mm4, rel=1e-10)
    assert section.warping_constant_mm6 == pytest.approx(PLAIN.warping_constant_mm6, rel=1e-9)


def test_mirroring_a_section_mirrors_its_shear_centre():
    mirrored = Outline(
        replace(ANGLE.outer, corners=ANGLE.outer.corners * [-1, 1], bulge=-ANGLE.outer.bulge)
    )
    nodes = MESH.nodes * [-1, 1]
    turned_over = MESH.triangles[:, [0, 2, 1, 5, 4, 3]]
    section = section_properties(mirrored, replace(MESH, nodes=nodes, triangles=turned_over))
    x, y = PLAIN.shear_centre_mm
    assert section.shear_centre_mm == pytest.approx((-x, y), abs=1e-9)
    assert section.principal_angle == pytest.approx(-PLAIN.principal_angle, abs=1e-12)
