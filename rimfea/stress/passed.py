"""What a wall passes on of a load: the force that comes through a cut of it, along the rim.

Cut a rim all around through one wall that everything above it depends on, such as a sidewall. The
ring that is cut off rests on nothing else, so what comes through the cut is the whole load:

    ∮ (f_y cos θ − f_z sin θ) dθ = F        ∮ f_x dθ = across

with f the force per radian on the cut, outward f_y and around f_z turning with θ. On the way down
less and less of it is still on its way inward where the load is: what is missing went along the
rim, as shear and bending of the metal above.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.elastic.ring_field import RingField
from rimfea.stress.around import Around, linearised_around
from rimfea.stress.cuts import Cuts

LEVEL = 0.01  # of the peak: what rises by less has not turned yet
NEAR_PEAK_MM = 30.0  # of a load, where what it presses on most must be


@dataclass(frozen=True)
class Passed:
    """What comes through a cut on its way inward: ``force_N`` where the load is, until along the
    rim the force turns round or rises again, as it does at the next spoke; ``densest_N_mm`` on
    the millimetre of rim that gets most.
    """

    force_N: float
    densest_N_mm: float


def passed_on(
    across: Cuts, parts: Around, field: RingField, theta: Floats, onward: Floats
) -> Floats:
    """Force (c, t, 3) in N per radian that comes through cuts at angles (t,), in x y z there, on
    what lies ``onward`` (c, 2) of each.
    """
    stress = linearised_around(parts, field, theta).membrane
    n = across.tangent * np.sign((across.tangent * onward).sum(axis=1))[:, None]
    n_x, n_y = n[:, :1], n[:, 1:]
    xx, yy, _, yz, zx, xy = np.moveaxis(stress, -1, 0)
    traction = np.stack([xx * n_x + xy * n_y, xy * n_x + yy * n_y, zx * n_x + yz * n_y], axis=-1)
    radius = field.ring.radius + (across.start[:, 1] + across.end[:, 1]) / 2
    return np.asarray(-traction * (across.length * radius)[:, None, None])


def resultant(force: Floats, theta: Floats) -> Floats:
    """The sum (3,) over angles (t,) that go evenly all around of a force (t, 3) per radian: across,
    outward and around at θ = 0.
    """
    x, y, z = force.T
    cos, sin = np.cos(theta), np.sin(theta)
    turned = np.array([x, y * cos - z * sin, y * sin + z * cos])
    return np.asarray(turned.sum(axis=1) * (2 * np.pi / len(theta)))


def passed(inward: Floats, theta: Floats, radius: float) -> Passed:
    """What of an inward force (t,) per radian, at angles (t,) around the load in even steps, comes
    through; ``radius`` is that of the cut, mm.
    """
    step = float(theta[1] - theta[0])
    near = np.abs(theta) <= NEAR_PEAK_MM / radius
    peak = int(np.flatnonzero(near)[inward[near].argmax()])
    if inward[peak] <= 0:
        return Passed(0.0, 0.0)
    stretch = slice(
        peak - _falls(inward[peak::-1]),
        peak + _falls(inward[peak:]) + 1,
    )
    return Passed(float(inward[stretch].sum() * step), float(inward[peak] / radius))


def _falls(force: Floats) -> int:
    """For how many steps a force (t,) that starts at its peak falls and stays above nothing."""
    lowest = np.minimum.accumulate(force)
    ends = np.flatnonzero((force > lowest + LEVEL * force[0]) | (force <= 0))
    return int(force[: ends[0]].argmin()) if len(ends) else len(force) - 1
