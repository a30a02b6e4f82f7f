"""Strengths of alloys against factors that the tables print beside them, and against handbooks."""

from __future__ import annotations

import pytest

from rimfea.alloys import alloy
from rimfea.units import to_unit

TABLE = "EN 1999-1-1:2007 Table 3.2b"
HANDBOOK = "Aluminum Association, Aluminum Standards and Data, R.R. Moore, 5e8 cycles"
ROUNDING = 0.0051  # of a factor printed with two decimals

# Proof and ultimate strength beside a weld as shares of those elsewhere.
FACTORS = {"6060-T66": (0.41, 0.51), "6061-T6": (0.48, 0.67), "6063-T66": (0.38, 0.53)}


@pytest.mark.parametrize("name", FACTORS)
def test_strength_beside_a_weld_is_the_share_that_the_table_prints(name, verified):
    metal, (proof, ultimate) = alloy(name), FACTORS[name]
    for what, printed, weld, whole in (
        ("proof stress", proof, metal.weld_proof_MPa, metal.proof_MPa),
        ("ultimate strength", ultimate, metal.weld_ultimate_MPa, metal.ultimate_MPa),
    ):
        quantity = f"{what} beside a weld, {name}, share"
        verified(quantity, printed, weld / whole, TABLE, within=ROUNDING / printed)


@pytest.mark.parametrize(("name", "published"), [("6061-T6", 14), ("6063-T5", 10), ("7075-T6", 23)])
def test_fatigue_strength_is_the_one_printed_in_thousands_of_pounds_per_square_inch(
    name, published, verified
):
    ours = to_unit(alloy(name).fatigue_MPa, "psi") / 1000
    verified(f"fatigue strength, {name}, ksi", published, ours, HANDBOOK, within=0.5 / published)
