"""What the built wheel does: its stiffness, its spokes under the rider, and when it buckles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.elastic import patches
from rimfea.elastic.buckling import buckling
from rimfea.elastic.discrete import Held, held
from rimfea.elastic.loads import Pressure, WheelLoad
from rimfea.elastic.ring import Ring
from rimfea.elastic.ring_field import load_amplitudes
from rimfea.elastic.spokes import PATTERN

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Complex = NDArray[np.complex128]

ROUND_THE_PATTERN = 8  # places of the contact patch between a spoke and the next of its kind


@dataclass(frozen=True)
class Wheel:
    """A built wheel, in the builder's terms.

    Stiffness is force by displacement of the spoke bed against the hub, under a load shared by
    both bead seats; ``radial_smeared_N_mm`` is the same with the spokes smeared into a
    foundation: the difference tells how much the gaps between spokes matter.
    ``tension_N`` (j,) is every spoke's before anything else, ``air_change_N`` (j,) what inflation
    adds to it, ``tension_change_N`` (j,) what the wheel load at a spoke adds, and
    ``turn_change_N`` (j,) the most that it takes away as the wheel turns. ``slack_load_N`` is the
    load at which the first spoke of the inflated wheel goes slack, ``inflation_loss`` the share
    of the mean tension that the tyre's pressure takes, and
    ``buckling_tension_N`` the tension of the tighter side at which the rim buckles sideways, in
    ``buckling_waves`` waves.
    """

    radial_N_mm: float
    radial_smeared_N_mm: float
    lateral_N_mm: float
    torsional_N_m_rad: float
    tension_N: Floats
    air_change_N: Floats
    tension_change_N: Floats
    turn_change_N: Floats
    slack_load_N: float
    inflation_loss: float
    buckling_tension_N: float
    buckling_waves: int

    __repr__ = brief


def wheel(
    ring: Ring, load: WheelLoad, pressure: Pressure, buckles: tuple[int, float] | None = None
) -> Wheel:
    """Ask the ring what its builder asks of the wheel; ``buckles`` are the waves and the tension
    (N) at which a wheel much like it does, if that will do.
    """
    once, aside = (
        load_amplitudes(ring, each) for each in (load, replace(load, force_N=0.0, side_N=1.0))
    )
    places = [once * factor[:, None] for factor in _through_the_pattern(ring)]
    air, pushed, *turn = held(ring, [load_amplitudes(ring, pressure), aside, *places])
    loss, slack = air.tension_change, _turn_change(turn)
    waves, most = buckles or _buckling_tension(ring)
    return Wheel(
        radial_N_mm=-load.size / _moved(ring, turn[0].amplitudes, seat=1),
        radial_smeared_N_mm=-load.size / _moved(ring, once, seat=1),
        lateral_N_mm=1 / _moved(ring, pushed.amplitudes, seat=0),
        torsional_N_m_rad=_torsional(ring),
        tension_N=ring.spokes.tension,
        air_change_N=loss,
        tension_change_N=turn[0].tension_change,
        turn_change_N=slack,
        slack_load_N=load.size * _slack_factor(ring.spokes.tension + loss, slack),
        inflation_loss=float(-loss.mean() / ring.spokes.tension.mean()),
        buckling_tension_N=most,
        buckling_waves=waves,
    )


def _buckling_tension(ring: Ring) -> tuple[int, float]:
    waves, factor = buckling(ring)
    return waves, factor * float(ring.spokes.tension.max())


def _moved(ring: Ring, A: Complex, seat: int) -> float:
    """Displacement of the seat at θ = 0 in direction x (0) or y (1) under amplitudes (h, l)."""
    return float(np.einsum("nl,nl->n", ring.seen[:, seat], A).real.sum())


def _torsional(ring: Ring) -> float:
    """Torque between rim and hub by the angle, N m per radian."""
    compliance = ring.seen[0, 2, 2]
    return float(2 * np.pi * ring.seat_radius**2 / compliance) / 1000


def least_tension(built: Wheel, load_factor: float = 1.0) -> float:
    """The tension (N) of the tighter side at which the first spoke would go slack under
    ``load_factor`` times the wheel load; what air and load take hardly depends on the tension.
    """
    share = built.tension_N / built.tension_N.max()
    needed = -(built.air_change_N + load_factor * built.turn_change_N) / share
    return max(0.0, float(needed.max()))


def _through_the_pattern(ring: Ring) -> list[Floats]:
    """Factors (h,) that move a load from the first spoke on to the next of its kind."""
    step = PATTERN * 2 * np.pi / len(ring.spokes.angle) / ROUND_THE_PATTERN
    return [patches.turned(ring.n, k * step) for k in range(ROUND_THE_PATTERN)]


def _turn_change(places: Sequence[Held]) -> Floats:
    """The lowest change (j,) of every spoke's tension as the load passes the lacing pattern."""
    change = np.array([answer.tension_change for answer in places])
    count = change.shape[1]
    kinds = PATTERN if count % PATTERN == 0 else PATTERN // 2  # radial: right and left only
    lowest = change.reshape(len(places), -1, kinds).min(axis=(0, 1))
    return np.asarray(np.tile(lowest, count // kinds))


def _slack_factor(tension: Floats, turn_change: Floats) -> float:
    """How many times the load takes all of a tension (j,); 0 where there is none to take."""
    if tension.min() <= 0:
        return 0.0
    share = (-turn_change / tension).max()
    return float(1 / share) if share > 0 else float("inf")
