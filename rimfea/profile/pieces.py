"""The pieces that two rims can swap: walls with the dimensions that belong to them, and what is no
wall but differs between rims all the same.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Self

from rimfea.errors import Fault, SheetError
from rimfea.profile.field import NUMERIC
from rimfea.profile.fields import BY_KEY
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall

# A radius that nobody measured follows its rule: it is drawn as large as the walls beside it allow.
RADII = frozenset({"crown_radius_mm", "corner_radius_mm", "fillet_radius_mm"})
# What is said of one sample or follows from the drawing goes with no piece.
OF_THE_SAMPLE = frozenset(
    {"name", "note", "family", "section", "weighed_mass_g", "tones_Hz", "erd_mm", "guessed"}
)


class Piece(StrEnum):
    """The pieces, from the crown down to the spokes, then what the whole rim has."""

    keys: tuple[str, ...]  # of the sheet

    HOOK = (
        "hook",
        "bead_hook_mm",
        "hook_lip_mm",
        "hook_height_mm",
        "crown_radius_mm",
        "lip_taper_mm",
        "crown_slope_deg",
    )
    SIDEWALL = "sidewall", "sidewall_mm", "sidewall_foot_mm", "wear_mark_mm"
    BEAD_SEAT = "bead seat", "bead_seat_mm", "bead_ridge_mm"
    TYRE_WELL = (
        "tyre well",
        "tyre_well_mm",
        "tyre_well_depth_mm",
        "tyre_well_width_mm",
        "well_slope_deg",
    )
    FLANK = "flank", "flank_mm", "middle_width_mm", "web_mm", "web_height_mm"
    SPOKE_BED = (
        "spoke bed",
        "spoke_bed_mm",
        "nipple_seat_mm",
        "spoke_bed_width_mm",
        "spoke_bed_offset_mm",
        "nipple_seat_width_mm",
        "arch_radius_mm",
    )
    CORNERS = "corners", "corner_radius_mm", "fillet_radius_mm"
    WIDTH = "width and depth", "inner_width_mm", "overall_depth_mm"
    SIZE = "wheel size", "bead_seat_diameter_mm"
    SPOKES = (
        "spokes",
        "spoke_count",
        "spoke_hole_mm",
        "nipple_head_mm",
        "washer_mm",
        "spoke_tension_N",
        "tension_limit_N",
    )
    ALLOY = (
        "alloy",
        "alloy",
        "batch",
        "proof_MPa",
        "ultimate_MPa",
        "youngs_GPa",
        "poisson",
        "density_kg_m3",
    )
    JOINT = "joint", "joint", "joint_mass_g"
    BRAKE = "brake", "brake"

    def __new__(cls, word: str, *keys: str) -> Self:
        """The word, with the sheet's keys as an attribute."""
        piece = str.__new__(cls, word)
        piece._value_ = word
        piece.keys = keys
        return piece

    @property
    def walls(self) -> tuple[Wall, ...]:
        """The walls whose thickness belongs to it."""
        return tuple(wall for wall in Wall if wall.key_mm in self.keys)


def differing(one: Sheet, other: Sheet) -> tuple[Piece, ...]:
    """The pieces in which two sheets of one family differ by more than what follows by rule."""
    held = [key for key in BY_KEY if not (_follows(one, key) and _follows(other, key))]
    return tuple(
        piece
        for piece in Piece
        if any(getattr(one, key) != getattr(other, key) for key in piece.keys if key in held)
    )


def swapped(sheet: Sheet, other: Sheet, piece: Piece) -> Sheet:
    """The sheet with one piece of the other and all else held as it is, of no mass on the scales:
    nobody weighed such a rim.

    Raises :class:`~rimfea.errors.SheetError` for rims of two families, which have not the same
    pieces, and where the piece does not fit.
    """
    if sheet.family is not other.family:
        problem = f"{sheet.name} is a {sheet.family} rim, {other.name} a {other.family} rim"
        raise SheetError([Fault("family", problem)], sheet.name)
    source = {key: other if key in piece.keys else sheet for key in BY_KEY}
    values = {
        key: getattr(source[key], key)
        for key, field in BY_KEY.items()
        if field.used_by(sheet.family)
        and key not in OF_THE_SAMPLE
        and not _follows(source[key], key)
    }
    guessed = [
        key
        for key in values
        if key in source[key].assumed and values[key] is not None and BY_KEY[key].kind in NUMERIC
    ]
    own = {key: getattr(sheet, key) for key in ("name", "note", "family", "section")}
    return Sheet({**own, **values, "guessed": guessed})


def _follows(sheet: Sheet, key: str) -> bool:
    return key in RADII and key in sheet.assumed and key not in sheet.guessed
