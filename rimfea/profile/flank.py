"""The flanks of a chamber, seen on the right half: straight, or curved between two straight ends.

A curved flank is drawn as two straight ends and an arc that runs on from both. Its two faces have
one centre, so that it is as thick everywhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rimfea.profile.proportions import (
    Known,
    bed_edge,
    bed_face,
    bed_inside,
    bed_shift,
    halves,
    outer_half,
)

WIDTH = "middle_width_mm"
CURVED_SHARE = 0.8  # of what the roundings at its ends leave of a flank
LEAST_CURVED = 0.2
LARGEST_TURN = 1.4
LEAST_SWEEP = 1e-6  # of an arc that is one
SETTLED_MM, MOST_ROUNDS = 1e-13, 50
# Of its length: how far the middle of a flank may stand out from the line between its ends.
LARGEST_BULGE = 0.25


@dataclass(frozen=True)
class Flank:
    """The outer face of a curved flank: ``low`` and ``high`` end (x, y); ``turn``, by which each
    end leans from the line between them, positive where the middle stands out; the ``radius`` of
    its arc, which has the sign of the turn.
    """

    low: tuple[float, float]
    high: tuple[float, float]
    turn: float
    radius: float

    @property
    def out(self) -> tuple[float, float]:
        """The direction from the line between the ends to the outside."""
        x, y = self.high[0] - self.low[0], self.high[1] - self.low[1]
        return y / math.hypot(x, y), -x / math.hypot(x, y)

    @property
    def centre(self) -> tuple[float, float]:
        """Of the arc."""
        half = math.dist(self.low, self.high) / 2
        back = half * math.tan(self.turn) - self.radius / math.cos(self.turn)
        middle = [(low + high) / 2 for low, high in zip(self.low, self.high, strict=True)]
        return middle[0] + back * self.out[0], middle[1] + back * self.out[1]

    def leans(self, end: int) -> float:
        """dx/dy of the straight end above (1) or below (-1) the arc."""
        lean = math.atan2(self.high[0] - self.low[0], self.high[1] - self.low[1])
        return math.tan(lean - end * self.turn)

    def angle(self, y: float, depth: float) -> float:
        """At which angle from ``out`` the face ``depth`` inside is at height y; where that is one
        of its straight ends, that of the end of the arc.
        """
        lean = math.atan2(self.out[1], self.out[0])
        share = (y - self.centre[1]) / (self.radius - depth)
        angle = math.asin(max(-1.0, min(1.0, share))) - lean
        return max(-abs(self.turn), min(abs(self.turn), angle))

    def at(self, angle: float, reach: float) -> tuple[float, float]:
        """The point at an angle from ``out`` and so far from the centre."""
        lean = math.atan2(self.out[1], self.out[0]) + angle
        return (
            self.centre[0] + reach * math.cos(lean),
            self.centre[1] + reach * math.sin(lean),
        )


def bulge(known: Known) -> float:
    """How far the flank, half way up, stands out sideways from the line between its ends."""
    if WIDTH not in known.numbers:
        return 0.0
    return (known[WIDTH] - straight_width(known)) / 2


def straight_width(known: Known) -> float:
    """Width over both flanks half way up, were they straight."""
    return outer_half(known) + known["spoke_bed_width_mm"] / 2


def curved(known: Known) -> Flank | None:
    """The flank, if it is not straight; raises KeyError for one that is beyond drawing."""
    out = bulge(known)
    if not out:
        return None
    if abs(out) > largest_bulge(known):
        raise KeyError(WIDTH)
    low, high = (bed_edge(known), bed_face(known)), (outer_half(known), -known["bead_seat_mm"])
    half, lean = math.dist(low, high) / 2, math.atan(straight_lean(known))
    share = max(LEAST_CURVED, CURVED_SHARE * (1 - _end(known) / half))
    turn = _turn(out, half, lean, share)
    return Flank(low, high, turn, share * half / math.sin(turn))


def flank_drop(known: Known) -> float:
    """Radial height of the flank, from the underside of the bead seat to the innermost face."""
    drop = -bed_face(known) - known["bead_seat_mm"]
    if drop <= 0:
        raise KeyError("flank")
    return drop


def can_be_drawn(known: Known) -> bool:
    """Whether the flank is straight, or curved by no more than can be drawn."""
    try:
        curved(known)
    except KeyError as missing:
        if missing.args != (WIDTH,):
            raise
        return False
    return True


def tightest(known: Known) -> float:
    """The smallest radius (mm) of a flank that stands out; infinite where none does."""
    flanks = (curved(each) for each in halves(known))
    return min((each.radius for each in flanks if each and each.radius > 0), default=math.inf)


def largest_bulge(known: Known) -> float:
    """How far a flank may stand out, or in, to be drawn and to be a flank."""
    return LARGEST_BULGE * flank_drop(known) * math.hypot(1, straight_lean(known))


def flank_run(known: Known) -> float:
    """Length of the flank from the spoke bed to its other end, or to the middle of its curve."""
    whole = flank_drop(known) * math.hypot(1, straight_lean(known))
    return whole / 2 if bulge(known) else whole


def straight_lean(known: Known) -> float:
    """Tangent of the lean from the radial of the line between the flank's ends."""
    return (outer_half(known) - bed_edge(known)) / flank_drop(known)


