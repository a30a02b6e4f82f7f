"""Tyre and rim as two springs in a row, and the balance of energy of a drop.

The tyre gives way with k_t until it is flat at F_b = k_t s, s its travel; from there the rim alone
gives way, with k. Push u and energy U by force:

    F ≤ F_b   u = F/k_t + F/k    U = F²/2k_t + F²/2k
    F > F_b   u = s + F/k        U = F_b s/2 + F²/2k

A rigid mass that has fallen by h and then goes on through the push u, while a load W presses on
it, has done m g h + W u of work. U(F) = m g h + W u is a quadratic in F. W is the whole load of the
wheel: what of the rider is not rigid falls as fast as the rest, and the limbs then press on the
mass as they do in standing still, for longer than a blow lasts. Without a tyre and with W = m g
it is the falling weight of the textbooks, F = W (1 + √(1 + 2h k/W)) (Gere and Timoshenko, Mechanics
of Materials, section on impact loading).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from rimfea.arrays import Values


@dataclass(frozen=True)
class Springs:
    """A tyre of ``tyre_N_mm`` over its ``travel_mm``, and the rim of ``rim_N_mm`` behind it; one
    wheel, or several that differ in their air.
    """

    tyre_N_mm: Values
    travel_mm: float
    rim_N_mm: float

    @cached_property
    def soft_N_mm(self) -> Values:
        """Force by push of both until the tyre is flat."""
        return self.tyre_N_mm * self.rim_N_mm / (self.tyre_N_mm + self.rim_N_mm)

    @cached_property
    def flat_N(self) -> Values:
        """Force at which the tyre is flat, and which it goes on bearing."""
        return self.tyre_N_mm * self.travel_mm

    @cached_property
    def flat_mm(self) -> Values:
        """Push of both at which the tyre is flat."""
        return self.travel_mm + self.flat_N / self.rim_N_mm

    def force_N(self, push_mm: Values) -> Values:
        """Force at a push; none where nothing touches."""
        soft = self.soft_N_mm * np.maximum(push_mm, 0.0)
        hard = self.rim_N_mm * (push_mm - self.travel_mm)
        return np.where(push_mm < self.flat_mm, soft, hard)

    def push_mm(self, force_N: Values) -> Values:
        """Push under a force."""
        flat = self.travel_mm + force_N / self.rim_N_mm
        return np.where(force_N < self.flat_N, force_N / self.soft_N_mm, flat)

    def energy_J(self, force_N: Values) -> Values:
        """Energy taken up under a force."""
        rim = force_N**2 / (2 * self.rim_N_mm)
        tyre = np.minimum(force_N, self.flat_N) ** 2 / (2 * self.tyre_N_mm)
        return (tyre + rim) / 1000


def dropped_force(energy_J: float, weight_N: float, springs: Springs) -> Values:
    """The largest force (N) of a mass that meets the tyre with that energy under that load; where
    the rim gives way, as one that buckles does, that load alone.
    """
    energy, s = 1000 * energy_J, springs.travel_mm
    soft = weight_N + np.sqrt(np.maximum(weight_N**2 + 2 * energy * springs.soft_N_mm, 0.0))
    left = energy + (weight_N - springs.flat_N / 2) * s
    hard = weight_N + np.sqrt(np.maximum(weight_N**2 + 2 * springs.rim_N_mm * left, 0.0))
    return np.where(soft <= springs.flat_N, soft, hard)


def energy_for(force_N: Values, weight_N: float, springs: Springs) -> Values:
    """The energy (J) at the tyre's touch that brings a force; negative where the load alone, put
    on suddenly, is more than enough.
    """
    return springs.energy_J(force_N) - weight_N * springs.push_mm(force_N) / 1000


def energy_to_push(beyond_mm: Values, work_J: Values, weight_N: float, springs: Springs) -> Values:
    """The energy (J) at the tyre's touch that pushes the rim ``beyond_mm`` further than where the
    tyre is flat, which takes ``work_J`` beside the force that the tyre goes on bearing: the rim
    need not be a spring any more. Where it is one, the same as :func:`energy_for`.
    """
    flat = springs.energy_J(springs.flat_N) + springs.flat_N * beyond_mm / 1000
    return flat + work_J - weight_N * (springs.flat_mm + beyond_mm) / 1000
