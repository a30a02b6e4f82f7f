"""A wheel that rolls against a step: its axle goes on at constant speed, the edge turns under it.

With x the axle's way to the edge (negative before it), y its height above the ground, R the
wheel's radius and the edge a circle of radius r whose top is s above the ground, wheel and edge
overlap by

    δ = R + r − d    d = √(x² + h²)    h = y − (s − r)

and wheel and ground by R − y. Tyre and rim press back from both (``rimfea/strike/energy.py``); the
edge presses along the line from its centre to the axle, of which h/d points upward. A mass m that
must rise with the axle, under the load W of the wheel, at the speed v, moves by

    m v² y'' = F(δ) h/d + F_ground(R − y) − W    y' = dy/dx

It starts where the edge touches, neither rising nor falling, as deep in the tyre as W presses it,
and is followed until the axle stands over the edge; what it lands on beyond is a drop of its own.
As the axle never sinks below where it started, δ is at most s and that sag, which it is where v
is infinite. For v → 0 it is the statics of a wheel at a kerb: F h/d = W once the ground is left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

from rimfea.arrays import Floats, Values
from rimfea.errors import LoadError, positive
from rimfea.strike.energy import Springs

# The push is good to 0.02 mm then (tests/strike/test_rolling.py holds it against a motion in the
# smallest steps). Where the tyre gets flat the force itself does not jump.
RELATIVE, ABSOLUTE_MM = 1e-6, 1e-5
LOOKS = np.linspace(0.0, 1.0, 257)  # at the path from touch to the axle over the edge


@dataclass(frozen=True)
class Step:
    """An edge ``height_mm`` above the ground and ``edge_mm`` round, before a wheel of
    ``wheel_radius_mm`` whose tyre on the ground has ``ground_per_MPa`` of stiffness (N/mm) at
    unit pressure.
    """

    height_mm: float
    edge_mm: float
    wheel_radius_mm: float
    ground_per_MPa: float

    def __post_init__(self) -> None:
        positive("radius of the step's edge", self.edge_mm)
        positive("stiffness of the tyre on the ground", self.ground_per_MPa)
        if not 0 < self.height_mm <= self.wheel_radius_mm:
            raise LoadError(
                f"height of the step = {self.height_mm:g} mm: allowed above 0 up to the wheel's "
                f"radius, {self.wheel_radius_mm:.0f} mm"
            )


@dataclass(frozen=True)
class Roller:
    """What goes over it: ``mass_kg`` that must rise with the axle, the load ``weight_N``, and how
    tyre and rim press back from the ``edge`` and from the ``ground``.
    """

    mass_kg: float
    weight_N: float
    edge: Springs
    ground: Springs


def rolled_push(step: Step, roller: Roller, speed_m_s: Values) -> Floats:
    """The largest push (n,) in mm of tyre and rim while wheels roll over the step's edge, one a
    speed or one a pressure of its springs.
    """
    reach, centre = step.wheel_radius_mm + step.edge_mm, step.height_mm - step.edge_mm
    start = step.wheel_radius_mm - roller.ground.push_mm(roller.weight_N)
    start, speed = np.broadcast_arrays(np.atleast_1d(start), speed_m_s)
    way = np.sqrt(reach**2 - (start - centre) ** 2)
    inertia = 1000 * roller.mass_kg * speed**2 / way  # N

    def slopes(done: float, state: Floats) -> Floats:
        y, slope = state.reshape(2, -1)
        up = y - centre
        away = np.hypot(way * (1 - done), up)
        borne = roller.edge.force_N(reach - away) * up / away
        borne = borne + roller.ground.force_N(step.wheel_radius_mm - y)
        return np.concatenate([way * slope, (borne - roller.weight_N) / inertia])

    still = np.concatenate([start, np.zeros_like(start)])
    path = scipy.integrate.solve_ivp(
        slopes, (0, 1), still, t_eval=LOOKS, rtol=RELATIVE, atol=ABSOLUTE_MM
    )
    height = path.y[: len(start)]
    away = np.hypot(way[:, None] * (1 - LOOKS), height - centre)
    return np.asarray(reach - away.min(axis=1))
