"""What each wall suffers: its worst cut at first yield, and at the plastic hinge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.fem.material import von_mises
from rimfea.stress.cuts import Cuts, Linearised

HERE = np.zeros(1)


@dataclass(frozen=True)
class WallStress:
    """The worst cut of one wall under one case.

    ``first_yield`` and ``hinge`` are utilisations: the share of the load that is used up when
    the case acts as given, so 0.5 means that twice the load would do it. ``start`` and ``end``
    (mm) are the ends of the cut that yields first, ``thickness_mm`` its length,
    ``membrane_MPa`` and ``bending_MPa`` the stress along the wall there, ``peak_MPa`` the
    larger von Mises stress at its two faces. ``theta`` (radians) says where around the rim.
    """

    wall: str
    first_yield: float
    hinge: float
    start: tuple[float, float]
    end: tuple[float, float]
    thickness_mm: float
    membrane_MPa: float
    bending_MPa: float
    peak_MPa: float
    theta: float = 0.0


def wall_stresses(
    across: Cuts, line: Linearised, proof_MPa: float, theta: Floats = HERE
) -> tuple[WallStress, ...]:
    """One entry for every wall that has cuts, in the order of the outline's names: the worst
    cut at the worst of the angles ``theta`` (t,).
    """
    peak = np.maximum(
        von_mises(line.membrane + line.bending), von_mises(line.membrane - line.bending)
    )
    p_m, p_b = (along_wall(across.tangent, each) for each in (line.membrane, line.bending))
    hinge = hinge_utilisation(p_m, p_b, proof_MPa)
    worst = []
    for number, name in enumerate(across.names):
        here = np.flatnonzero(across.wall == number)
        if not len(here):
            continue
        most, t = np.unravel_index(np.argmax(peak[here]), peak[here].shape)
        k = here[most]
        worst.append(
            WallStress(
                wall=name,
                first_yield=float(peak[k, t] / proof_MPa),
                hinge=float(hinge[here].max()),
                start=(float(across.start[k, 0]), float(across.start[k, 1])),
                end=(float(across.end[k, 0]), float(across.end[k, 1])),
                thickness_mm=float(across.length[k]),
                membrane_MPa=float(p_m[k, t]),
                bending_MPa=float(p_b[k, t]),
                peak_MPa=float(peak[k, t]),
                theta=float(theta[t]),
            )
        )
    return tuple(worst)


def along_wall(tangent: Floats, stress: Floats) -> Floats:
    """Normal stress (c, t) along the wall's mid-line: t · σ t, of stress (c, t, 6)."""
    t_x, t_y = tangent[:, 0, None], tangent[:, 1, None]
    return t_x**2 * stress[..., 0] + t_y**2 * stress[..., 1] + 2 * t_x * t_y * stress[..., 5]


def hinge_utilisation(p_m: Floats, p_b: Floats, proof_MPa: float) -> Floats:
    """1/λ for the load factor λ with (λ P_m / S)² + λ |P_b| / (1.5 S) = 1.

    The limit of a rectangle that carries force and moment, perfectly plastic; 1.5 is its
    shape factor (any text on plasticity).
    """
    a, b = (p_m / proof_MPa) ** 2, np.abs(p_b) / (1.5 * proof_MPa)
    return np.asarray((b + np.sqrt(b**2 + 4 * a)) / 2)
