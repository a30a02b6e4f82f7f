"""Spokes: how they are laced, how stiff they are, and what each does to the rim.

Coordinates at a spoke's own place on the rim: x along the axle to the right, y outward, z
around. The unit vector e points from the nipple seat to the hole in the hub flange.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.errors import LoadError

PATTERN = 4  # right and left flange, each with leading and trailing spokes in turn


@dataclass(frozen=True)
class Lacing:
    """A wheel's spokes and hub, in the builder's numbers.

    ``end_mm`` and ``middle_mm`` are the spoke's diameters, the ends together ``ends_mm`` long
    (a plain spoke has both alike). ``crossings`` 0 is radial. ``flange_mm`` is the diameter of
    the circle of holes, ``right_mm`` and ``left_mm`` the flanges' distances from the middle
    plane of the rim: unequal in a dished wheel. ``tension_N`` is that of the tighter side.
    """

    count: int = 32
    tension_N: float = 1000.0
    end_mm: float = 2.0
    middle_mm: float = 1.8
    ends_mm: float = 120.0
    crossings: int = 3
    flange_mm: float = 56.0
    right_mm: float = 35.0
    left_mm: float = 35.0
    youngs_MPa: float = 200_000.0

    def __post_init__(self) -> None:
        faults = list(_faults(self))
        if faults:
            raise LoadError("; ".join(faults))


@dataclass(frozen=True)
class Spokes:
    """Every spoke of a wheel: angle (j,) around the rim, direction e (j, 3), length (j,) in mm,
    stiffness (j,) in N/mm and tension (j,) in N.
    """

    angle: Floats
    direction: Floats
    length: Floats
    stiffness: Floats
    tension: Floats

    __repr__ = brief

    @property
    def tensors(self) -> Floats:
        """Force on the rim per displacement of its seat: k e eᵀ + (T/L)(I − e eᵀ) (j, 3, 3)."""
        return self.tensors_at(1.0)

    def tensors_at(self, factor: float) -> Floats:
        """The same at so many times the tension."""
        along = np.einsum("ja,jb->jab", self.direction, self.direction)
        across = (factor * self.tension / self.length)[:, None, None] * (np.eye(3) - along)
        return np.asarray(self.stiffness[:, None, None] * along + across)

    @property
    def smeared(self) -> Floats:
        """The mean foundation (3, 3) in N/mm per radian."""
        return _mean(self.tensors)


def _mean(tensors: Floats) -> Floats:
    """Tensors (j, 3, 3) per radian; crossed pairs cancel what mixes z with the rest."""
    total = tensors.sum(axis=0) / (2 * np.pi)
    total[2, :2] = total[:2, 2] = 0.0
    return np.asarray(total)


def spokes(lacing: Lacing, seat_radius: float, seat_offset: float = 0.0) -> Spokes:
    """Lace the spokes to nipple seats at ``seat_radius`` (mm from the axle), ``seat_offset`` mm to
    the right of the rim's middle, from which the flanges' distances are told.

    A spoke crossing X others ends 2π X / (N/2) further round the hub than it starts. Its
    stiffness E A / L adds the compliances of thick ends and thin middle. Lateral balance
    makes the flatter side the tighter one.
    """
    if lacing.flange_mm >= 2 * seat_radius:
        raise LoadError(
            f"the hub's flange ({lacing.flange_mm:g} mm) is wider than the circle of nipple seats "
            f"({2 * seat_radius:.0f} mm)"
        )
    if not -lacing.left_mm < seat_offset < lacing.right_mm:
        raise LoadError(
            f"the spoke holes, {seat_offset:g} mm to the right of the rim's middle, do not lie "
            f"between the flanges, {lacing.left_mm:g} mm to the left and {lacing.right_mm:g} mm to "
            "the right of it"
        )
    j = np.arange(lacing.count)
    right, leading = j % 2 == 0, j % PATTERN < PATTERN // 2
    turn = 4 * np.pi * lacing.crossings / lacing.count
    hub = lacing.flange_mm / 2
    span = np.column_stack(
        [
            np.where(right, lacing.right_mm, -lacing.left_mm) - seat_offset,
            np.full(lacing.count, hub * np.cos(turn) - seat_radius),
            np.where(leading, 1.0, -1.0) * hub * np.sin(turn),
        ]
    )
    length = np.linalg.norm(span, axis=1)
    direction = span / length[:, None]
    slope = np.abs(direction[:, 0])
    tension = (
        lacing.tension_N * slope.min() / slope if slope.min() > 0 else slope + lacing.tension_N
    )
    return Spokes(
        2 * np.pi * j / lacing.count, direction, length, _stiffness(lacing, length), tension
    )


def _stiffness(lacing: Lacing, length: Floats) -> Floats:
    ends = np.minimum(lacing.ends_mm, length)
    end_area, middle_area = (np.pi / 4 * d**2 for d in (lacing.end_mm, lacing.middle_mm))
    return lacing.youngs_MPa / (ends / end_area + (length - ends) / middle_area)


def _faults(lacing: Lacing) -> list[str]:
    found = []
    if lacing.count < PATTERN or lacing.count % 2:
        found.append(f"spokes = {lacing.count}: a wheel needs an even number, at least {PATTERN}")
    elif lacing.crossings and lacing.count % PATTERN:
        found.append(
            f"{lacing.count} spokes can only be laced radially (crossings 0): leading and "
            f"trailing spokes of both flanges balance only in multiples of {PATTERN}"
        )
    positive = {
        "tension": lacing.tension_N,
        "spoke end": lacing.end_mm,
        "spoke middle": lacing.middle_mm,
        "flange circle": lacing.flange_mm,
        "Young's modulus of the spokes": lacing.youngs_MPa,
    }
    found += [
        f"{name} = {value:g}: must be more than 0"
        for name, value in positive.items()
        if not (np.isfinite(value) and value > 0)
    ]
    if not all(0 < mm < np.inf for mm in (lacing.right_mm, lacing.left_mm)):
        found.append("the flanges must lie on either side of the rim's middle plane")
    if not lacing.ends_mm >= 0:
        found.append(f"thick ends of the spoke = {lacing.ends_mm:g}: must be 0 or more")
    # Past a quarter turn a spoke would run across the hub to the far side of its flange.
    if lacing.crossings < 0:
        found.append(f"crossings = {lacing.crossings}: must be 0 (radial) or more")
    if lacing.crossings * 8 > lacing.count:
        found.append(
            f"{lacing.crossings} crossings with {lacing.count} spokes would lead past the hub"
        )
    return found
