"""A worn sidewall against a strip bent by its bead: statics of a cantilever."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from rimfea.ask.wear import wear
from rimfea.elastic.surfaces import CASING_MM
from rimfea.profile.sheet import Sheet
from rimfea.study.cases import Loading

STRIP = "cantilever, 6 M / t², M = p (√(ρ² − W²/4) h + h²/2); casing as a circular arc"
LOADING = Loading(tension_N=1.0, pressure_MPa=0.3, tyre_width_mm=40.0)
# Tall sidewalls that a brake wears thin, on bead seats too stiff to turn.
RINGED_PLOVER = {
    "name": "ringed plover",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 24,
    "overall_depth_mm": 26,
    "bead_hook_mm": 1.5,
    "hook_lip_mm": 2.4,
    "sidewall_mm": 1.6,
    "tyre_well_mm": 2.0,
    "nipple_seat_mm": 2.8,
    "bead_seat_mm": 4.0,
    "flank_mm": 2.0,
    "hook_height_mm": 10.0,
    "fillet_radius_mm": 0.3,
    "spoke_count": 12,
}


@cache
def thin():
    return wear(Sheet(RINGED_PLOVER), LOADING, thicknesses=[1.1, 0.8, 0.5], coarseness=1.6)


def strip_MPa(t):
    """Bending at the root of a strip of thickness t, where the fillet ends: the casing pulls at the
    middle of the uppermost millimetre of its straight face, and the air presses on all of that.
    """
    sheet = thin().sheet
    p, rho = LOADING.pressure_MPa, LOADING.tyre_width_mm / 2
    between = sheet.inner_width_mm + 2 * (sheet.hook_lip_mm - sheet.sidewall_mm)
    f = p * np.sqrt(rho**2 - (between / 2) ** 2)
    straight = sheet.hook_height_mm - sheet.bead_hook_mm - 2 * sheet.fillet_radius_mm
    return 6 * (f * (straight - CASING_MM / 2) + p * straight**2 / 2) / t**2


@pytest.mark.long
@pytest.mark.parametrize("k", [1, 2, 3])
def test_a_thin_sidewall_bends_like_a_strip_pulled_by_its_bead(verified, k):
    found = thin()
    t = found.thickness_mm[k]
    quantity = f"bending at the root of a sidewall worn to {t:.1f} mm, MPa"
    verified(quantity, strip_MPa(t), found.bending_MPa[k], STRIP, within=0.04)


@pytest.mark.long
def test_bending_goes_with_the_inverse_square_of_what_is_left(verified):
    found = thin()
    slope = np.polyfit(np.log(found.thickness_mm[1:]), np.log(found.bending_MPa[1:]), 1)[0]
    verified("slope of log bending over log thickness", -2.0, slope, STRIP, within=0.015)
