"""Fatigue against published numbers."""

from __future__ import annotations

from math import log10

import numpy as np
import pytest

from rimfea.stress.fatigue import SLOPE, equivalent_stress, goodman, life_ratio

GOODMAN = "Goodman σ_a/(1 − σ_m/σ_u)"
HANDBOOK = "MIL-HDBK-5 fig. 3.6.2.2.8, citation from memory"
AMPLITUDE, MEAN, ULTIMATE = 100.0, 50.0, 310.0


def test_goodman_at_a_known_point(verified):
    """The limit is met by a metal whose fatigue strength is the reversed amplitude as harmful."""
    use = goodman(np.array(AMPLITUDE), np.array(MEAN), fatigue_MPa=1.0, ultimate_MPa=ULTIMATE)
    reversed_MPa = AMPLITUDE / (1 - (float(use) - AMPLITUDE))
    verified("reversed amplitude, Goodman", 119.23, reversed_MPa, GOODMAN, within=1e-4)
    limit = goodman(np.array(AMPLITUDE), np.array(MEAN), fatigue_MPa=119.23, ultimate_MPa=ULTIMATE)
    verified("utilisation there", 1.0, float(limit), GOODMAN, within=1e-4)


def test_walker_at_the_same_point(verified):
    own = equivalent_stress(np.array(AMPLITUDE), np.array(MEAN))
    alone = equivalent_stress(np.array(1.0), np.array(0.0))
    verified("reversed amplitude, Walker 0.63", 116.19, float(own / alone), HANDBOOK, within=1e-4)


# S_max in ksi, R, life: points of the fitted curve.
CURVE = [(40, -1, 1121), (30, -1, 19010), (20, -1, 1.027e6), (14, -1, 3.44e7), (30, 0.1, 2.68e6)]


@pytest.mark.parametrize(("highest", "R", "life"), CURVE[1:])
def test_lives_compare_as_on_the_handbooks_curve(verified, highest, R, life):
    first, *_ = CURVE
    own, other = (
        float(equivalent_stress(np.array(S * (1 - R) / 2), np.array(S * (1 + R) / 2)))
        for S, R in ((highest, R), first[:2])
    )
    name = f"log10 of life at {highest} ksi, R = {R:g} by that at 40 ksi, R = −1"
    ours = log10(life_ratio(own, other))
    verified(name, log10(life / first[2]), ours, HANDBOOK, within=1e-3)
    name, ours = f"log10 of that life, {highest} ksi, R = {R:g}", 20.68 - SLOPE * log10(own)
    verified(name, log10(life), ours, HANDBOOK, within=1e-3)
