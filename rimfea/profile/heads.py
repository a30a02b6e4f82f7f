"""What stands above the bead seats: how it is drawn, what contradicts it, what is assumed of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from rimfea.geometry.corner import Corner
from rimfea.profile.clash import SMALLEST_STEP_MM, Clash, Rule
from rimfea.profile.defaults import Assumption, same_as
from rimfea.profile.hook import (
    CROWN_SHARE,
    Hook,
    inward_hook,
    nose_thickness,
    outward_lip,
    overhang,
    steep,
)
from rimfea.profile.proportions import (
    FLUSH_MM,
    Known,
    foot_thickness,
    thickest_sidewall,
    top_thickness,
)
from rimfea.profile.values import shown
from rimfea.profile.walls import Wall

if TYPE_CHECKING:
    from rimfea.profile.sheet import Sheet

SMALLEST_GAP_MM = 0.5  # between the hook's underside and the bead seat
LARGEST_LEAN_DEG = 15  # of a tapered wall's faces against each other, so that it is still a wall
STEEPEST_SIDEWALL = math.tan(math.radians(LARGEST_LEAN_DEG))
STEEPEST_UNDERSIDE = math.tan(math.radians(30))
ROUNDEST = 0.9  # of the nose's height that a rounding of the crown may take


@dataclass(frozen=True)
class Head:
    """``widest`` is how much metal (mm) lies between the clear inner width and the outer face, and
    ``within_lip`` how much of the sidewall the width of the lip contains;
    ``corners`` draws the right half from the bead seat's height up the outside, over the crown
    and down to the sidewall's foot.
    """

    widest: Callable[[Known], float]
    within_lip: Callable[[Known], float]
    corners: Callable[[Sheet], list[Corner]]
    rules: tuple[Rule, ...]
    assumptions: Mapping[str, Assumption] = field(default_factory=dict)


def _hooked(sheet: Sheet) -> list[Corner]:
    """The crown and the nose that stands inward of the sidewall's inner face."""
    hook = inward_hook(sheet.known)
    return [
        Corner(hook.outer, hook.underside.y, Wall.HOOK_LIP),
        *_crown(hook),
        Corner(hook.nose, hook.nose_y, Wall.BEAD_HOOK, hook.below),
        Corner(*hook.root, Wall.SIDEWALL, sheet.fillet_radius_mm),
    ]


def _hookless(sheet: Sheet) -> list[Corner]:
    """The crown; a lip wider than the sidewall stands outward of its outer face."""
    lip = outward_lip(sheet.known)
    nose = Corner(lip.nose, lip.nose_y, Wall.HOOK_LIP, lip.below, Wall.BEAD_HOOK)
    overhang = [Corner(*lip.root, Wall.BEAD_HOOK, sheet.fillet_radius_mm), nose]
    plain = [Corner(lip.outer, lip.underside.y, Wall.HOOK_LIP)]
    return [
        *(overhang if sheet.lip_step_mm else plain),
        *_crown(lip),
        Corner(lip.inner, lip.underside.y, Wall.SIDEWALL),
    ]


def _crown(hook: Hook) -> list[Corner]:
    inner, outer = hook.inner, hook.outer
    return [
        Corner(outer, hook.crown.at(outer), Wall.BEAD_HOOK, hook.above, share=CROWN_SHARE),
        Corner(
            inner,
            hook.crown.at(inner),
            Wall.HOOK_LIP,
            hook.above,
            Wall.BEAD_HOOK,
            share=CROWN_SHARE,
        ),
    ]


def _nose(known: Known) -> Iterator[Clash]:
    lip, wall = known["hook_lip_mm"], thickest_sidewall(known)
    if wall - FLUSH_MM <= lip < wall + SMALLEST_STEP_MM:
        because = f"the nose would stand out by {shown(lip - wall)} mm, which holds no bead"
        remedy = "measure both again; a rim without a hook is 'hookless double wall'"
        yield Clash("hook_lip_mm", "sidewall_mm", because, remedy)


def _gap(known: Known) -> Iterator[Clash]:
    if 2 * known["hook_lip_mm"] >= known["inner_width_mm"]:
        because = "the two lips would be wider than the gap between them"
        remedy = "measure the width between the hooks with the inside jaws"
        yield Clash("hook_lip_mm", "inner_width_mm", because, remedy)


