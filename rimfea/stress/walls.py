"""What happens to each wall: its worst cut at first yield, and at the plastic hinge.

Some loads stand (spoke tension, air) while the one in question grows from nothing. A wall's
utilisation is 1/λ for the factor λ on the growing load at which the limit is reached, so 0.5
means that twice the load would do it, and infinity that the standing loads alone are too much.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Bools, Floats, Ints
from rimfea.brief import brief
from rimfea.fem.material import von_mises
from rimfea.stress.cuts import Cuts, Linearised

HERE = np.zeros(1)
HOOP = 2  # place of zz among the six components
RECTANGLE = 1.5  # plastic by elastic moment of a rectangle
ALL_ROUND = 6.28  # radians
ALIKE = 1e-6  # places that differ by less are the same


@dataclass(frozen=True)
class WallStress:
    """The worst cut of one wall under one case.

    ``first_yield`` and ``hinge`` are utilisations. ``start`` and ``end`` (mm) are the ends of the
    cut that yields first, ``theta`` (radians) where it is around the rim, ``thickness_mm`` its
    length; ``membrane_MPa`` and ``bending_MPa`` the stress along the wall there under all loads
    as given, ``hoop_MPa`` the larger stress around the rim at its two faces and ``peak_MPa`` the
    larger von Mises stress there. ``reach_mm`` is the
    length of rim over which the growing load keeps that cut above half of its worst, and
    ``growing_MPa`` the largest von Mises stress that this load alone makes in the wall.
    """

    wall: str
    first_yield: float
    hinge: float
    start: tuple[float, float]
    end: tuple[float, float]
    thickness_mm: float
    membrane_MPa: float
    bending_MPa: float
    hoop_MPa: float
    peak_MPa: float
    theta: float = 0.0
    reach_mm: float = 0.0
    growing_MPa: float = 0.0

    __repr__ = brief


def wall_stresses(
    across: Cuts,
    growing: Linearised,
    proof_MPa: float,
    *,
    standing: Linearised | None = None,
    theta: Floats = HERE,
    radius: float = 0.0,
) -> tuple[WallStress, ...]:
    """One entry for every wall that has cuts, in the order of the outline's names.

    Stress is given at the angles ``theta`` (t,), rising; ``radius`` is that of y = 0 around the
    axle, from which arcs become millimetres of rim.
    """
    still = standing or _nothing(growing)
    faces = _faces(growing, still)
    first_yield = _first_yield(faces, proof_MPa)
    m, b, m_0, b_0 = (
        along_wall(across.tangent, each)
        for each in (growing.membrane, growing.bending, still.membrane, still.bending)
    )
    hinge = section_utilisation(growing, still, across.tangent, proof_MPa)
    whole = [grown + stood for grown, stood in faces]
    peak = np.maximum(*(von_mises(each) for each in whole))
    hoop = _larger(*(each[..., HOOP] for each in whole))
    alone = np.maximum(*(von_mises(grown) for grown, _ in faces))
    worst = []
    for number, name in enumerate(across.names):
        here = np.flatnonzero(across.wall == number)
        if not len(here):
            continue
        k, t = _worst(first_yield, here, theta)
        r = radius + (across.start[k, 1] + across.end[k, 1]) / 2
        worst.append(
            WallStress(
                wall=name,
                first_yield=float(first_yield[k, t]),
                hinge=float(hinge[here].max()),
                start=(float(across.start[k, 0]), float(across.start[k, 1])),
                end=(float(across.end[k, 0]), float(across.end[k, 1])),
                thickness_mm=float(across.length[k]),
                membrane_MPa=float((m + m_0)[k, t]),
                bending_MPa=float((b + b_0)[k, t]),
                hoop_MPa=float(hoop[k, t]),
                peak_MPa=float(peak[k, t]),
                theta=float(theta[t]),
                reach_mm=float(r * _reach(alone[k], t, theta)),
                growing_MPa=float(alone[here].max()),
            )
        )
    return tuple(worst)


def decisive(
    across: Cuts,
    growing: Linearised,
    proof_MPa: float,
    *,
    standing: Linearised | None = None,
    most: int,
) -> Bools:
    """Which cuts (c,) are the worst of their wall at either limit, so many of each wall."""
    still = standing or _nothing(growing)
    first_yield = _first_yield(_faces(growing, still), proof_MPa)
    full = section_utilisation(growing, still, across.tangent, proof_MPa)
    chosen = np.zeros(len(across.wall), dtype=bool)
    for use in (first_yield.max(axis=1), full.max(axis=1)):
        for k in range(len(across.names)):
            here = np.flatnonzero(across.wall == k)
            chosen[here[np.argsort(-use[here])[:most]]] = True
    return chosen


def worst_around(across: Cuts, line: Linearised) -> tuple[tuple[str, ...], Floats]:
    """The walls that have cuts, and the largest von Mises stress (w, t) of each at every angle."""
    peak = np.maximum(
        von_mises(line.membrane + line.bending), von_mises(line.membrane - line.bending)
    )
    present = [k for k in range(len(across.names)) if (across.wall == k).any()]
    worst = np.array([peak[across.wall == k].max(axis=0) for k in present])
    return tuple(across.names[k] for k in present), worst


def along_wall(tangent: Floats, stress: Floats) -> Floats:
    """Normal stress (c, t) along the wall's mid-line: t · σ t, of stress (c, t, 6)."""
    t_x, t_y = tangent[:, 0, None], tangent[:, 1, None]
    return t_x**2 * stress[..., 0] + t_y**2 * stress[..., 1] + 2 * t_x * t_y * stress[..., 5]


