"""Section properties against closed solutions, textbook tables and measured rims."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.alloys import alloy
from rimfea.geometry.outline import Outline, from_rings
from rimfea.geometry.ring import Ring
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline
from rimfea.section.properties import section_properties
from rimfea.section.rim import hoop
from rimfea.section.torsion import torsion

GOODIER = "Timoshenko & Goodier, Theory of Elasticity, 3rd ed."
MEMORY = "(citation from memory)"
GERE = f"Gere & Timoshenko, Mechanics of Materials, app. D {MEMORY}"
BREDT = f"Bredt, thin closed cell, 1896 {MEMORY}"
THIN_ARC = f"Roark, Formulas for Stress and Strain, Table 10.2 {MEMORY}"
CHANNEL = f"Gere & Timoshenko, Mechanics of Materials, ch. 6 {MEMORY}"
WARPING = f"Vlasov, Thin-Walled Elastic Beams, 1961 {MEMORY}"
THESIS = "PhD thesis, Northwestern University 2018, appendix of wheel properties"


def box(width, height, x=0.0, y=0.0):
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]


def disc(radius, x=0.0, y=0.0):
    ends = np.array([[x - radius, y], [x + radius, y]])
    return Ring(ends, np.ones(2), ("face", "face"))


def section_of(outline, **how):
    return section_properties(outline, mesh_outline(outline, **how))


def open_arc(radius, thickness, half_angle):
    """A strip bent round the origin, symmetrical about +x, of two arcs a face."""
    angle = np.array([-half_angle, 0.0, half_angle])
    way = np.column_stack([np.cos(angle), np.sin(angle)])
    corners = np.vstack([(radius + thickness / 2) * way, (radius - thickness / 2) * way[::-1]])
    b = np.tan(half_angle / 4)
    return Outline(Ring(corners, np.array([b, b, 0.0, -b, -b, 0.0]), ("strip",) * 6))


def channel(flange, web, t):
    """Flanges to +x, lengths along the mid-lines, the web's mid-line on x = 0."""
    h, out, inside = t / 2, web / 2 + t / 2, web / 2 - t / 2
    return from_rings(
        [
            (-h, -out),
            (flange, -out),
            (flange, -inside),
            (h, -inside),
            (h, inside),
            (flange, inside),
            (flange, out),
            (-h, out),
        ]
    )


@pytest.mark.parametrize(
    ("ratio", "k1"),
    [
        (1.0, 0.140577),
        (1.2, 0.166119),
        (1.5, 0.195761),
        (2.0, 0.228682),
        (2.5, 0.249365),
        (3.0, 0.263317),
        (5.0, 0.291317),
        (10.0, 0.312325),
    ],
)
def test_torsion_of_a_rectangle_meets_the_table(verified, ratio, k1):
    twist = torsion(mesh_outline(from_rings(box(ratio, 1.0)), coarseness=0.15))
    verified(
        f"torsion of a rectangle a/b = {ratio:g}: J/(a b³)",
        k1,
        twist.constant / ratio,
        f"{GOODIER}, sec. 109 {MEMORY}",
        within=1e-4,
    )


def test_torsion_of_an_equilateral_triangle_meets_the_closed_solution(verified):
    a = 2.0
    triangle = from_rings([(0, 0), (a, 0), (a / 2, a * np.sqrt(3) / 2)])
    twist = torsion(mesh_outline(triangle, coarseness=0.2))
    verified(
        "torsion of an equilateral triangle: J/a⁴",
        np.sqrt(3) / 80,
        twist.constant / a**4,
        f"{GOODIER}, sec. 106 {MEMORY}",
        within=1e-4,
    )


def test_torsion_and_warping_of_an_ellipse_meet_the_closed_solution(verified):
    # The mesh of a disc with true arcs, stretched: its warping −(a²−b²)/(a²+b²) x y is quadratic.
    a, b = 3.0, 1.5
    mesh = mesh_outline(Outline(disc(1.0)), coarseness=0.2)
    twist = torsion(replace(mesh, nodes=mesh.nodes * [a, b]))
    source = f"{GOODIER}, sec. 105 {MEMORY}"
    J = np.pi * a**3 * b**3 / (a**2 + b**2)
    verified("torsion of an ellipse: J", J, twist.constant, source, within=5e-5)
    gamma = ((a**2 - b**2) / (a**2 + b**2)) ** 2 * np.pi * a**3 * b**3 / 24
    verified("warping constant of an ellipse", gamma, twist.warping_constant, source, within=5e-5)


