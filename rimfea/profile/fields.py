"""The table of a caliper sheet's keys: it drives checking, the blank sheet and printing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from enum import StrEnum
from types import MappingProxyType

from rimfea.alloys import DEFAULT_ALLOY
from rimfea.profile import defaults
from rimfea.profile.brake import Brake
from rimfea.profile.families import Family
from rimfea.profile.field import Field, Kind
from rimfea.profile.joint import Joint
from rimfea.profile.walls import Wall

__all__ = ["BY_KEY", "FIELDS", "Field", "Kind"]


def _under(group: str, *fields: Field) -> tuple[Field, ...]:
    return tuple(replace(field, group=group) for field in fields)


def _text(key: str, meaning: str, default: str | None = None, kind: Kind = Kind.TEXT) -> Field:
    return Field(key, "", 0, 0, meaning, default, required=default is None, kind=kind)


def _choice(
    key: str, meaning: str, choices: type[StrEnum], default: str | None, note: str = ""
) -> Field:
    return Field(key, "", 0, 0, meaning, default, note, kind=Kind.CHOICE, choices=choices)


def _optional(key: str, unit: str, low: float, high: float, meaning: str, note: str) -> Field:
    """A number without which a sheet is whole; ``note`` says what leaving it out means."""
    return Field(key, unit, low, high, meaning, default_note=note)


def _measured(key: str, low: float, high: float, meaning: str) -> Field:
    return Field(key, "mm", low, high, meaning, required=True)


_IDENTITY = _under(
    "Which rim this is",
    _text("name", "what you call this rim"),
    _text("note", "anything worth remembering about the sample", ""),
    _choice("family", "kind of section", Family, Family.HOOKED.value),
    Field(
        "section",
        "",
        0,
        0,
        "file of a traced section beside this sheet (.json, .dxf, .svg, .csv), in a rim's axes; "
        "walls that are given below are made as thick",
        default_note="drawn from the numbers below",
        kind=Kind.SECTION,
    ),
    _text("alloy", "alloy and temper of the extrusion", DEFAULT_ALLOY, Kind.ALLOY),
    _text(
        "batch", "the batch of metal, if known: rims with the same word are of the same metal", ""
    ),
    _choice("joint", "kind of joint between the ends of the hoop", Joint, None, "not said"),
    _choice(
        "brake", "what brakes the wheel: blocks on the rim, a disc, rods", Brake, None, "not said"
    ),
    _measured(
        "bead_seat_diameter_mm",
        200,
        700,
        "ISO 5775 bead seat diameter: the second number on the tyre, 622 in 32-622",
    ),
)

_CALIPER = _under(
    "The caliper numbers, taken on a sawn and deburred end",
    _measured(
        "inner_width_mm",
        10,
        60,
        "clear width between the hooks (hookless: sidewalls) at the narrowest; inside jaws",
    ),
    _measured(
        "overall_depth_mm",
        6,
        80,
        "from the crown of the hooks to the innermost face of the spoke bed; outside jaws",
    ),
    *(wall.field for wall in Wall if wall.field.required),
)

_WALLS = _under(
    "Other walls and proportions",
    Field(
        "hook_height_mm", "mm", 2, 15, "from the bead seat up to the crown; depth rod", 6.0, "usual"
    ),
    _optional(
        "sidewall_foot_mm",
        "mm",
        0.5,
        8,
        "thickness of a tapered sidewall at its foot, carried on to the bead seat as if there were "
        "no rounding; jaw tips",
        "as half way up: not tapered",
    ),
    _optional(
        "lip_taper_mm",
        "mm",
        -2,
        2,
        "how much thinner the hook (hookless: the lip) is at its nose than at the sidewall, where "
        "its underside leans; bead_hook_mm is then the thickness half way; thicker: negative",
        "as thick at the nose",
    ),
    _optional(
        "crown_slope_deg",
        "deg",
        -30,
        30,
        "lean of the crown across the rim: positive where it falls towards the outside, negative "
        "where it falls towards the tyre; depth and height go to its highest place; protractor",
        "level",
    ),
    *(wall.field for wall in Wall if not wall.field.required),
    _optional(
        "bead_ridge_mm",
        "mm",
        0.2,
        1.5,
        "height above the bead seat of the ridge beside the tyre well that keeps the bead; depth "
        "rod; taken to be 0.8 mm wide on top, its face at 45 deg",
        "no ridge",
    ),
    Field(
        "tyre_well_depth_mm",
        "mm",
        0.5,
        15,
        "from the bead seat down to the bottom of the tyre well; depth rod",
        defaults.tyre_well_depth,
        "3.5 mm, or half of what the overall depth leaves if that is less",
    ),
    Field(
        "tyre_well_width_mm",
        "mm",
        3,
        58,
        "width of the tyre well at the height of the bead seats; inside jaws",
        defaults.tyre_well_width,
        "0.62 of the distance between the inner faces of the sidewalls, less if flanks are near",
    ),
    Field(
        "well_slope_deg",
        "deg",
        0,
        45,
        "lean of the sides of the tyre well, from the radial direction",
        defaults.WELL_SLOPE_DEG,
        "usual",
    ),
    Field(
        "spoke_bed_width_mm",
        "mm",
        3,
        70,
        "outer width of the innermost face, to where its rounded corners would meet",
        defaults.spoke_bed_width,
        "0.6 of the outer width, more if the nipples need it",
    ),
    _optional(
        "spoke_bed_offset_mm",
        "mm",
        -15,
        15,
        "how far the spoke holes lie to the right (drive side) of the rim's middle, to the left "
        "negative: half of how much nearer the bed is to the right outer face than to the left one",
        "in the middle",
    ),
    _optional(
        "middle_width_mm",
        "mm",
        5,
        90,
        "width over both flanks where they are curved, half way between the shelves under the "
        "beads and the innermost face; outside jaws",
        "straight flanks",
    ),
    _optional(
        "web_height_mm",
        "mm",
        1,
        70,
        "clear height of the chamber from the spoke bed up to the web; inside jaws",
        "the web is half way between spoke bed and tyre well",
    ),
    _optional(
        "arch_radius_mm",
        "mm",
        1,
        60,
        "outer rounding from spoke bed to flank, where the bed is arched; radius gauge",
        "as the other corners",
    ),
    Field(
        "nipple_seat_width_mm",
        "mm",
        3,
        40,
        "width of the flat of the thickened nipple seat, seen from the chamber",
        defaults.seat_width,
        "nipple head or washer plus 3 mm, less on a narrow spoke bed",
    ),
    _optional(
        "wear_mark_mm",
        "mm",
        0.3,
        5,
        "thickness of the brake track at which the maker's wear mark is gone",
        "no mark, or not known",
    ),
)

_EDGES = _under(
    "Rounded edges; a radius gauge, or leave them out",
    Field(
        "crown_radius_mm",
        "mm",
        0.05,
        5,
        "rounding of the edges of the hook's crown and nose; half the hook lip if the crown is "
        "round all over",
        defaults.crown_radius,
        "0.4 mm, but at most 0.4 of the hook and its lip",
    ),
    Field(
        "corner_radius_mm",
        "mm",
        0.05,
        10,
        "rounding of the other outer corners, such as flank to spoke bed",
        defaults.corner_radius,
        "1 mm, but at most 0.8 of the thinnest wall",
    ),
    Field(
        "fillet_radius_mm",
        "mm",
        0.05,
        10,
        "rounding of inside corners, such as bead seat to sidewall",
        defaults.fillet_radius,
        "0.8 mm, but at most 0.6 of the thinnest wall",
    ),
)

_SPOKES = _under(
    "Spokes, nipples and the scales",
    Field("spoke_count", "", 8, 72, "number of spoke holes, even", 32, "usual", kind=Kind.COUNT),
    Field("spoke_hole_mm", "mm", 2, 8, "diameter of the hole in the spoke bed", 4.5, "usual"),
    Field(
        "nipple_head_mm", "mm", 3, 12, "diameter of the nipple's head where it bears", 6.2, "usual"
    ),
    _optional(
        "washer_mm",
        "mm",
        4,
        20,
        "outer diameter of a washer under the nipple's head",
        "no washer: the head bears",
    ),
    Field(
        "spoke_tension_N",
        "N",
        100,
        2500,
        "tension of the tighter side's spokes; 9.81 N are 1 kgf; the maker's limit comes first",
        1000.0,
        "a round number",
    ),
    _optional("tension_limit_N", "N", 100, 3000, "the maker's limit of spoke tension", "not known"),
    Field(
        "erd_mm",
        "mm",
        130,
        720,
        "effective rim diameter, between the faces on which opposite nipples bear",
        defaults.effective_rim_diameter,
        "from bead seat diameter, overall depth, hook height and nipple seat",
    ),
    _optional(
        "weighed_mass_g", "g", 100, 3000, "mass of the bare hoop on the scales", "not weighed"
    ),
    Field(
        "tones_Hz",
        "Hz",
        10,
        10_000,
        "tones of the bare rim hung up and tapped, as in [128, 151, 424]; rimfea tap says how",
        default_note="not tapped",
        kind=Kind.NUMBERS,
    ),
    Field(
        "joint_mass_g",
        "g",
        0,
        150,
        "mass of the sleeve or the pins in the joint, which the scales weigh along",
        defaults.joint_mass,
        f"a sleeve {Joint.SLEEVED.mass_g:g} g, pins {Joint.PINNED.mass_g:g} g, else none",
    ),
)

_ORIGIN = _under(
    "Where the numbers come from",
    Field(
        "guessed",
        "",
        0,
        0,
        'keys above whose numbers nobody measured, as in ["flank_mm"]: they get the ± of a guess',
        default_note="every number given was measured",
        kind=Kind.KEYS,
    ),
)

_LISTED = "as for the alloy; must be given for one that is not known"
_DENSITY = "as for the alloy; for one that is not known 2700 kg/m³"
_OWN_ALLOY = _under(
    "An alloy of your own",
    _optional("proof_MPa", "MPa", 50, 2000, "0.2 % proof stress", _LISTED),
    _optional("ultimate_MPa", "MPa", 80, 2500, "ultimate tensile strength", _LISTED),
    _optional("youngs_GPa", "GPa", 20, 250, "Young's modulus", "70 GPa"),
    _optional("poisson", "", 0.2, 0.4, "Poisson's ratio", "0.3"),
    _optional("density_kg_m3", "kg/m³", 1500, 9000, "density", _DENSITY),
)

FIELDS: tuple[Field, ...] = (
    *_IDENTITY,
    *_CALIPER,
    *_WALLS,
    *_EDGES,
    *_SPOKES,
    *_ORIGIN,
    *_OWN_ALLOY,
)
"""Every key of the sheet, in the order of the blank sheet."""

BY_KEY: Mapping[str, Field] = MappingProxyType({field.key: field for field in FIELDS})
"""The same table by key."""
