"""Random caliper sheets: every family and every key, over all a sheet allows and beyond."""

from __future__ import annotations

import math
from collections.abc import Callable
from random import Random

from rimfea.alloys import ALLOYS
from rimfea.profile.bead_seats import CODES
from rimfea.profile.brake import Brake
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.field import NUMERIC
from rimfea.profile.fields import BY_KEY, FIELDS
from rimfea.profile.joint import Joint
from tests.profile.test_build import MAY_BE_LEFT_OUT, drawn_values

Between = Callable[[float, float], float]

RADII = ("crown_radius_mm", "corner_radius_mm", "fillet_radius_mm")
SMALLEST_MM = 0.05
ABSURD = (0, -1, 1e-9, 1e9, -0.0, math.inf, -math.inf, math.nan, True, "", "1,5", "two", [], {})


def random_values(seed: int) -> dict[str, object]:
    """The values of a sheet by key. About two thirds make a rim; of the others some numbers are
    anywhere in their range or beyond it, so that they clash or are refused.
    """
    random = Random(seed)
    family = random.choice(DRAWN)

    def between(low: float, high: float) -> float:
        return random.uniform(low, max(low, high))

    values: dict[str, object] = {
        "name": f"Sandpiper {seed}",
        "family": str(family),
        "bead_seat_diameter_mm": random.choice(CODES),
        **_shape(family, between, random),
        **_build(between, random),
    }
    for _ in range(random.choice((0, 0, 1, 3))):
        _spoil(values, random)
    return values


def _shape(family: Family, between: Between, random: Random) -> dict[str, float]:
    """A section that mostly can be drawn; half of them with some roundings hardly to be seen."""
    values = {key: value for key, value in drawn_values(family, between).items() if value}
    for key in RADII:
        if key in values and random.random() < 0.3:
            values[key] = math.exp(random.uniform(math.log(SMALLEST_MM), math.log(values[key])))
    if family is not Family.SINGLE and random.random() < 0.15:
        values["arch_radius_mm"] = between(1, 6)
    for key in random.sample(MAY_BE_LEFT_OUT, random.randint(0, 6)):
        values.pop(key, None)
    return values


def _build(between: Between, random: Random) -> dict[str, object]:
    """What a sheet says besides its shape: each in some sheets only."""
    wished: dict[str, Callable[[], object]] = {
        "alloy": lambda: random.choice(sorted(ALLOYS)),
        "joint": lambda: str(random.choice(list(Joint))),
        "brake": lambda: str(random.choice(list(Brake))),
        "batch": lambda: "late autumn",
        "note": lambda: "ä ± ¼ \" \\ '",
        "spoke_count": lambda: 2 * random.randint(4, 36),
        "spoke_tension_N": lambda: between(100, 2500),
        "tension_limit_N": lambda: between(100, 3000),
        "weighed_mass_g": lambda: between(100, 3000),
        "joint_mass_g": lambda: between(0, 150),
        "wear_mark_mm": lambda: between(0.3, 1.5),
        "tones_Hz": lambda: [between(10, 10_000) for _ in range(random.randint(1, 4))],
        "youngs_GPa": lambda: between(20, 250),
        "poisson": lambda: between(0.2, 0.4),
        "density_kg_m3": lambda: between(1500, 9000),
    }
    values = {key: make() for key, make in wished.items() if random.random() < 0.2}
    if random.random() < 0.2:
        proof = between(80, 600)
        values |= {"proof_MPa": proof, "ultimate_MPa": between(1.05, 2) * proof}
    return values


def _spoil(values: dict[str, object], random: Random) -> None:
    """One number anywhere in its range, a little beyond it, absurd, or gone."""
    key = random.choice([field.key for field in FIELDS if field.kind in NUMERIC])
    field = BY_KEY[key]
    values[key] = random.choice(
        (
            random.uniform(field.low, field.high),
            field.low,
            field.high,
            random.choice((field.low * 0.99, field.high * 1.01)),
            random.choice(ABSURD),
            None,
        )
    )
