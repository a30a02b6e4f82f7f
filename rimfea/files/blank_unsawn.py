"""Writing a blank sheet for a rim that nobody sawed: what caliper, scales and ear can tell of it,
and a guess of the walls inside.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from rimfea.files.blank_sheet import commented
from rimfea.files.whole_file import write_file
from rimfea.profile.families import Family
from rimfea.profile.fields import BY_KEY

_HEADING = """\
# Sheet of a rim that nobody sawed: {family}.
# 1. Fill in the lines that end in "=". Lengths are in mm, with a point: 21.3
#    A line that begins with "#" is optional: take the "#" away and put your own value.
# 2. Ask rimfea tap FILE where to tap the rim; write the tones that you hear under "Scales and ear".
# 3. Ask rimfea reconcile FILE how thick the walls inside are, and what to measure next.
"""
_WIRE = (
    "bend a thin wire to a small hook, hold it from inside against the wall at the edge of "
    "{where}; jaw tips over wire and wall, take the wire off"
)
_PLATE = "hold something flat against the outside; depth rod through {where} down to it"
_SEAT = "thickness of the spoke bed at a spoke hole"
_WELL = "thickness of the tyre well at the valve hole"
_SHELF = "thickness of the bead seat"


class _Line(NamedTuple):
    """A key and how it is measured without a saw. ``value`` is what it has in the sheet, ``""`` if
    the reader fills it in; an ``optional`` line is commented out.
    """

    key: str
    how: str
    value: object = ""
    optional: bool = False


class _Inside(NamedTuple):
    """What of a family's walls is told as it looks from outside: how ``nipple seat`` and ``well``
    are reached, and what is guessed.
    """

    reached: tuple[_Line, ...]
    guessed: tuple[_Line, ...]
    besides: tuple[_Line, ...] = ()


def _chamber(well_mm: float, shelf_mm: float, flank_mm: float, *besides: _Line) -> _Inside:
    wire = _WIRE.format(where="the valve hole")
    return _Inside(
        (_Line("nipple_seat_mm", f"{_SEAT}: {_WIRE.format(where='the hole')}"),),
        (
            _Line(
                "tyre_well_mm",
                f"{_WELL}; you may reach it: {wire}. Then put your number here and take the key "
                "out of guessed",
                well_mm,
            ),
            _Line("bead_seat_mm", _SHELF, shelf_mm),
            _Line("flank_mm", "thickness of the side of the chamber, half way down", flank_mm),
        ),
        (
            *besides,
            _Line(
                "web_mm",
                "if you see a second wall in the chamber through the valve hole, its thickness; "
                'take the "#" away and add "web_mm" to guessed',
                1.0,
                optional=True,
            ),
        ),
    )


_BED = _Line(
    "spoke_bed_mm",
    "thickness of the spoke bed between two holes; left out, it is guessed as 0.7 of the nipple "
    'seat; if you give a number, add "spoke_bed_mm" to guessed',
    optional=True,
)
# Guesses near the usual, assumed, no source.
_INSIDE = {
    Family.HOOKED: _chamber(1.0, 1.2, 1.0),
    Family.HOOKLESS: _chamber(1.0, 1.2, 1.0),
    Family.THICKENED: _chamber(1.2, 1.5, 1.2, _BED),
    Family.SINGLE: _Inside(
        (
            _Line("nipple_seat_mm", f"{_SEAT}: {_PLATE.format(where='the hole')}"),
            _Line("tyre_well_mm", f"{_WELL}: {_PLATE.format(where='the valve hole')}"),
        ),
        (_Line("bead_seat_mm", _SHELF, 2.2),),
    ),
}
_IDENTITY = (
    _Line("name", "what you call this rim"),
    _Line("family", ""),
    _Line("alloy", "alloy and temper, if known", BY_KEY["alloy"].default, optional=True),
    _Line("bead_seat_diameter_mm", "the second number on the tyre, 622 in 32-622"),
    _Line(
        "joint",
        "how the ends of the hoop are joined: welded, sleeved or pinned",
        "welded",
        optional=True,
    ),
    _Line("spoke_count", "number of spoke holes"),
)
_OUTSIDE = (
    _Line("inner_width_mm", "clear width between the hooks or lips at the narrowest; inside jaws"),
    _Line("overall_depth_mm", "from the crown of the hooks to the innermost face; outside jaws"),
    _Line(
        "hook_height_mm",
        "from the bead seat, the shelf on which the tyre sits, up to the crown; depth rod",
    ),
    _Line("bead_hook_mm", "thickness of the hook or lip, from crown to underside; jaw tips"),
    _Line("hook_lip_mm", "width of the crown, from the nose of the hook to the outer face; jaws"),
    _Line(
        "sidewall_mm",
        "thickness half way up: hold the shank of a drill inside, under the hook; jaws over shank "
        "and wall, take the shank off",
    ),
    _Line(
        "tyre_well_depth_mm", "from the bead seat down to the bottom of the tyre well; depth rod"
    ),
    _Line(
        "tyre_well_width_mm", "width of the tyre well at the height of the bead seats; inside jaws"
    ),
    _Line(
        "spoke_bed_width_mm",
        "width of the innermost face, to where its rounded corners would meet; jaws",
    ),
    _Line(
        "middle_width_mm",
        "only where the sides of the rim are curved: width over both, half way between the bead "
        "seats and the innermost face; jaws",
        optional=True,
    ),
)
_HOLE = _Line("spoke_hole_mm", "diameter of a spoke hole; inside jaws")
_WHOLE = (
    _Line("weighed_mass_g", "mass of the bare rim on kitchen scales, to a gram"),
    _Line(
        "tones_Hz",
        "tones of the bare rim hung on a string and tapped, as a phone tells them: two or more, as "
        "in [128, 151]",
        [],
        optional=True,
    ),
)


def blank_unsawn(family: Family) -> str:
    """The text of a blank sheet (TOML) of a rim that nobody sawed, for a family of section."""
    inside = _INSIDE[family]
    groups = {
        "Which rim this is": _IDENTITY,
        "From outside, by caliper": _OUTSIDE,
        "Through the holes": (_HOLE, *inside.reached),
        "Scales and ear": _WHOLE,
        "Inside: guesses, taken as right to 15 %. Change one if you know better": (
            *inside.guessed,
            _Line("guessed", "", [line.key for line in inside.guessed]),
            *inside.besides,
        ),
    }
    return "".join([_HEADING.format(family=family), *_groups(groups, family)])


def write_unsawn(path: str | Path, family: Family, *, overwrite: bool = False) -> None:
    """Write such a sheet to a file; raises :class:`~rimfea.errors.FileError` if it cannot be
    written, or is already there and not to be overwritten.
    """
    write_file(path, blank_unsawn(family), overwrite=overwrite)


def _groups(groups: dict[str, tuple[_Line, ...]], family: Family) -> Iterator[str]:
    for title, lines in groups.items():
        yield f"\n# ---- {title} ----\n"
        yield from (_told(line, family) for line in lines if BY_KEY[line.key].used_by(family))


def _told(line: _Line, family: Family) -> str:
    value = family.value if line.key == "family" else line.value
    mark = "# " if line.optional else ""
    shown = "" if value == "" else f" {json.dumps(value)}"
    return f"{commented([line.how])}{mark}{line.key} ={shown}\n"