def test_torsion_of_a_disc_and_of_a_tube_is_their_polar_moment(verified):
    source = f"{GOODIER}, sec. 104 {MEMORY}"
    solid = torsion(mesh_outline(Outline(disc(3.0)), coarseness=0.2))
    verified("torsion of a disc: J", np.pi * 3.0**4 / 2, solid.constant, source, within=2e-5)
    tube = torsion(mesh_outline(Outline(disc(10.5), (disc(9.5),))))
    verified("torsion of a tube, r = 10, t = 1: J", 6298.89, tube.constant, source, within=2e-5)


def test_torsion_of_a_thin_closed_box_approaches_bredt_as_its_walls_thin(verified):
    # Walls 3 and 5 mm on mid-lines 100 and 50 mm, then half of that. What the thin-wall formula
    # leaves out is of the order of the wall over the width.
    apart = []
    for share, within in ((1.0, 0.03), (0.5, 0.015)):
        t1, t2 = 3 * share, 5 * share
        outer = box(100 + t2, 50 + t1)
        tube = from_rings(outer, [box(100 - t2, 50 - t1, t2, t1)])
        published = 4 * 5000**2 / (2 * 100 / t1 + 2 * 50 / t2)
        ours = torsion(mesh_outline(tube)).constant
        apart.append(abs(ours / published - 1))
        verified(
            f"torsion of a box 100 × 50, walls {t1:g} and {t2:g}: J",
            published,
            ours,
            BREDT,
            within=within,
        )
    assert apart[1] < 0.6 * apart[0], apart


def test_open_channel_meets_the_thin_wall_formulas(verified):
    b, h, t = 50.0, 100.0, 1.0
    section = section_of(channel(b, h, t))
    verified(
        "channel 50 × 100: shear centre outside the web",
        3 * b**2 / (h + 6 * b),
        -section.shear_centre_mm[0],
        CHANNEL,
        within=2e-3,
    )
    verified(
        "channel 50 × 100: shear centre on the axis",
        0.0,
        section.shear_centre_mm[1],
        CHANNEL,
        within=1e-4,
    )
    warping = t * b**3 * h**2 / 12 * (3 * b + 2 * h) / (6 * b + h)
    verified(
        "channel 50 × 100 × 1: warping constant",
        warping,
        section.warping_constant_mm6,
        WARPING,
        within=2e-3,
    )
    verified(
        "channel 50 × 100 × 1: J = Σ b t³/3",
        200 * t**3 / 3,
        section.torsion_constant_mm4,
        f"{GOODIER}, sec. 109 {MEMORY}",
        within=5e-3,
    )


@pytest.mark.parametrize(
    ("degrees", "published"), [(45.0, 1.06340), (90.0, 1.27324), (135.0, 1.66178), (179.9, 2.0)]
)
def test_shear_centre_of_a_thin_arc_meets_the_table(verified, degrees, published):
    r = 10.0
    x, y = torsion(mesh_outline(open_arc(r, 0.4, np.radians(degrees)))).shear_centre
    name = "slit tube" if degrees > 179 else f"thin arc of ±{degrees:g}°"
    verified(
        f"{name}: shear centre from the centre, over r", published, x / r, THIN_ARC, within=2e-3
    )
    verified(f"{name}: shear centre on the axis", 0.0, y / r, THIN_ARC, within=1e-3)


