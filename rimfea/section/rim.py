"""The section swept round the wheel: mass, inertia, and stiffness as a hoop."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.alloys import Alloy
from rimfea.section.properties import Section

GRAM_PER_MM3 = 1e-6  # of one kg/m³
KG_M2_PER_MM5 = 1e-15  # of one kg/m³
KG_M2_PER_G_MM2 = 1e-9


@dataclass(frozen=True)
class SpokeHoles:
    """Holes drilled straight through the spoke bed and through no other wall.

    ``bed_middle_mm`` is the height y of the middle of the bed, negative below the bead seat.
    """

    count: int
    diameter_mm: float
    bed_thickness_mm: float
    bed_middle_mm: float

    @property
    def volume_mm3(self) -> float:
        """Metal drilled out of all holes together."""
        return self.count * np.pi / 4 * self.diameter_mm**2 * self.bed_thickness_mm


UNDRILLED = SpokeHoles(0, 0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Hoop:
    """A rim as a hoop; ``polar_inertia_kg_m2`` is about the axle of the wheel. Of the mass
    ``joint_g`` is what joins its ends.

    The stiffnesses E I and G J are those of a straight bar with this section: curvature,
    section distortion, spoke holes and the coupling of a section without symmetry
    (``Section.product_moment_mm4``) are neglected.
    """

    mass_g: float
    joint_g: float
    polar_inertia_kg_m2: float
    bending_stiffness_radial_N_mm2: float
    bending_stiffness_lateral_N_mm2: float
    torsional_stiffness_N_mm2: float


@dataclass(frozen=True)
class MassDifference:
    """A computed mass beside a weighed one, in grams."""

    computed_g: float
    weighed_g: float

    @property
    def absolute_g(self) -> float:
        """Computed minus weighed: positive when the section has too much metal."""
        return self.computed_g - self.weighed_g

    @property
    def percent(self) -> float:
        """The difference in per cent of the weighed mass."""
        return 100 * self.absolute_g / self.weighed_g


def hoop(
    section: Section,
    alloy: Alloy,
    seat_radius_mm: float,
    holes: SpokeHoles = UNDRILLED,
    joint_g: float = 0.0,
) -> Hoop:
    """The closed hoop of this section whose bead seat, y = 0, lies ``seat_radius_mm`` from the
    axle, with a sleeve or pins of ``joint_g`` at the centroid's radius.

    Mass ρ A 2π r_c at the centroid's radius r_c is exact (Pappus), and so is the polar inertia
    2πρ ∫ r³ dA = 2πρ (A r_c³ + 3 r_c ∫ y² dA + ∫ y³ dA). Spoke holes are taken off, each as a
    point in the middle of the bed; the valve hole and the metal of a weld are not in it.
    """
    r_c = seat_radius_mm + section.centroid_mm[1]
    volume = 2 * np.pi * r_c * section.area_mm2 - holes.volume_mm3
    shear = alloy.youngs_MPa / (2 * (1 + alloy.poisson))
    drilled = holes.volume_mm3 * (seat_radius_mm + holes.bed_middle_mm) ** 2
    return Hoop(
        mass_g=alloy.density_kg_m3 * GRAM_PER_MM3 * volume + joint_g,
        joint_g=joint_g,
        polar_inertia_kg_m2=alloy.density_kg_m3
        * KG_M2_PER_MM5
        * (_cubed_radius(section, r_c) - drilled)
        + joint_g * KG_M2_PER_G_MM2 * r_c**2,
        bending_stiffness_radial_N_mm2=alloy.youngs_MPa * section.second_moment_radial_mm4,
        bending_stiffness_lateral_N_mm2=alloy.youngs_MPa * section.second_moment_lateral_mm4,
        torsional_stiffness_N_mm2=shear * section.torsion_constant_mm4,
    )


def mass_difference(computed: Hoop, weighed_g: float) -> MassDifference:
    """The computed hoop against what the scales say, in grams and per cent."""
    return MassDifference(computed.mass_g, weighed_g)


def _cubed_radius(section: Section, r_c: float) -> float:
    """2π ∫ r³ dA in mm⁵, r measured from the axle and r_c to the centroid."""
    second, third = section.second_moment_radial_mm4, section.third_moment_radial_mm5
    return 2 * np.pi * (section.area_mm2 * r_c**3 + 3 * r_c * second + third)
