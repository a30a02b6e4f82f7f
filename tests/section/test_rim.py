"""A section as a hoop: mass, inertia, stiffness, and the scales."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.alloys import alloy
from rimfea.fem.elements import elements
from rimfea.geometry.outline import from_rings
from rimfea.mesh.build import mesh_outline
from rimfea.section.properties import section_properties
from rimfea.section.rim import MassDifference, SpokeHoles, hoop, mass_difference

METAL = alloy("6061-T6")
LOPSIDED = from_rings(
    [(-12, -8), (9, -10), (13, 4), (2, 1), (-11, 6)], [[(-8, -5), (6, -7), (8, -2), (-7, 0)]]
)
MESH = mesh_outline(LOPSIDED)
SECTION = section_properties(LOPSIDED, MESH)
SEAT_RADIUS = 311.0


def integral_of_radius(power):
    """2π ∫ r^power dA over the triangles, r from the axle."""
    el = elements(MESH.nodes, MESH.triangles)
    return 2 * np.pi * float((el.w * (SEAT_RADIUS + el.points[..., 1]) ** power).sum())


def test_mass_is_the_density_times_the_swept_volume_in_grams():
    expected_g = 2.7e-3 * integral_of_radius(1)  # 2700 kg/m³ is 2.7 mg/mm³
    assert hoop(SECTION, METAL, SEAT_RADIUS).mass_g == pytest.approx(expected_g, rel=1e-12)


def test_polar_inertia_is_the_density_times_the_cube_of_the_radius_in_kg_m2():
    expected = 2700 * integral_of_radius(3) * 1e-15  # mm⁵ to m⁵
    found = hoop(SECTION, METAL, SEAT_RADIUS).polar_inertia_kg_m2
    assert found == pytest.approx(expected, rel=1e-13)


def test_each_term_of_the_polar_inertia_counts_on_a_small_hoop():
    # At the radius of a full-size wheel the third moment is only a millionth of the whole.
    el = elements(MESH.nodes, MESH.triangles)
    expected = 2 * np.pi * float((el.w * (12.0 + el.points[..., 1]) ** 3).sum()) * 2700e-15
    assert hoop(SECTION, METAL, 12.0).polar_inertia_kg_m2 == pytest.approx(expected, rel=1e-12)


def test_spoke_holes_take_their_metal_off_at_the_spoke_bed():
    holes = SpokeHoles(count=32, diameter_mm=4.5, bed_thickness_mm=2.0, bed_middle_mm=-9.0)
    whole, drilled = hoop(SECTION, METAL, SEAT_RADIUS), hoop(SECTION, METAL, SEAT_RADIUS, holes)
    gone_g = 32 * np.pi * 2.25**2 * 2.0 * 2.7e-3
    assert whole.mass_g - drilled.mass_g == pytest.approx(gone_g, rel=1e-10)
    less = whole.polar_inertia_kg_m2 - drilled.polar_inertia_kg_m2
    assert less == pytest.approx(gone_g * 1e-3 * 0.302**2, rel=1e-9)
    assert drilled.torsional_stiffness_N_mm2 == whole.torsional_stiffness_N_mm2


def test_what_is_in_the_joint_weighs_along_at_the_radius_of_the_section():
    plain, joined = (hoop(SECTION, METAL, SEAT_RADIUS, joint_g=joint) for joint in (0.0, 12.0))
    assert joined.mass_g - plain.mass_g == pytest.approx(12, rel=1e-9)
    assert (plain.joint_g, joined.joint_g) == (0, 12)
    radius = (SEAT_RADIUS + SECTION.centroid_mm[1]) * 1e-3
    more = joined.polar_inertia_kg_m2 - plain.polar_inertia_kg_m2
    assert more == pytest.approx(0.012 * radius**2, rel=1e-9)
    assert joined.torsional_stiffness_N_mm2 == plain.torsional_stiffness_N_mm2


def test_stiffness_is_youngs_modulus_or_shear_modulus_times_the_sections_own_moment():
    made = hoop(SECTION, METAL, SEAT_RADIUS)
    radial = 70_000 * SECTION.second_moment_radial_mm4
    lateral = 70_000 * SECTION.second_moment_lateral_mm4
    assert made.bending_stiffness_radial_N_mm2 == pytest.approx(radial, rel=1e-14)
    assert made.bending_stiffness_lateral_N_mm2 == pytest.approx(lateral, rel=1e-14)
    twist = 70_000 / 2.6 * SECTION.torsion_constant_mm4
    assert made.torsional_stiffness_N_mm2 == pytest.approx(twist, rel=1e-14)


def test_a_hoop_heavier_than_the_scales_say_differs_by_a_positive_share_of_the_weighed_mass():
    made = hoop(SECTION, METAL, SEAT_RADIUS)
    difference = mass_difference(made, made.mass_g / 1.04)
    assert difference.computed_g == made.mass_g
    assert difference.percent == pytest.approx(4.0, rel=1e-10)
    assert MassDifference(520.0, 500.0).absolute_g == pytest.approx(20.0)
    assert MassDifference(480.0, 500.0).percent == pytest.approx(-4.0)