def flank_lean(known: Known) -> float:
    """Tangent of the lean of the flank from the radial, where it meets the spoke bed."""
    flank = curved(known)
    return flank.leans(-1) if flank else straight_lean(known)


def flank_inside(known: Known, y: float) -> float:
    """Lateral place x of the chamber side of the flank at height y."""
    flank, thick = curved(known), known["flank_mm"]
    if flank is None:
        lean = straight_lean(known)
        outside = bed_edge(known) + (y - bed_face(known)) * lean
        return outside - thick * math.hypot(1, lean)
    angle = flank.angle(y, thick)
    if abs(angle) < abs(flank.turn):
        return flank.at(angle, flank.radius - thick)[0]
    end, (x_end, y_end) = (1, flank.high) if angle * flank.turn > 0 else (-1, flank.low)
    lean = flank.leans(end)
    return x_end + (y - y_end) * lean - thick * math.hypot(1, lean)


def bends(
    known: Known, low: float, high: float, depth: float
) -> tuple[tuple[float, float, float], ...]:
    """Sharp corners (x, y) with radii that make the arc of the face ``depth`` inside, from height
    ``low`` up to ``high``: one makes the whole arc. A piece of it that ends at a web takes two, as
    the rounding at the web leaves no room for one; none where that piece is straight.
    """
    flank = curved(known)
    if flank is None:
        return ()
    first, last = (flank.angle(y, depth) for y in (low, high))
    swept = last - first
    if abs(swept) < LEAST_SWEEP:
        return ()
    count = 1 if abs(swept) > 2 * abs(flank.turn) - LEAST_SWEEP else 2
    radius = flank.radius - depth
    reach = radius / math.cos(swept / count / 2)
    places = (first + swept * (k + 0.5) / count for k in range(count))
    return tuple((*flank.at(angle, reach), abs(radius)) for angle in places)


def bed_room(known: Known) -> float:
    """Room in the chamber from the middle of the spoke bed to the nearer flank."""
    return min(flank_inside(each, bed_inside(each)) - bed_shift(each) for each in halves(known))


def arch_tangent(known: Known, radius: float) -> float:
    """How far from the sharp edge of spoke bed and flank a rounding of that radius begins."""
    return radius * math.tan((math.pi / 2 - math.atan(flank_lean(known))) / 2)


def arch_inside(known: Known) -> float:
    """Radius of the same rounding seen from the chamber, the wall between as thick as bed and
    flank in the mean.
    """
    wall = (known["spoke_bed_mm"] + known["flank_mm"]) / 2
    return max(known["fillet_radius_mm"], known["arch_radius_mm"] - wall)


def _end(known: Known) -> float:
    """How much of a curved flank stays straight for the bed and its rounding."""
    lean = math.atan(straight_lean(known))
    rounding = known.numbers.get("arch_radius_mm", 0.0) * math.tan((math.pi / 2 - lean) / 2)
    return max(rounding, (known["spoke_bed_mm"] + known["fillet_radius_mm"]) / math.cos(lean))


def _turn(out: float, half: float, lean: float, share: float) -> float:
    """The turn of a flank of half length ``half`` whose middle stands ``out``, by secants; raises
    KeyError where none does.
    """

    def excess(turn: float) -> float:
        """Too much by so much: where the level line through the middle of the ends meets the arc,
        or the straight end beside it.
        """
        if abs(turn) > LARGEST_TURN:
            raise KeyError(WIDTH)
        radius = share * half / math.sin(turn)
        stands = half * math.tan(turn) - share * half * math.tan(turn / 2) / math.cos(turn)
        back = 1 - stands / radius
        aside = math.sin(lean) * back
        if abs(aside) < 1 and abs(lean - math.asin(aside)) <= abs(turn):
            return radius * (math.sqrt(1 - aside**2) - math.cos(lean) * back) - out
        end = math.copysign(1.0, lean * turn)
        return half * math.cos(lean) * end * (math.tan(lean) - math.tan(lean - end * turn)) - out

    before = out * math.cos(lean) / half / (1 - share / 2)
    turn = before * 1.01
    was = excess(before)
    for _ in range(MOST_ROUNDS):
        now = excess(turn)
        if abs(now) < SETTLED_MM or now == was:
            break
        before, turn, was = turn, turn - now * (turn - before) / (now - was), now
    return turn
