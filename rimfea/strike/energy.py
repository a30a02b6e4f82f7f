"""From the height of a drop to the force on the rim: a balance of energy, quasi-static.

A mass that falls by h and then on through the push u of tyre and rim has done E + W u of work,
E = m g h and W = m g. Tyre and rim are springs in a row, k_t and k, until the tyre is flat at
F_b; from there the rim alone gives way:

    U(F) = F²/2k_t + F²/2k    u = F/k_t + F/k        F ≤ F_b
    U(F) = F_b²/2k_t + F²/2k  u = F_b/k_t + F/k      F > F_b

U(F) = E + W u is a quadratic in F. Nothing is lost to damping, nothing swings out of the way: an
upper estimate. Without a tyre it is the falling weight of the textbooks, F = W (1 + √(1 + 2h k/W))
(Gere and Timoshenko, Mechanics of Materials, section on impact loading).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.errors import LoadError, positive
from rimfea.strike.tyre import Cushion
from rimfea.units import STANDARD_GRAVITY

ASSUMES = (
    "Peak forces are from the balance of energy: a rigid mass, no damping, so an upper estimate."
)
NO_CUSHION = Cushion(1.0, 1.0, 0.0)


@dataclass(frozen=True)
class Blow:
    """A rigid mass of ``mass_kg`` that has fallen by ``drop_mm`` when the tyre touches."""

    mass_kg: float
    drop_mm: float

    def __post_init__(self) -> None:
        positive("the mass that strikes", self.mass_kg, "kg")
        if not (np.isfinite(self.drop_mm) and self.drop_mm >= 0):
            raise LoadError(f"height of the drop = {self.drop_mm:g} mm: must be 0 or more")

    @property
    def weight_N(self) -> float:
        """The mass's weight, m g."""
        return self.mass_kg * STANDARD_GRAVITY

    @property
    def energy_J(self) -> float:
        """The energy at the touch, m g h."""
        return self.weight_N * self.drop_mm / 1000


def peak_force(blow: Blow, stiffness_N_mm: float, tyre: Cushion = NO_CUSHION) -> float:
    """The largest force (N) between obstacle and wheel, on a rim of that stiffness."""
    W, E, k = blow.weight_N, blow.weight_N * blow.drop_mm, stiffness_N_mm
    k_t, limit = tyre.stiffness_N_mm, tyre.force_N
    if limit > 0:
        c = 1 / k_t + 1 / k
        force = W + np.sqrt(W**2 + 2 * E / c)
        if force <= limit:
            return float(force)
    work = E + W * tyre.travel_mm - limit * tyre.travel_mm / 2
    return float(W + np.sqrt(W**2 + 2 * k * work))


def hook_force(blow: Blow, stiffness_N_mm: float, tyre: Cushion) -> float:
    """The part (N) of it that meets the hooks through the flattened casing: what the tyre
    bears when it is flat it goes on bearing.
    """
    return max(0.0, peak_force(blow, stiffness_N_mm, tyre) - tyre.force_N)


def drop_for(hook_N: float, weight_N: float, stiffness_N_mm: float, tyre: Cushion) -> float:
    """The drop (mm) that brings ``hook_N`` on the hooks of a wheel under that weight, 0 where
    the weight alone, put on suddenly, does it.
    """
    return max(0.0, energy_for(hook_N, weight_N, stiffness_N_mm, tyre) * 1000 / weight_N)


def energy_for(hook_N: float, weight_N: float, stiffness_N_mm: float, tyre: Cushion) -> float:
    """The energy (J) at the tyre's touch that brings ``hook_N``; negative where the weight alone
    is more than enough.
    """
    force, k = tyre.force_N + hook_N, stiffness_N_mm
    pushed = tyre.travel_mm + force / k
    stored = tyre.force_N * tyre.travel_mm / 2 + force**2 / (2 * k)
    return (stored - weight_N * pushed) / 1000


def pressure_for(hook_N: float, blow: Blow, stiffness_N_mm: float, tyre: Cushion) -> float:
    """The tyre pressure (MPa) at which a blow brings no more than ``hook_N`` on the hooks: with
    0 the lowest at which the tyre is not flat. 0 where it takes no air at all.

    The balance of energy, solved for the force F_b at which the tyre is flat.
    """
    W, E, k, s = blow.weight_N, blow.weight_N * blow.drop_mm, stiffness_N_mm, tyre.travel_mm
    b = s / 2 + (hook_N - W) / k
    c = hook_N**2 / (2 * k) - W * (s + hook_N / k) - E
    flat_N = k * (-b + np.sqrt(max(b**2 - 2 * c / k, 0.0)))
    return max(0.0, float(flat_N) / (tyre.stiffness_per_MPa * s))


def step_drop(speed_m_s: float, step_mm: float, wheel_radius_mm: float) -> float:
    """The drop (mm) as hard as rolling against a step at that speed.

    The step's edge stops the part of the speed along the line to the axle, v √(2s/R − s²/R²).
    """
    return 1000 * speed_m_s**2 * _stopped(step_mm, wheel_radius_mm) / (2 * STANDARD_GRAVITY)


def step_speed(drop_mm: float, step_mm: float, wheel_radius_mm: float) -> float:
    """The speed (m/s) against a step that is as hard as that drop."""
    share = _stopped(step_mm, wheel_radius_mm)
    return float(np.sqrt(2 * STANDARD_GRAVITY * drop_mm / 1000 / share))


def _stopped(step_mm: float, wheel_radius_mm: float) -> float:
    if not 0 < step_mm <= wheel_radius_mm:
        raise LoadError(
            f"height of the step = {step_mm:g} mm: allowed above 0 up to the wheel's radius, "
            f"{wheel_radius_mm:.0f} mm"
        )
    part = step_mm / wheel_radius_mm
    return part * (2 - part)
