from __future__ import annotations

import pytest

from rimfea.study.analysis import analyse


@pytest.fixture(scope="session")
def rim(sheet_of):
    """A solved rim."""
    sheet = sheet_of(bead_seat_diameter_mm=584, bead_hook_mm=1.8, nipple_seat_mm=2.6)
    return analyse(sheet, coarseness=1.6)