def yield_utilisation(growing: Floats, standing: Floats, proof_MPa: float) -> Floats:
    """1/λ at which the von Mises stress of λ growing + standing (…, 6) meets the proof stress.

    The square of it is a λ² + b λ + c, and 1/λ = (b + √(b² + 4 a (S² − c))) / 2 (S² − c).
    """
    a, c = von_mises(growing) ** 2, von_mises(standing) ** 2
    b = von_mises(growing + standing) ** 2 - a - c
    return _reciprocal_root(a, b, c, proof_MPa**2)


def section_utilisation(
    growing: Linearised, standing: Linearised, tangent: Floats, proof_MPa: float
) -> Floats:
    """1/λ at which λ growing + standing fills the whole thickness of a wall with yielding metal.

    All stress resultants of a plate count: along the wall, around the rim and in shear between
    the two, membrane N and bending M alike. With S the proof stress, N₀ = S t, M₀ = S t²/4, and
    Q(a, b) the bilinear form of von Mises in plane stress, the surface is

        Q(N, N)/N₀² + Q(M, M)/M₀² + |Q(N, M)| / (√3 N₀ M₀) = 1

    (A. A. Ilyushin, Plasticity, 1956, as approximated; citation from memory). A linear stress ±b
    at the faces has M/M₀ = b / 1.5 S. Either sign of the last term is a quadratic of its own in
    λ; the sooner counts.
    """
    m, b, m_0, b_0 = (
        _in_plate(tangent, each)
        for each in (growing.membrane, growing.bending, standing.membrane, standing.bending)
    )
    bent, mixed = 1 / RECTANGLE**2, 1 / (np.sqrt(3) * RECTANGLE)
    parts = (
        _mises(m, m) + bent * _mises(b, b),
        2 * (_mises(m, m_0) + bent * _mises(b, b_0)),
        _mises(m_0, m_0) + bent * _mises(b_0, b_0),
    )
    crossed = (_mises(m, b), _mises(m, b_0) + _mises(m_0, b), _mises(m_0, b_0))
    both = []
    for sign in (1.0, -1.0):
        a, b, c = (part + sign * mixed * x for part, x in zip(parts, crossed, strict=True))
        both.append(_reciprocal_root(a, b, c, proof_MPa**2))
    return np.maximum(*both)


def _in_plate(tangent: Floats, stress: Floats) -> Floats:
    """Stress (3, c, t) along the wall, around the rim and in shear between the two."""
    t_x, t_y = tangent[:, 0, None], tangent[:, 1, None]
    shear = t_x * stress[..., 4] + t_y * stress[..., 3]
    return np.stack([along_wall(tangent, stress), stress[..., HOOP], shear])


def _mises(one: Floats, other: Floats) -> Floats:
    """The bilinear form of von Mises in plane stress, of stress (3, …)."""
    (s, z, q), (s_2, z_2, q_2) = one, other
    return s * s_2 - (s * z_2 + z * s_2) / 2 + z * z_2 + 3 * q * q_2


def _reciprocal_root(a: Floats, b: Floats, c: Floats | float, limit: float) -> Floats:
    """1/λ at the first λ > 0 with a λ² + b λ + c = limit, a ≥ 0; infinite where c is above it."""
    room = limit - np.asarray(c)
    with np.errstate(divide="ignore", invalid="ignore"):
        root = (b + np.sqrt(np.maximum(b**2 + 4 * a * room, 0.0))) / (2 * room)
    return np.where(room > 0, root, np.inf)


def _faces(growing: Linearised, still: Linearised) -> list[tuple[Floats, Floats]]:
    """Stress (c, t, 6) of what grows and of what stands, at either face."""
    return [
        (growing.membrane + k * growing.bending, still.membrane + k * still.bending)
        for k in (1.0, -1.0)
    ]


def _first_yield(faces: Sequence[tuple[Floats, Floats]], proof_MPa: float) -> Floats:
    """Utilisation (c, t) of the face that yields first."""
    return np.maximum(*(yield_utilisation(*face, proof_MPa) for face in faces))


def _worst(use: Floats, here: Ints, theta: Floats) -> tuple[int, int]:
    """The worst of the cuts ``here`` and where: of places alike, such as the spokes of a kind, the
    one nearest to the load, where angles are close.
    """
    most = here[use[here].max(axis=1).argmax()]
    alike = np.flatnonzero(use[most] >= (1 - ALIKE) * use[most].max())
    return int(most), int(alike[np.abs(theta[alike]).argmin()])


def _reach(stress: Floats, peak: int, theta: Floats) -> float:
    """Arc (radians) around ``peak`` over which a stress (t,) stays above half of that there, taken
    to change evenly between two angles; angles from −π to π go all round.
    """
    half = stress[peak] / 2
    if theta[-1] - theta[0] > ALL_ROUND:
        peak += len(theta)
        theta = np.concatenate([theta + turn for turn in (-2 * np.pi, 0.0, 2 * np.pi)])
        stress = np.tile(stress, 3)
    low = np.flatnonzero(stress < half)
    before, after = low[low < peak], low[low > peak]

    def met(out: int, inside: int) -> float:
        share = (half - stress[out]) / (stress[inside] - stress[out])
        return float(theta[out] + share * (theta[inside] - theta[out]))

    start = met(before[-1], before[-1] + 1) if len(before) else theta[0]
    end = met(after[0], after[0] - 1) if len(after) else theta[-1]
    return float(min(end - start, 2 * np.pi))


def _larger(one: Floats, other: Floats) -> Floats:
    """Of two values the one further from zero, with its sign."""
    return np.where(np.abs(one) >= np.abs(other), one, other)


def _nothing(like: Linearised) -> Linearised:
    return Linearised(np.zeros_like(like.membrane), np.zeros_like(like.bending))