def test_second_moments_of_textbook_shapes_are_exact(verified):
    b, h, r = 4.0, 3.0, 2.5
    right_angled = section_of(from_rings([(0, 0), (b, 0), (0, h)]))
    half = section_of(
        Outline(Ring(np.array([[-r, 0], [r, 0.0]]), np.array([0.0, 1.0]), ("cut", "round"))),
        coarseness=0.2,
    )
    ring = section_of(Outline(disc(r, 4.0, 9.0), (disc(1.0, 4.0, 9.0),)))
    c = 4 * r / (3 * np.pi)
    for quantity, published, ours in (
        ("right-angled triangle: b h³/36", b * h**3 / 36, right_angled.second_moment_radial_mm4),
        ("right-angled triangle: h b³/36", h * b**3 / 36, right_angled.second_moment_lateral_mm4),
        ("right-angled triangle: −b² h²/72", -(b**2) * h**2 / 72, right_angled.product_moment_mm4),
        ("half disc: centroid 4 r/3π", c, half.centroid_mm[1]),
        (
            "half disc: radial",
            np.pi * r**4 / 8 - np.pi / 2 * r**2 * c**2,
            half.second_moment_radial_mm4,
        ),
        ("half disc: lateral π r⁴/8", np.pi * r**4 / 8, half.second_moment_lateral_mm4),
        ("ring: π (R⁴ − r⁴)/4", np.pi / 4 * (r**4 - 1), ring.second_moment_radial_mm4),
    ):
        verified(quantity, published, ours, GERE, within=1e-11)


def test_mass_and_inertia_of_a_torus_are_exact(verified):
    # The tube's centre lies 4 mm below the seat: the torus has the radius 300 mm.
    r, R = 5.0, 300.0
    made = hoop(section_of(Outline(disc(r, 2.0, -4.0)), coarseness=0.2), alloy("6061-T6"), R + 4.0)
    mass_g = 2.7e-3 * 2 * np.pi**2 * R * r**2
    verified(
        "torus: mass ρ 2π² R r², g",
        mass_g,
        made.mass_g,
        f"Pappus's second theorem {MEMORY}",
        within=1e-12,
    )
    inertia = mass_g * 1e-3 * (R**2 + 0.75 * r**2) * 1e-6
    verified(
        "torus: inertia m (R² + ¾ r²), kg m²",
        inertia,
        made.polar_inertia_kg_m2,
        f"mechanics textbooks, solid torus {MEMORY}",
        within=1e-12,
    )


def test_mass_of_a_weighed_rim_follows_from_its_measured_area_and_radius(verified):
    # Area 104 mm² at the radius 304 mm, weighed 538 g with whatever the joint adds; the shape
    # does not matter for the mass.
    made = hoop(section_of(from_rings(box(13.0, 8.0, -6.5, -4.0))), alloy("6061-T6"), 304.0)
    verified(
        "measured rim, A = 104 mm², R = 304 mm: mass, g", 538.0, made.mass_g, THESIS, within=0.01
    )


def test_a_shallow_double_wall_rim_lies_within_the_band_of_rims_in_use(verified):
    # No published outline goes with the measured stiffnesses, so this is plausibility only: an
    # outline drawn for this test, 20 mm wide and 17 mm deep, must fall inside the band of
    # EI 100-300 and GJ 10-150 N m². A wide or heavy rim may well lie above it laterally.
    right = [
        (5.0, -11.5),
        (9.9, -1.0),
        (9.9, 5.8),
        (8.0, 5.8),
        (8.0, 4.4),
        (8.6, 3.6),
        (8.6, 0.0),
        (6.5, 0.0),
        (5.4, -2.4),
    ]
    chamber = [(4.4, -10.2), (8.5, -1.2), (7.2, -1.2), (6.1, -3.6)]
    outer, inner = ([*half, *((-x, y) for x, y in half[::-1])] for half in (right, chamber))
    outline = Outline(
        rounded([Corner(x, y, "wall", 0.4) for x, y in outer]),
        (rounded([Corner(x, y, "wall", 0.4) for x, y in inner]),),
    )
    made = hoop(section_of(outline), alloy("6061-T6"), 311.0)
    for quantity, stiffness, low, high in (
        ("EI radial", made.bending_stiffness_radial_N_mm2, 100, 300),
        ("EI lateral", made.bending_stiffness_lateral_N_mm2, 100, 300),
        ("GJ", made.torsional_stiffness_N_mm2, 10, 150),
    ):
        middle, reach = (low + high) / 2, (high - low) / (high + low)
        verified(
            f"rim-like section: {quantity}, N m² (middle of the band {low}-{high})",
            middle,
            stiffness * 1e-6,
            THESIS,
            within=reach,
        )
