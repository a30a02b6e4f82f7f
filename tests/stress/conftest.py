from __future__ import annotations

import pytest

from rimfea.profile.sheet import Sheet
from rimfea.study.analysis import analyse


@pytest.fixture(scope="session")
def rim():
    """A solved rim."""
    sheet = Sheet(
        {
            "name": "Redshank",
            "bead_seat_diameter_mm": 584,
            "inner_width_mm": 25,
            "overall_depth_mm": 21,
            "bead_hook_mm": 1.8,
            "hook_lip_mm": 2.6,
            "sidewall_mm": 1.5,
            "tyre_well_mm": 1.3,
            "nipple_seat_mm": 2.6,
        }
    )
    return analyse(sheet, coarseness=1.6)
