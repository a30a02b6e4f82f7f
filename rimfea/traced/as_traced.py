"""A traced section whose walls are named, and the numbers that a sheet has from it."""

from __future__ import annotations

from rimfea.geometry.chords import stations
from rimfea.geometry.outline import Outline
from rimfea.profile.trace import Trace
from rimfea.traced.measure import measure

SPACING_MM = 0.15
CENTRED_MM, BED_MM = 0.15, 0.3  # a bed that is in the middle; how much of its height is looked at
OFFSET, BED_WIDTH = "spoke_bed_offset_mm", "spoke_bed_width_mm"


def trace_of(named: Outline, source: str = "") -> Trace:
    """The section as it was traced; ``named`` has every edge named after its wall."""
    low, high = named.outer.corners.min(axis=0), named.outer.corners.max(axis=0)
    sizes = {BED_WIDTH: bed_reach(named)[1], "outer_width_mm": float(high[0] - low[0])}
    aside = bed_middle(named)
    if abs(aside) > CENTRED_MM:
        sizes[OFFSET] = aside
    return Trace(named, {**measure(named), **sizes}, source)


def bed_middle(traced: Outline) -> float:
    """How far (mm) the middle of the innermost face lies to the right of the rim's."""
    return bed_reach(traced)[0]


def bed_reach(traced: Outline) -> tuple[float, float]:
    """Middle and width (mm) of the innermost face."""
    points, _, _ = stations(traced, SPACING_MM)
    low = points[points[:, 1] < points[:, 1].min() + BED_MM, 0]
    return float(low.max() + low.min()) / 2, float(low.max() - low.min())