def _lip_or_none(known: Known) -> Iterator[Clash]:
    lip, wall = known["hook_lip_mm"], top_thickness(known)
    if wall + FLUSH_MM < lip < wall + SMALLEST_STEP_MM:
        because = f"a step of {shown(lip - wall)} mm is too small for a lip, too large for none"
        remedy = "measure both again; give the same number for a straight sidewall"
        yield Clash("hook_lip_mm", "sidewall_mm", because, remedy)


def _leaning(hook: Callable[[Known], Hook]) -> Rule:
    """That what leans leaves a hook, and room below it and beside its roundings."""

    def rule(known: Known) -> Iterator[Clash]:
        yield from _tapered(known)
        if "sidewall_foot_mm" in known.numbers:
            yield from _steep_sidewall(known, hook(known).underside.y)
        if "crown_slope_deg" in known.numbers or "lip_taper_mm" in known.numbers:
            yield from _sloped(known, hook(known))

    return rule


def _steep_sidewall(known: Known, height: float) -> Iterator[Clash]:
    lean = abs(foot_thickness(known) - top_thickness(known))
    if lean > STEEPEST_SIDEWALL * max(height, 0.0):
        because = f"the sidewall's inner face would lean by more than {LARGEST_LEAN_DEG} deg"
        remedy = "what the foot has more than half way up, the top has less"
        beside = ("hook_height_mm", "bead_hook_mm")
        yield Clash("sidewall_foot_mm", "sidewall_mm", because, remedy, beside)


def _tapered(known: Known) -> Iterator[Clash]:
    if not known.numbers.get("lip_taper_mm"):
        return
    out, taper = overhang(known), known["lip_taper_mm"]
    if not out:
        remedy = "take the line out, or look at the width of the lip"
        yield Clash("lip_taper_mm", "hook_lip_mm", "nothing stands out that could taper", remedy)
    elif abs(taper) > STEEPEST_UNDERSIDE * out:
        because = f"the underside, {shown(out)} mm wide, would lean by more than 30 deg"
        remedy = "measure the hook at its nose and where it meets the sidewall"
        yield Clash("lip_taper_mm", "hook_lip_mm", because, remedy)
    thinnest = known["bead_hook_mm"] - abs(taper) / 2
    if thinnest < Wall.BEAD_HOOK.field.low:
        because = f"its thin end would be {shown(thinnest)} mm thick"
        remedy = "give the hook's thickness half way between nose and sidewall"
        yield Clash("lip_taper_mm", "bead_hook_mm", because, remedy)


def _sloped(known: Known, hook: Hook) -> Iterator[Clash]:
    key = "crown_slope_deg" if "crown_slope_deg" in known.numbers else "lip_taper_mm"
    lowest = min(hook.root[1], hook.nose_y)
    level = known["hook_height_mm"] - known["bead_hook_mm"]
    if lowest < SMALLEST_GAP_MM <= level:
        because = f"only {shown(lowest)} mm would be left between hook and bead seat"
        yield Clash(key, "bead_hook_mm", because, "measure both again", ("hook_height_mm",))
    tall = steep(known)
    low = hook.inner if hook.crown.slope > 0 else hook.outer
    left = hook.crown.at(low) - hook.underside.y - hook.above / tall
    if left < 0:
        because = "its lower edge would lie below the underside"
        remedy = "a crown that is highest at the nose has a positive slope"
        yield Clash(key, "bead_hook_mm", because, remedy, ("crown_radius_mm",))


def _round(known: Known) -> Iterator[Clash]:
    """The crown may be round all over; its nose keeps a little to hold its lower edge."""
    given = "crown_radius_mm" not in known.assumed
    nose = nose_thickness(known)
    if given and overhang(known) and known["crown_radius_mm"] * steep(known) > ROUNDEST * nose:
        because = f"the rounding would take all of the nose, {shown(nose)} mm high"
        remedy = f"a radius is at most {ROUNDEST:g} of it, less where the crown slopes"
        yield Clash("crown_radius_mm", "bead_hook_mm", because, remedy)


HOOKED = Head(
    same_as(Wall.HOOK_LIP.key_mm),
    thickest_sidewall,
    _hooked,
    (_nose, _gap, _leaning(inward_hook), _round),
)
TRACED = Head(
    lambda known: (known.traced["outer_width_mm"] - known["inner_width_mm"]) / 2,
    top_thickness,
    lambda _sheet: [],
    (),
)
HOOKLESS = Head(
    thickest_sidewall,
    top_thickness,
    _hookless,
    (_lip_or_none, _leaning(outward_lip), _round),
    {"bead_hook_mm": Assumption(same_as("hook_lip_mm"), "as the hook lip")},
)
