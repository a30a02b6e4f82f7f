"""A rim as two wheels, with and without dents, for whoever puts them into words."""

from __future__ import annotations

import pytest

from rimfea.profile.sheet import Sheet
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup

SNIPE = {
    "name": "snipe",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
}
FELL = Setup.from_values({
    "name": "fell", "tyre_width_mm": 45, "front_share": 0.4, "speed_km_h": 0, "drop_mm": 200,
})  # fmt: skip


@pytest.fixture(scope="package")
def bare():
    """A front and a rear wheel whose dents nobody asked for."""
    sheet = Sheet(SNIPE)
    return [ride(wheel_of(sheet, FELL, end, coarseness=1.8), FELL, end) for end in End]


@pytest.fixture(scope="package")
def both(bare, dented_by_hand):
    return [dented_by_hand(each) for each in bare]
