"""Numbers of rims as a builder has them, for more than one module of tests."""

from __future__ import annotations

# Typed into the form of the page.
TYPED = {
    "name": "dotterel",
    "bead_seat_diameter_mm": "622",
    "inner_width_mm": "25,0",
    "overall_depth_mm": "21.0 21.1 21.0 ± 0.03",
    "bead_hook_mm": "1.90",
    "hook_lip_mm": "2.2",
    "sidewall_mm": "0.041 in",
    "tyre_well_mm": "1.1",
    "nipple_seat_mm": "2.4",
}
# What can be measured of a rim that nobody sawed, and besides where it has a chamber.
OUTSIDE = {
    "name": '"dunnock"',
    "bead_seat_diameter_mm": 622,
    "spoke_count": 28,
    "inner_width_mm": 24.0,
    "overall_depth_mm": 21.0,
    "hook_height_mm": 5.7,
    "bead_hook_mm": 1.9,
    "hook_lip_mm": 2.1,
    "sidewall_mm": 1.22,
    "spoke_hole_mm": 4.5,
    "nipple_seat_mm": 2.4,
}
CHAMBER = {"tyre_well_depth_mm": 3.4, "tyre_well_width_mm": 14.8, "spoke_bed_width_mm": 14.5}

COARSE_TONES = 2.5  # triangles for tones that need not be exact
