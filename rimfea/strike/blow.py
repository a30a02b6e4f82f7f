"""A blow: what it brings on the hooks, and what it would take to bring so much.

A set-up may mean two at once, a drop and a roll against a step: the harder counts. What no closed
form tells is found as a root of the same model, for several forces at once: a roll at many speeds
or pressures takes hardly longer than one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import reduce
from math import inf, log

import numpy as np

from rimfea.arrays import Floats, Ints, Values
from rimfea.errors import LoadError, positive
from rimfea.strike.energy import Springs, dropped_force, energy_for, energy_to_push
from rimfea.strike.rolling import Roller, Step, rolled_push
from rimfea.strike.tyre import Cushion
from rimfea.units import STANDARD_GRAVITY

ASSUMES = (
    "A blow is a rigid mass (bicycle, luggage and a share of the rider) that drops, or rolls at "
    "constant speed over the edge of a step, while the whole load of the wheel presses on it as it "
    "does standing still. Nothing is lost to damping; no rider lifts the wheel or lands stiffly. "
    "The model of the tyre is right to a factor of about two, and so are drop, speed and air "
    "needed: they compare rims behind the same tyre and promise nothing."
)
# A slower roll is taken to be so fast, which presses up to a third harder than creeping: on the
# safe side. Beyond the other no bicycle rolls.
SLOWEST_M_S, FASTEST_M_S = 0.5, 120 / 3.6
LEAST_MPA = 1e-4  # a tyre without air
SHARES = np.linspace(0.0, 1.0, 33)


@dataclass(frozen=True)
class Blow:
    """A rigid mass of ``mass_kg`` under the load ``weight_N`` of the wheel, that has fallen by
    ``drop_mm`` when the tyre touches, or rolls at ``speed_m_s`` against a ``step``; without a
    step it only drops.
    """

    mass_kg: float
    weight_N: float
    drop_mm: float = 0.0
    speed_m_s: float = 0.0
    step: Step | None = None

    def __post_init__(self) -> None:
        positive("the mass that strikes", self.mass_kg, "kg")
        positive("the load of the wheel", self.weight_N, "N")
        for name, value in (("height of the drop", self.drop_mm), ("speed", self.speed_m_s)):
            if not (np.isfinite(value) and value >= 0):
                raise LoadError(f"{name} = {value:g}: must be 0 or more")

    @property
    def rolls(self) -> bool:
        """Whether it rolls against a step."""
        return self.step is not None and self.speed_m_s > 0

    def energy_J(self, drop_mm: float) -> float:
        """What the mass alone has of energy after a drop, m g h."""
        return self.mass_kg * STANDARD_GRAVITY * drop_mm / 1000


def peak_force(blow: Blow, rim_N_mm: float, tyre: Cushion) -> float:
    """The largest force (N) between obstacle and wheel, on a rim of that stiffness."""
    return float(_hardest(blow, rim_N_mm, tyre, np.array([tyre.pressure_MPa]))[0])


def hook_force(blow: Blow, rim_N_mm: float, tyre: Cushion) -> float:
    """The part (N) of it that meets the hooks through the flattened casing: what the tyre
    bears when it is flat it goes on bearing.
    """
    return max(0.0, peak_force(blow, rim_N_mm, tyre) - tyre.force_N)


def drop_for(force_N: float, blow: Blow, rim_N_mm: float, tyre: Cushion) -> float:
    """The drop (mm) of the blow's mass whose largest force is ``force_N``, 0 where the load of
    the wheel alone, put on suddenly, does it.
    """
    springs = Springs(tyre.stiffness_N_mm, tyre.travel_mm, rim_N_mm)
    return max(0.0, float(energy_for(force_N, blow.weight_N, springs))) / blow.energy_J(1.0)


def force_of_drop(drop_mm: float, blow: Blow, rim_N_mm: float, tyre: Cushion) -> float:
    """The largest force (N) of a drop (mm) of the blow's mass; the other way round than
    :func:`drop_for`.
    """
    springs = Springs(tyre.stiffness_N_mm, tyre.travel_mm, rim_N_mm)
    return float(dropped_force(blow.energy_J(drop_mm), blow.weight_N, springs))


def drops_to_push(
    beyond_mm: Floats, work_J: Floats, blow: Blow, rim_N_mm: float, tyre: Cushion
) -> Floats:
    """The drop (k,) in mm of the blow's mass that pushes the rim so far (mm) beyond where the tyre
    is flat, for a rim that takes up ``work_J`` on that way and need not be a spring; 0 where the
    load of the wheel alone, put on suddenly, does it.
    """
    springs = Springs(tyre.stiffness_N_mm, tyre.travel_mm, rim_N_mm)
    needed = np.asarray(energy_to_push(beyond_mm, work_J, blow.weight_N, springs))
    return np.maximum(needed, 0.0) / blow.energy_J(1.0)


def speeds_for(hook_N: Sequence[float], blow: Blow, rim_N_mm: float, tyre: Cushion) -> Floats:
    """The speed (k,) in m/s against the blow's step that brings each force on the hooks: 0 where
    the slowest does, infinite where none at which a bicycle rolls does, or without a step.
    """
    step = blow.step
    if step is None:
        return np.full(len(hook_N), inf)

    def beyond_flat(log_speed: Floats) -> Floats:
        rolled = _rolled(blow, step, rim_N_mm, tyre, tyre.pressure_MPa, np.exp(log_speed))
        return np.asarray(rolled - tyre.force_N)

    slow, fast = log(SLOWEST_M_S), log(FASTEST_M_S)
    found = _passed(beyond_flat, fast, slow, np.array(hook_N))
    never, always = np.isclose(found, fast), np.isclose(found, slow)
    return np.where(never, inf, np.where(always, 0.0, np.exp(found)))


def pressures_for(hook_N: Sequence[float], blow: Blow, rim_N_mm: float, tyre: Cushion) -> Floats:
    """The tyre pressure (k,) in MPa at which a blow brings no more than each force on the hooks:
    with 0 the lowest at which the tyre is not flat. 0 where it takes no air at all, infinite
    where all that such a tyre takes is not enough.
    """

    def beyond_flat(pressure_MPa: Floats) -> Floats:
        flat = tyre.stiffness_per_MPa * tyre.travel_mm * pressure_MPa
        return np.asarray(_hardest(blow, rim_N_mm, tyre, pressure_MPa) - flat)

    found = _passed(beyond_flat, LEAST_MPA, tyre.most_MPa, np.array(hook_N))
    never, always = np.isclose(found, tyre.most_MPa), np.isclose(found, LEAST_MPA)
    return np.where(never, inf, np.where(always, 0.0, found))


def _hardest(blow: Blow, rim_N_mm: float, tyre: Cushion, pressure_MPa: Floats) -> Floats:
    """The largest force (n,) with each pressure in the tyre."""
    peaks: list[Values] = []
    if blow.step and blow.rolls:
        speed = max(blow.speed_m_s, SLOWEST_M_S)
        peaks.append(_rolled(blow, blow.step, rim_N_mm, tyre, pressure_MPa, speed))
    if blow.drop_mm or not blow.rolls:
        springs = Springs(tyre.stiffness_per_MPa * pressure_MPa, tyre.travel_mm, rim_N_mm)
        peaks.append(dropped_force(blow.energy_J(blow.drop_mm), blow.weight_N, springs))
    return np.asarray(reduce(np.maximum, peaks))


def _rolled(
    blow: Blow, step: Step, rim_N_mm: float, tyre: Cushion, pressure: Values, speed: Values
) -> Values:
    """The largest force (n,) of rolling against a step; the load alone where the rim gives way, as
    one that buckles does: an axle that sinks to the middle of the edge rolls over nothing.
    """
    room_mm = step.wheel_radius_mm - step.height_mm + step.edge_mm
    if rim_N_mm * room_mm <= blow.weight_N:
        return np.full(np.broadcast_shapes(np.shape(pressure), np.shape(speed)), blow.weight_N)
    edge, ground = (
        Springs(unit * pressure, tyre.travel_mm, rim_N_mm)
        for unit in (tyre.stiffness_per_MPa, step.ground_per_MPa)
    )
    roller = Roller(blow.mass_kg, blow.weight_N, edge, ground)
    return edge.force_N(rolled_push(step, roller, speed))


def _passed(falls: Callable[[Floats], Floats], first: float, last: float, wanted: Floats) -> Floats:
    """The last place (k,) between two where a function that falls from the first to the last
    passes each of the wanted values (k,); the first where it is below from there on, the last
    where it never is. It is looked at everywhere, then closely where it passes.
    """
    coarse = first + (last - first) * SHARES
    k = _last_above(falls(coarse) - wanted[:, None])
    fine = coarse[k, None] + (coarse[k + 1] - coarse[k])[:, None] * SHARES
    above = falls(fine.ravel()).reshape(fine.shape) - wanted[:, None]
    here = np.arange(len(wanted)), _last_above(above)
    there = here[0], here[1] + 1
    share = above[here] / np.maximum(above[here] - above[there], 1e-12)
    return np.asarray(fine[here] + np.clip(share, 0.0, 1.0) * (fine[there] - fine[here]))


def _last_above(above: Floats) -> Ints:
    """Which place (k,) but the last of every row (k, n) is the last that is above zero."""
    places = np.arange(above.shape[1])
    return np.minimum(np.where(above > 0, places, 0).max(axis=1), len(places) - 2)
