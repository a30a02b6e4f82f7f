"""Strengths of alloys against factors that the tables print beside them, and against a handbook."""

from __future__ import annotations

import pytest

from rimfea.alloys import alloy

TABLE = "EN 1999-1-1:2007 Table 3.2b"
HANDBOOK = "Aluminum Association, Aluminum Standards and Data, from memory"
LB_PER_CUBIC_INCH = 27679.90  # kg/m³: 0.45359237 kg over (0.0254 m)³
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


@pytest.mark.parametrize(
    ("name", "printed"), [("6061-T6", 0.098), ("7005-T6", 0.100), ("7075-T6", 0.101)]
)
def test_density_is_the_one_printed_in_pounds_a_cubic_inch(name, printed, verified):
    ours = alloy(name).density_kg_m3 / LB_PER_CUBIC_INCH
    verified(f"density, {name}, lb/in³", printed, ours, HANDBOOK, within=0.00065 / printed)
