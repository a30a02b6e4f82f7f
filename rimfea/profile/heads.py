"""What stands above the bead seats: how it is drawn, what contradicts it, what is assumed of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from rimfea.geometry.corner import Corner
from rimfea.profile.clash import SMALLEST_STEP_MM, Clash, Rule
from rimfea.profile.defaults import Assumption, same_as
from rimfea.profile.proportions import FLUSH_MM, Known
from rimfea.profile.values import shown
from rimfea.profile.walls import Wall

if TYPE_CHECKING:
    from rimfea.profile.sheet import Sheet


@dataclass(frozen=True)
class Head:
    """``widest`` is the wall that lies between the clear inner width and the outer face;
    ``corners`` draws the right half from the bead seat's height up the outside, over the crown
    and down to the sidewall's foot.
    """

    widest: Wall
    corners: Callable[[Sheet], list[Corner]]
    rules: tuple[Rule, ...]
    assumptions: Mapping[str, Assumption] = field(default_factory=dict)


def _hooked(sheet: Sheet) -> list[Corner]:
    """The crown and the nose that stands inward of the sidewall's inner face."""
    outside, inside = sheet.outer_width_mm / 2, sheet.inner_width_mm / 2
    top, crown = sheet.hook_height_mm, sheet.crown_radius_mm
    nose, foot = top - sheet.bead_hook_mm, outside - sheet.sidewall_mm
    return [
        Corner(outside, nose, Wall.HOOK_LIP),
        Corner(outside, top, Wall.BEAD_HOOK, crown),
        Corner(inside, top, Wall.HOOK_LIP, crown, Wall.BEAD_HOOK),
        Corner(inside, nose, Wall.BEAD_HOOK, crown),
        Corner(foot, nose, Wall.SIDEWALL, sheet.fillet_radius_mm),
    ]


def _hookless(sheet: Sheet) -> list[Corner]:
    """The crown; a lip wider than the sidewall stands outward of its outer face."""
    outside, inside = sheet.outer_width_mm / 2, sheet.inner_width_mm / 2
    top, crown = sheet.hook_height_mm, sheet.crown_radius_mm
    nose, lip = top - sheet.bead_hook_mm, outside + sheet.lip_step_mm
    overhang = [
        Corner(outside, nose, Wall.BEAD_HOOK, sheet.fillet_radius_mm),
        Corner(lip, nose, Wall.HOOK_LIP, crown, Wall.BEAD_HOOK),
    ]
    plain = [Corner(outside, nose, Wall.HOOK_LIP)]
    return [
        *(overhang if sheet.lip_step_mm else plain),
        Corner(lip, top, Wall.BEAD_HOOK, crown),
        Corner(inside, top, Wall.HOOK_LIP, crown, Wall.BEAD_HOOK),
        Corner(inside, nose, Wall.SIDEWALL),
    ]


def _nose(known: Known) -> Iterator[Clash]:
    lip, wall = known["hook_lip_mm"], known["sidewall_mm"]
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
    lip, wall = known["hook_lip_mm"], known["sidewall_mm"]
    if wall + FLUSH_MM < lip < wall + SMALLEST_STEP_MM:
        because = f"a step of {shown(lip - wall)} mm is too small for a lip, too large for none"
        remedy = "measure both again; give the same number for a straight sidewall"
        yield Clash("hook_lip_mm", "sidewall_mm", because, remedy)


HOOKED = Head(Wall.HOOK_LIP, _hooked, (_nose, _gap))
HOOKLESS = Head(
    Wall.SIDEWALL,
    _hookless,
    (_lip_or_none,),
    {"bead_hook_mm": Assumption(same_as("hook_lip_mm"), "as the hook lip")},
)
