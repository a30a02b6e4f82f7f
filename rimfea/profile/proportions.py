"""The sharp-cornered half section that caliper numbers describe, as plain numbers.

Axes: x lateral from the middle of the rim, y radially outward from the bead seat (y = 0).
Everything here works on whatever numbers are known; one that is missing raises KeyError, so
that a rule or a default that needs it stays silent.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from rimfea.brief import brief

if TYPE_CHECKING:
    from rimfea.profile.families import Family
    from rimfea.profile.joint import Joint
    from rimfea.profile.trace import Trace

FLUSH_MM = 0.05
"""Two walls that differ by no more than this are drawn in one line: a caliper, and the rounding
of an edge, cannot tell such a step from none."""

RIDGE_TOP_MM = 0.8
"""Width of the ridge's top; its face towards the bead is taken to lean by 45 degrees. Both assumed,
no source.
"""


@dataclass(frozen=True)
class Known:
    """The numbers of a sheet as far as they are known: mm, degrees, grams, counts; of its words
    those that numbers follow from.

    Places x are those of the right half; ``side`` -1 makes it the left one, as seen in a mirror. Of
    a rim that was traced the ``section`` is known instead of what it would be drawn from.
    """

    family: Family
    numbers: Mapping[str, float]
    assumed: frozenset[str] = field(default=frozenset())
    joint: Joint | None = None
    side: int = 1
    section: Trace | None = None

    __repr__ = brief

    def __getitem__(self, key: str) -> float:
        return self.numbers[key]

    @property
    def traced(self) -> Mapping[str, float]:
        """The numbers read off a traced section; raises KeyError for one that is drawn."""
        if self.section is None:
            raise KeyError("section")
        return self.section.sizes

    def with_assumed(self, numbers: Mapping[str, float]) -> Known:
        """A copy that also knows ``numbers``, marked as assumed."""
        merged = {**self.numbers, **numbers}
        return replace(self, numbers=merged, assumed=self.assumed | numbers.keys())


def halves(known: Known) -> tuple[Known, ...]:
    """The right and the left half, or one of them where both are alike."""
    return (replace(known, side=1), replace(known, side=-1)) if bed_shift(known) else (known,)


def bed_shift(known: Known) -> float:
    """How far the middle of the spoke bed lies towards this side of the rim's middle."""
    return known.side * known.numbers.get("spoke_bed_offset_mm", 0.0)


def bed_edge(known: Known) -> float:
    """Lateral place x of the sharp edge of spoke bed and flank."""
    return bed_shift(known) + known["spoke_bed_width_mm"] / 2


def outer_half(known: Known) -> float:
    """Lateral place x of the outer face of the sidewall."""
    return known["inner_width_mm"] / 2 + known.family.head.widest(known)


def foot_thickness(known: Known) -> float:
    """Thickness of the sidewall where it meets the bead seat: that of half way up, if nobody
    measured another.
    """
    return known.numbers.get("sidewall_foot_mm", known["sidewall_mm"])


def top_thickness(known: Known) -> float:
    """Thickness of the sidewall under the hook: as much to one side of what it is half way up as
    the foot is to the other.
    """
    return 2 * known["sidewall_mm"] - foot_thickness(known)


def thickest_sidewall(known: Known) -> float:
    """The thicker of its two ends."""
    return max(foot_thickness(known), top_thickness(known))


def sidewall_foot(known: Known) -> float:
    """Lateral place x of the inner face of the sidewall, where it meets the bead seat."""
    return outer_half(known) - foot_thickness(known)


def lip_step(known: Known) -> float:
    """How far the lip stands out from the sidewall: inward for a hook, outward without one."""
    return _step(known["hook_lip_mm"] - top_thickness(known))


def ridge_height(known: Known) -> float:
    """How high the ridge that keeps the bead stands above the bead seat; 0 without one."""
    return known.numbers.get("bead_ridge_mm", 0.0)


def ridge_top(known: Known) -> float:
    """Lateral place x of the ridge's edge over the tyre well, whose side it carries on."""
    return known["tyre_well_width_mm"] / 2 + ridge_height(known) * slope(known)


def ridge_foot(known: Known) -> float:
    """Lateral place x where the ridge rises from the bead seat; without one the well's edge."""
    height = ridge_height(known)
    return ridge_top(known) + (RIDGE_TOP_MM + height if height else 0.0)


def bed_face(known: Known) -> float:
    """Radial place y of the innermost face of the spoke bed."""
    return known["hook_height_mm"] - known["overall_depth_mm"]


def bed_inside(known: Known) -> float:
    """Radial place y of the chamber side of the spoke bed."""
    return bed_face(known) + known["spoke_bed_mm"]


def too_shallow(known: Known) -> bool:
    """Whether the hook and the spoke bed alone are as deep as the whole rim."""
    return -bed_face(known) <= known["nipple_seat_mm"]


def seat_step(known: Known) -> float:
    """How far the nipple seat stands up from the spoke bed into the chamber."""
    return _step(known["nipple_seat_mm"] - known["spoke_bed_mm"])


def bearing(known: Known) -> float:
    """Outer diameter of what bears on the nipple seat: the washer, else the nipple head."""
    return known.numbers.get("washer_mm", known["nipple_head_mm"])


def slope(known: Known) -> float:
    """Tangent of the lean of the well sides from the radial."""
    return math.tan(math.radians(known["well_slope_deg"]))


def well_floor_half(known: Known) -> float:
    """Lateral place x of the end of the well's floor on the tyre side."""
    return known["tyre_well_width_mm"] / 2 - known["tyre_well_depth_mm"] * slope(known)


def well_under(known: Known) -> float:
    """Radial place y of the far side of the well's floor, where there is a chamber below it."""
    return -known["tyre_well_depth_mm"] - known["tyre_well_mm"]


def well_back(known: Known, y: float) -> float:
    """Lateral place x of the well's side wall on its far side, one thickness from the tyre side."""
    lean = slope(known)
    return known["tyre_well_width_mm"] / 2 + y * lean + known["tyre_well_mm"] * math.hypot(1, lean)


def web_faces(known: Known) -> tuple[float, float]:
    """Radial places y of the lower and the upper face of the web between two chambers."""
    thick, bed = known["web_mm"], bed_inside(known)
    half_way = (well_under(known) - bed - thick) / 2
    low = bed + known.numbers.get("web_height_mm", half_way)
    return low, low + thick


def chamber_height(known: Known) -> float:
    """Radial room between the far side of the well's floor and the nipple seat."""
    return well_under(known) - bed_face(known) - known["nipple_seat_mm"]


def _step(by: float) -> float:
    return by if by > FLUSH_MM else 0.0
