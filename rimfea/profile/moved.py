"""One verb for a rim a little different: some of its numbers moved, everything else held."""

from __future__ import annotations

from collections.abc import Mapping

from rimfea.profile.field import NUMERIC
from rimfea.profile.fields import BY_KEY
from rimfea.profile.filling import by_rule
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall

CLEAN = 9  # decimals: 1.1, not 1.1000000000000001
BED, SEAT = Wall.SPOKE_BED.key_mm, Wall.NIPPLE_SEAT.key_mm
ERD = "erd_mm"  # where nobody measured it, it follows from the drawing whatever moves
OF_THE_HOOP = frozenset({ERD, "bead_seat_diameter_mm"})
OF_THE_NIPPLE = frozenset({"spoke_hole_mm", "nipple_head_mm", "washer_mm"})


def moved(sheet: Sheet, changes: Mapping[str, float]) -> Sheet:
    """The sheet with numbers larger by so many mm and all others as they were; what was assumed
    is assumed still. A spoke bed that is one wall with the nipple seat moves along with it, and a
    number without a value starts from 0. Raises :class:`~rimfea.errors.SheetError`.
    """
    steps = dict(changes)
    if is_one_wall(sheet) and (steps.get(BED) or steps.get(SEAT)):
        steps = {BED: steps.get(SEAT, 0.0), SEAT: steps.get(BED, 0.0), **steps}
    after = {
        key: round((getattr(sheet, key) or 0.0) + by, CLEAN) for key, by in steps.items() if by
    }
    if not after:
        return sheet
    held = {key: getattr(sheet, key) for key in sheet.assumed if _can_be_held(sheet, key)}
    guessed = [key for key in (*held, *after) if key in sheet.assumed]
    there = sheet.varied(**{**held, **after, "guessed": guessed})
    follows = [key for key in guessed if key not in sheet.guessed and _by_rule(there, key)]
    kept = [key for key in guessed if key not in follows]
    return there.varied(**dict.fromkeys(follows), guessed=kept)


def is_one_wall(sheet: Sheet) -> bool:
    """Whether the nipple seat is not thickened and is the spoke bed itself."""
    return not sheet.seat_step_mm


def movable(sheet: Sheet) -> tuple[str, ...]:
    """The lengths of a sheet that can be moved one by one: a spoke bed that is one wall with the
    nipple seat goes with that.
    """
    follows = {BED} if is_one_wall(sheet) else set()
    return tuple(
        key
        for key, item in BY_KEY.items()
        if item.unit == "mm"
        and item.used_by(sheet.family)
        and key not in OF_THE_HOOP | follows
        and getattr(sheet, key) is not None
    )


def dimensions(sheet: Sheet) -> tuple[str, ...]:
    """Those of them that the section is drawn from."""
    return tuple(key for key in movable(sheet) if key not in OF_THE_NIPPLE)


def unmeasured_walls(sheet: Sheet) -> tuple[str, ...]:
    """The walls among them that nobody measured."""
    walls = {wall.key_mm for wall in sheet.walls}
    return tuple(key for key in dimensions(sheet) if key in walls and key in sheet.assumed)


def _can_be_held(sheet: Sheet, key: str) -> bool:
    item = BY_KEY[key]
    return item.kind in NUMERIC and item.used_by(sheet.family) and key != ERD


def _by_rule(sheet: Sheet, key: str) -> bool:
    """Whether the number is what its own rule makes of all the others."""
    return by_rule(BY_KEY[key], sheet.known) == getattr(sheet, key)
