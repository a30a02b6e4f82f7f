"""The casing between rock and hook once the tyre is flat: how hard the crown squeezes it.

Two layers of casing, h thick together, lie on the crown as a thin elastic layer of modulus M
(held sideways by its own width) under a rock that is level over the lip. With z the depth of the
crown below its top and f the force per millimetre of rim,

    p(x) = (M/h) max(0, δ − z(x))        ∫ p dx = f

so that a level lip of width b makes f/b, and a round one of radius ρ touches over ±a,
a³ = 3 f ρ h / 2M, with p = (M/h) a²/2ρ at its top (K. L. Johnson, Contact Mechanics, section 5.8;
citation from memory). The layer gives the pressure of a rim beside that of another, not the
pressure at which a casing is cut.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.brief import brief
from rimfea.errors import OutlineError, positive
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import cut_every, subdivided
from rimfea.profile.walls import Wall

ASSUMES = (
    "The casing is a thin elastic layer under a level rock: a measure of one rim against another, "
    "no promise that a tube or tyre survives."
)
HOOK = (Wall.BEAD_HOOK, Wall.HOOK_LIP)
BELOW_HOOK = (*HOOK, Wall.SIDEWALL)
DEEPEST_MM = 3.0  # below the crown's top: no usual casing is thicker
PIECE_MM, SWEEP = 0.05, np.radians(1.0)  # chords of one degree leave an arc by 4e-5 of its radius
LEVEL = 1e-12  # mm by which a piece of crown may rise and still be level


@dataclass(frozen=True)
class Crown:
    """What a rock meets of one hook: points (k, 2) of x, rising, and depth below the top, mm."""

    points: Floats

    def __post_init__(self) -> None:
        if self.points.ndim != 2 or self.points.shape[1] != 2 or len(self.points) < 2:
            raise OutlineError("a crown needs at least two points (x, depth)")
        if not np.isfinite(self.points).all():
            raise OutlineError("a crown has a coordinate that is not a finite number")
        if not (np.diff(self.x) > 0).all() or self.depth.min() != 0:
            raise OutlineError("a crown's x must rise, and its depth count from its top, 0")

    @property
    def x(self) -> Floats:
        """Place (k,) across the rim, mm."""
        return self.points[:, 0]

    @property
    def depth(self) -> Floats:
        """Depth (k,) below the top, mm."""
        return self.points[:, 1]

    @property
    def width_mm(self) -> float:
        """Width across the rim: of the lip, roundings and all."""
        return float(self.x[-1] - self.x[0])


# The modulus is assumed, without a source: rubber alone (a few MPa) would be pressed away, nylon
# cord (about 2000 MPa) is what stays. With 500 the 100 to 300 N/mm of a hard strike squeeze two
# layers of 1.5 mm by a tenth to a third on a level lip of 2 mm.
@dataclass(frozen=True)
class Casing:
    """The flattened tyre: ``thickness_mm`` of both layers together, and the modulus of rubber
    and fabric that cannot give way sideways.
    """

    thickness_mm: float = 3.0
    modulus_MPa: float = 500.0

    def __post_init__(self) -> None:
        positive("thickness of the casing", self.thickness_mm, "mm")
        positive("modulus of the casing", self.modulus_MPa, "MPa")

    @property
    def stiffness(self) -> float:
        """Pressure by approach, M/h, in MPa per mm."""
        return self.modulus_MPa / self.thickness_mm


@dataclass(frozen=True)
class Squeeze:
    """Pressure (k,) at the crown's points, its peak, the width on which the force would make that
    peak everywhere, and how far rock and crown approach, from the casing's touch. An approach
    near the casing's thickness is more than an elastic layer can tell of.
    """

    pressure_MPa: Floats
    peak_MPa: float
    effective_width_mm: float
    approach_mm: float

    __repr__ = brief


def crown_profile(outline: Outline, *, right: bool = True) -> Crown:
    """One hook's crown as a rock sees it: what lies behind the nose or lip is hidden.

    Raises :class:`~rimfea.errors.OutlineError` where no edge there is named after the hook.
    """
    fine, _, _ = subdivided(outline.outer, cut_every(outline.outer, length=PIECE_MM, sweep=SWEEP))
    x, y = fine.corners.T
    names = np.array(fine.labels)
    here = (x > 0) == right
    if not (here & np.isin(names, HOOK)).any():
        raise OutlineError(f"no edge on the {'right' if right else 'left'} is named a bead hook")
    above_seat = here & np.isin(names, BELOW_HOOK)
    top = int(np.argmax(np.where(above_seat, y, -np.inf)))
    depth = y[top] - y
    near = above_seat & (depth <= DEEPEST_MM)
    # The outer ring runs over the crown towards −x; the walk is the other way.
    walk = (top + len(x) // 2 - np.arange(len(x))) % len(x)
    chain = walk[near[walk]]
    seen = chain[_seen_from_above(x[chain], int(np.flatnonzero(chain == top)[0]))]
    return Crown(np.column_stack([x[seen], depth[seen]]))


def squeeze(crown: Crown, casing: Casing, force_N_mm: float) -> Squeeze:
    """What a force per millimetre of rim makes of the casing on a crown. At a strike's worst
    place that is its force by the millimetres of rim that it lands on.
    """
    positive("force per millimetre of rim", force_N_mm, "N/mm")
    approach = _approach(crown, force_N_mm / casing.stiffness)
    pressure = casing.stiffness * np.maximum(0.0, approach - crown.depth)
    peak = casing.stiffness * approach
    return Squeeze(pressure, peak, force_N_mm / peak, approach)


def force_for(crown: Crown, casing: Casing, peak_MPa: float) -> float:
    """The force per millimetre of rim (N/mm) that squeezes the casing to that peak pressure."""
    positive("pressure on the casing", peak_MPa, "MPa")
    _, area = _pressed(crown, np.array([peak_MPa / casing.stiffness]))
    return casing.stiffness * float(area[0])


def _approach(crown: Crown, area: float) -> float:
    """The δ at which ∫ max(0, δ − z) dx is ``area`` (mm²): between the depths of the crown's
    points a quadratic in δ.
    """
    length, lower, rise = _pieces(crown)
    levels = np.unique([lower, lower + rise])
    wide, filled = _pressed(crown, levels)
    k = int(np.searchsorted(filled, area, side="right")) - 1
    rest = area - filled[k]
    being_met = (lower <= levels[k]) & (levels[k] < lower + rise)
    spread = float((length[being_met] / rise[being_met]).sum())
    return float(levels[k] + 2 * rest / (wide[k] + np.sqrt(wide[k] ** 2 + 2 * spread * rest)))


def _pressed(crown: Crown, approach: Floats) -> tuple[Floats, Floats]:
    """Width (d,) in touch and area (d,) of ∫ max(0, δ − z) dx at each approach δ (d,)."""
    length, lower, rise = _pieces(crown)
    into = approach[:, None] - lower
    share = np.where(rise > 0, np.clip(into / np.where(rise > 0, rise, 1.0), 0, 1), into >= 0)
    return share @ length, (share * into - share**2 * rise / 2) @ length


def _pieces(crown: Crown) -> tuple[Floats, Floats, Floats]:
    """Length across the rim (s,), depth of the upper end and rise of the straight pieces."""
    z = crown.depth
    rise = np.abs(np.diff(z))
    return np.diff(crown.x), np.minimum(z[:-1], z[1:]), np.where(rise > LEVEL, rise, 0.0)


def _seen_from_above(x: Floats, top: int) -> Bools:
    """Which points (k,) of a walk towards +x stand out from all between them and the top."""
    left, right = _advancing(-x[top::-1])[::-1], _advancing(x[top:])
    return np.concatenate([left, right[1:]])


def _advancing(x: Floats) -> Bools:
    further = x[1:] > np.maximum.accumulate(x)[:-1]
    return np.concatenate([[True], further])
