"""How round a hoop is, from readings of its effective rim diameter around the rim.

A diameter joins two opposite places, so half a turn of diameters is all there is, and only the
even waves of the radius are in it: two, four, ... bulges around the rim. Odd ones add at one end
what they take at the other. That holds of the first, which is a hoop off its centre and no fault
of its shape, and of the third.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.profile.uncertainty import CALIPER, coverage_factor
from rimfea.profile.values import Readings

GOOD_SPREAD_MM = 0.5  # common practice: a good hoop's diameter varies by less
LEAST_FOR_OVALITY = 4
LEAST_FOR_JOINT = 6


@dataclass(frozen=True)
class Ovality:
    """The second wave of the radius: it swings by ± ``amplitude_mm``, the diameter by twice as
    much; the longest diameter lies ``angle`` (0 to π) on from the joint.
    """

    amplitude_mm: float
    angle: float


@dataclass(frozen=True)
class Joint:
    """How much longer the diameter at the joint is than the others let expect, and by how much
    it may differ on a hoop without a fault there.
    """

    step_mm: float
    limit_mm: float

    @property
    def stands_out(self) -> bool:
        """Whether the step is more than scatter and instrument together explain."""
        return abs(self.step_mm) > self.limit_mm


@dataclass(frozen=True)
class Roundness:
    """Mean and spread (largest less smallest) of the diameters in mm. ``ovality`` is that of the
    hoop apart from a joint that stands out. Where there are too few readings for ovality or joint
    they are None, and ``wanting`` says so.
    """

    mean_mm: float
    spread_mm: float
    ovality: Ovality | None
    joint: Joint | None
    wanting: tuple[str, ...]

    @property
    def good(self) -> bool:
        """Whether the diameter varies as little as in a good hoop."""
        return self.spread_mm < GOOD_SPREAD_MM


def roundness(readings: Readings) -> Roundness:
    """How round the hoop is. The readings are diameters at equal steps over half a turn, the
    first at the joint: n readings are π/n apart.

    The tolerance is how well the instrument repeats, that of a usual caliper if none is given; an
    error it makes everywhere alike cancels.
    """
    d = np.array(readings.values)
    tolerance = readings.tolerance_mm or CALIPER.half_width_mm
    joint = _joint(d, tolerance) if len(d) >= LEAST_FOR_JOINT else None
    plain = d - joint.step_mm * _first(len(d)) if joint and joint.stands_out else d
    wants = {"an oval": LEAST_FOR_OVALITY, "a fault at the joint": LEAST_FOR_JOINT}
    return Roundness(
        mean_mm=readings.mean,
        spread_mm=float(np.ptp(d)),
        ovality=_ovality(plain) if len(d) >= LEAST_FOR_OVALITY else None,
        joint=joint,
        wanting=tuple(
            f"{what} takes at least {least} readings over half a turn to see, not {len(d)}"
            for what, least in wants.items()
            if len(d) < least
        ),
    )


def _ovality(d: Floats) -> Ovality:
    """From d(φ) = d₀ + 2a cos 2(φ − φ₀), the discrete Fourier transform's first wave."""
    wave = 2 / len(d) * np.fft.rfft(d)[1]
    return Ovality(float(abs(wave)) / 2, float(-np.angle(wave) / 2 % math.pi))


def _joint(d: Floats, tolerance: float) -> Joint:
    """The first reading against mean and oval of the others.

    Among equal steps the fit to all has the leverage 3/n everywhere, so the residual of the first
    divided by 1 − 3/n is its distance from the fit to the others. The limit is Student's for the
    n − 4 degrees of freedom of their scatter, at the confidence of k = 2, and no less than what
    readings all within the tolerance can add up to: a perfect oval never stands out.
    """
    n = len(d)
    left = 1 - 3 / n
    weights = (_first(n) - (1 + 2 * np.cos(2 * np.pi * np.arange(n) / n)) / n) / left
    step = float(weights @ d)
    others = _residual(d - step * _first(n))
    scatter = math.sqrt(others @ others / (n - 4))
    by_scatter = coverage_factor(n - 4) * scatter / math.sqrt(left)
    return Joint(step, max(by_scatter, tolerance * float(np.abs(weights).sum())))


def _residual(d: Floats) -> Floats:
    """What mean and oval leave of diameters (n,)."""
    waves = np.fft.rfft(d)
    waves[:2] = 0
    return np.fft.irfft(waves, len(d))


def _first(n: int) -> Floats:
    """1 at the joint, 0 elsewhere."""
    return np.eye(1, n)[0]
