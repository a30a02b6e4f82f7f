"""The tyre as a cushion: how hard it presses back from an obstacle until it is flat.

Pressure times footprint: a round tyre (outer radius R in the wheel's plane, ρ across it) and a
round obstacle (r_z, r_x) that overlap by δ share an ellipse of half axes √(2 R' δ), √(2 ρ' δ),
1/R' = 1/R + 1/r_z and 1/ρ' = 1/ρ + 1/r_x, so that

    F = p π √(2 R' δ) √(2 ρ' δ) = 2 π p √(R' ρ') δ        W = ½ F δ

The casing neither bulges beside the obstacle nor spans its edge, and the pressure stays what it
was: on flat ground that is about twice too stiff, at a sharp edge too soft.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from rimfea.errors import LoadError, positive

ASSUMES = (
    "The tyre is pressure times footprint at constant pressure: about twice too stiff on flat "
    "ground, too soft at a sharp edge."
)
# Casings are marked for about so much air times width, N/mm: 8 bar at 25 mm, 5 at 40, 4 at 50, 2 at
# 100 (common practice; the mark on the tyre comes first). Their pull, half of it, is what bursts.
MARKED_N_MM = 20.0
LAYERS = 2  # of casing between the obstacle and the hook once the tyre is flat


@dataclass(frozen=True)
class Obstacle:
    """What is struck: radius in the wheel's plane and across it (mm, infinite where straight),
    and the share of the strike that lands on the right hook: 1 for one hook, 0.5 for both.
    """

    name: str
    along_mm: float
    across_mm: float
    right_share: float

    def __post_init__(self) -> None:
        for radius in (self.along_mm, self.across_mm):
            if not radius > 0:
                raise LoadError(f"radius of the {self.name} = {radius:g} mm: must be more than 0")

    @property
    def is_level(self) -> bool:
        """Whether it has no height to roll against: a wheel can only drop on it."""
        return bool(np.isinf(self.along_mm))


def flat_ground(_radius_mm: float = np.inf) -> Obstacle:
    """Level ground, which has no radius: a drop, both hooks alike."""
    return Obstacle("flat ground", np.inf, np.inf, 0.5)


def kerb(edge_mm: float) -> Obstacle:
    """A kerb or root square across the wheel, its edge worn round: both hooks alike."""
    return Obstacle("kerb", edge_mm, np.inf, 0.5)


def rock(radius_mm: float) -> Obstacle:
    """A rounded rock: it mostly meets one hook."""
    return Obstacle("rock", radius_mm, radius_mm, 1.0)


OBSTACLES: Mapping[str, Callable[[float], Obstacle]] = MappingProxyType(
    {"flat ground": flat_ground, "kerb": kerb, "rock": rock}
)
"""What a set-up may strike, by name: each is made of its radius in mm."""


@dataclass(frozen=True)
class Tyre:
    """A tyre ``width_mm`` wide that stands ``height_mm`` above the bead seat, ``casing_mm`` of
    rubber and fabric thick, at ``pressure_MPa``.
    """

    width_mm: float
    height_mm: float
    casing_mm: float
    pressure_MPa: float

    def __post_init__(self) -> None:
        for name, value in (
            ("width", self.width_mm),
            ("height", self.height_mm),
            ("casing", self.casing_mm),
            ("pressure", self.pressure_MPa),
        ):
            positive(f"{name} of the tyre", value)

    @property
    def most_MPa(self) -> float:
        """The most air that such a tyre usually takes, or what is in it if that is more."""
        return max(MARKED_N_MM / self.width_mm, self.pressure_MPa)


@dataclass(frozen=True)
class Cushion:
    """A tyre on its rim before an obstacle: force by push ``stiffness_N_mm`` over ``travel_mm``
    until it is flat, when its footprint is ``contact_mm`` long; ``stiffness_per_MPa`` is the same
    at unit pressure, ``pressure_rise`` the share by which the gauge pressure would have risen by
    then, were it not left out, and ``most_MPa`` the most air that the tyre takes: unless told, more
    than that of any on a bicycle.
    """

    stiffness_per_MPa: float
    pressure_MPa: float
    travel_mm: float
    contact_mm: float = 0.0
    pressure_rise: float = 0.0
    most_MPa: float = 2.0

    @property
    def stiffness_N_mm(self) -> float:
        """Force by push, N/mm."""
        return self.stiffness_per_MPa * self.pressure_MPa

    @property
    def force_N(self) -> float:
        """Force at which the tyre is flat."""
        return self.stiffness_N_mm * self.travel_mm

    @property
    def energy_J(self) -> float:
        """Energy taken up by then."""
        return self.force_N * self.travel_mm / 2 / 1000


def wheel_radius(tyre: Tyre, seat_radius_mm: float) -> float:
    """Outer radius of the wheel, mm."""
    return seat_radius_mm + tyre.height_mm


def stiffness_per_MPa(tyre: Tyre, obstacle: Obstacle, seat_radius_mm: float) -> float:
    """Force by push (N/mm) of the tyre before an obstacle at unit pressure."""
    along = _along(tyre, obstacle, seat_radius_mm)
    across = 1 / (2 / tyre.width_mm + 1 / obstacle.across_mm)
    return float(2 * np.pi * np.sqrt(along * across))


def cushion(
    tyre: Tyre, obstacle: Obstacle, seat_radius_mm: float, hook_height_mm: float
) -> Cushion:
    """What the tyre takes up before its casing lies between obstacle and hook.

    Raises :class:`~rimfea.errors.LoadError` for a tyre that does not stand above the hooks.
    """
    travel = tyre.height_mm - hook_height_mm - LAYERS * tyre.casing_mm
    if travel <= 0:
        raise LoadError(
            f"a tyre {tyre.height_mm:g} mm high with a casing of {tyre.casing_mm:g} mm does not "
            f"stand above hooks {hook_height_mm:g} mm high: give the height above the bead seat"
        )
    unit = stiffness_per_MPa(tyre, obstacle, seat_radius_mm)
    contact = 2 * float(np.sqrt(2 * _along(tyre, obstacle, seat_radius_mm) * travel))
    rise = _rise(tyre, unit, travel, wheel_radius(tyre, seat_radius_mm))
    return Cushion(unit, tyre.pressure_MPa, travel, contact, rise, tyre.most_MPa)


def _along(tyre: Tyre, obstacle: Obstacle, seat_radius_mm: float) -> float:
    """The radius (mm) in the wheel's plane of one body that overlaps level ground as both do."""
    return 1 / (1 / wheel_radius(tyre, seat_radius_mm) + 1 / obstacle.along_mm)


def contact_mm(force_N: float, tyre: Tyre, seat_radius_mm: float) -> float:
    """How long a footprint a tyre on flat ground has under a force, by the same overlap: at most
    that of a tyre pressed down to its rim.
    """
    along, across = wheel_radius(tyre, seat_radius_mm), tyre.width_mm / 2
    pushed = force_N / (2 * np.pi * tyre.pressure_MPa * np.sqrt(along * across))
    return float(2 * np.sqrt(2 * along * min(pushed, tyre.height_mm)))


ATMOSPHERE_MPA = 0.101325  # standard atmosphere, 10th General Conference on Weights and Measures


def _rise(tyre: Tyre, unit: float, travel: float, outer: float) -> float:
    """Share by which the overlap's volume raises the gauge pressure, at constant temperature."""
    lost = unit * travel**2 / 2
    held = 2 * np.pi * (outer - tyre.height_mm / 2) * np.pi / 4 * tyre.width_mm * tyre.height_mm
    absolute = tyre.pressure_MPa + ATMOSPHERE_MPA
    return float(absolute * (1 / (1 - min(lost / held, 0.5)) - 1) / tyre.pressure_MPa)
