"""The section as a bar: how much metal, where, and how it resists bending and twist."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.geometry.outline import Outline, moments
from rimfea.geometry.ring import (
    GAUSS_POINTS,
    GAUSS_WEIGHTS,
    Ring,
    edge_lengths,
    normals_at,
    points_at,
    signed_moments,
)
from rimfea.mesh.mesh import Mesh
from rimfea.section.torsion import torsion


@dataclass(frozen=True)
class Section:
    """Properties of a section, x lateral and y radially outward.

    ``centroid_mm`` and ``shear_centre_mm`` are places (x, y); all moments are taken about the
    centroid, ``warping_constant_mm6`` about the shear centre. The names say which way the hoop
    bends: radially (in the plane of the wheel) ∫ y² dA resists, laterally ∫ x² dA;
    ``product_moment_mm4`` is ∫ x y dA and ``third_moment_radial_mm5`` is ∫ y³ dA.
    """

    area_mm2: float
    centroid_mm: tuple[float, float]
    second_moment_radial_mm4: float
    second_moment_lateral_mm4: float
    product_moment_mm4: float
    third_moment_radial_mm5: float
    torsion_constant_mm4: float
    warping_constant_mm6: float
    shear_centre_mm: tuple[float, float]

    __repr__ = brief

    @property
    def principal_angle(self) -> float:
        """How far the principal axes lean from x and y, counter-clockwise, radians.

        Between −π/4 and π/4, so that a symmetrical rim has 0 whichever way it is stiffer.
        """
        half_gap, stiffer_radially = self._half_gap()
        turned = -self.product_moment_mm4 if stiffer_radially else self.product_moment_mm4
        return float(np.arctan2(turned, abs(half_gap)) / 2)

    @property
    def principal_moments_mm4(self) -> tuple[float, float]:
        """Second moments about the principal axes nearest to x and to y (Mohr's circle)."""
        half_gap, stiffer_radially = self._half_gap()
        middle = (self.second_moment_radial_mm4 + self.second_moment_lateral_mm4) / 2
        radius = float(np.hypot(half_gap, self.product_moment_mm4))
        signed = radius if stiffer_radially else -radius
        return middle + signed, middle - signed

    def _half_gap(self) -> tuple[float, bool]:
        half_gap = (self.second_moment_radial_mm4 - self.second_moment_lateral_mm4) / 2
        return half_gap, half_gap >= 0


def section_properties(outline: Outline, mesh: Mesh) -> Section:
    """Section of the metal inside ``outline``, of which ``mesh`` must be the mesh.

    The plane moments are exact on lines and arcs (Green); torsion and shear centre come from
    finite elements, see :func:`rimfea.section.torsion.torsion`.
    """
    area, area_x, area_y = moments(outline)[:3]
    centroid = np.array([area_x, area_y]) / area
    rings = [_moved(ring, -centroid) for ring in outline.rings]
    xx, yy, xy = np.sum([signed_moments(ring) for ring in rings], axis=0)[3:]
    twist = torsion(mesh)
    return Section(
        area_mm2=float(area),
        centroid_mm=(float(centroid[0]), float(centroid[1])),
        second_moment_radial_mm4=float(yy),
        second_moment_lateral_mm4=float(xx),
        product_moment_mm4=float(xy),
        third_moment_radial_mm5=sum(_third_moment(ring) for ring in rings),
        torsion_constant_mm4=twist.constant,
        warping_constant_mm6=twist.warping_constant,
        shear_centre_mm=twist.shear_centre,
    )


def _moved(ring: Ring, by: Floats) -> Ring:
    # Moments are integrated about the centroid at once: taking A y² off afterwards loses digits.
    return replace(ring, corners=ring.corners + by)


def _third_moment(ring: Ring) -> float:
    """∫ y³ dA = ∮ y⁴/4 n_y ds, sixteen Gauss points an edge: exact on lines, and on arcs to
    round-off.
    """
    m = len(ring.labels)
    t = np.tile((GAUSS_POINTS + 1) / 2, m)
    edge = np.repeat(np.arange(m), len(GAUSS_POINTS))
    y, n_y = points_at(ring, edge, t)[:, 1], normals_at(ring, edge, t)[:, 1]
    ds = np.tile(GAUSS_WEIGHTS / 2, m) * edge_lengths(ring)[edge]
    return float((y**4 / 4 * n_y * ds).sum())
