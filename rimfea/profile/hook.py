"""The straight faces of a hook or lip as numbers: a crown that may slope, an underside that may
lean against it, the face of a sidewall that may be tapered.

Seen on the right half, with the axes of :mod:`rimfea.profile.proportions`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rimfea.geometry.corner import LARGEST_SHARE
from rimfea.profile.proportions import Known, foot_thickness, lip_step, outer_half, top_thickness

CROWN_SHARE = 0.49
"""Of the crown's width that one rounding may take: what is left between two of them is a flat that
no finger feels, but that can be meshed.
"""


@dataclass(frozen=True)
class Line:
    """A straight line through (x, y) with dy/dx = ``slope``."""

    x: float
    y: float
    slope: float

    def at(self, x: float) -> float:
        """Height y of the line at x."""
        return self.y + (x - self.x) * self.slope


@dataclass(frozen=True)
class Hook:
    """``crown`` and ``underside`` as lines; the x of the crown's ``inner`` and ``outer`` edge, of
    the ``nose``, and the place (x, y) of the ``root``, where the underside meets the sidewall; the
    roundings of the crown, ``above``, and of the nose's lower edge, ``below``.

    The underside passes its middle, from the nose to the sidewall's top, as far below the crown as
    the hook is thick.
    """

    crown: Line
    underside: Line
    inner: float
    outer: float
    nose: float
    root: tuple[float, float]
    above: float
    below: float

    @property
    def nose_y(self) -> float:
        """Height of the nose's lower edge."""
        return self.underside.at(self.nose)


def crown_tangent(known: Known) -> float:
    """Tangent of the crown's slope: positive where it falls towards the outside."""
    return math.tan(math.radians(known.numbers.get("crown_slope_deg", 0.0)))


def overhang(known: Known) -> float:
    """How far the hook stands out over its underside."""
    return lip_step(known)


def nose_thickness(known: Known) -> float:
    """Thickness of the hook at its nose."""
    return known["bead_hook_mm"] - known.numbers.get("lip_taper_mm", 0.0) / 2


def steep(known: Known) -> float:
    """How far from its sharp corner a rounding of the crown's higher edge begins, for its radius:
    that corner is the sharper, the more the crown slopes.
    """
    slope = known.numbers.get("crown_slope_deg", 0.0)
    return math.tan(math.radians(45 + abs(slope) / 2)) if slope else 1.0


def rounding(known: Known) -> float:
    """Radius of the crown's edges as drawn."""
    return min(known["crown_radius_mm"], CROWN_SHARE * known["hook_lip_mm"])


def inward_hook(known: Known) -> Hook:
    """Of a rim whose nose stands inward of the sidewall."""
    outer, inner = outer_half(known), known["inner_width_mm"] / 2
    return _hook(known, inner, outer, inner, outer - top_thickness(known))


def outward_lip(known: Known) -> Hook:
    """Of a rim whose lip stands outward of the sidewall, or is one with it."""
    more = known.family.head.widest(known) - top_thickness(known)  # of metal than at the top
    inner = known["inner_width_mm"] / 2 + more
    outside = outer_half(known)
    nose = outside + lip_step(known)
    return _hook(known, inner, nose, nose, outside)


def _hook(known: Known, inner: float, outer: float, nose: float, top: float) -> Hook:
    tangent, tall = crown_tangent(known), steep(known)
    above = rounding(known)
    # What a rod or jaw touches is the top of the rounding, a little below the sharp edge.
    peak = known["hook_height_mm"] + above * (tall - 1)
    crown = Line(inner if tangent > 0 else outer, peak, -tangent)
    leans = math.hypot(1, tangent)
    middle, width = (nose + top) / 2, nose - top
    height = crown.at(middle) - known["bead_hook_mm"] * leans
    taper = known.numbers.get("lip_taper_mm", 0.0) * leans / width if width else 0.0
    under = Line(middle, height, (crown.slope if width else 0.0) + taper)
    side = (tall if (tangent > 0) == (nose < top) else 1 / tall) if tangent else 1.0
    turn = math.tan(math.radians(45) + math.atan(under.slope) / 2 * (1 if nose < top else -1))
    left = (CROWN_SHARE + LARGEST_SHARE) * (crown.at(nose) - under.at(nose)) - above * side
    below = min(known["crown_radius_mm"], max(0.0, left / turn) if under.slope else left)
    return Hook(crown, under, inner, outer, nose, _root(known, top, under), above, max(0.0, below))


def _root(known: Known, top: float, under: Line) -> tuple[float, float]:
    """Where the underside meets the face of the sidewall on its side."""
    foot, end = foot_thickness(known), top_thickness(known)
    if foot == end or top == outer_half(known):
        return top, under.at(top)
    lean = (foot - end) / under.y  # of the inner face: x = x of the foot + lean y
    x = outer_half(known) - foot
    y = (under.y + under.slope * (x - under.x)) / (1 - under.slope * lean)
    return x + lean * y, y
