"""The walls of a rim section: what each is called, what of it a sheet tells, its colour."""

from __future__ import annotations

from enum import StrEnum
from typing import Any, Self

from rimfea.profile import defaults
from rimfea.profile.field import Field


class Wall(StrEnum):
    """The walls of a rim section, from the crown that meets the rock down to the spokes.

    Each is declared by its name, its colour in pictures, the smallest and largest thickness in mm
    and how that is measured; then, if it need not be, by what it is taken to be, in a function and
    in words. A wall with words alone is one that some rims have not.

    The colours are the set that Okabe and Ito published for colour-blind readers (Color
    Universal Design, 2008; values from memory), and an
    ochre for the web; every picture names the walls as well.
    """

    colour: str
    field: Field  # of its thickness

    BEAD_HOOK = (
        "bead hook",
        "#d55e00",
        (0.6, 6),
        "radial thickness of the hook (hookless: of the lip), from crown to underside; jaw tips",
    )
    HOOK_LIP = (
        "hook lip",
        "#e69f00",
        (0.6, 8),
        "width of the crown across the rim, from the nose of the hook to the outer face",
    )
    SIDEWALL = (
        "sidewall",
        "#56b4e9",
        (0.5, 6),
        "thickness of the sidewall half way between bead seat and hook",
    )
    BEAD_SEAT = (
        "bead seat",
        "#009e73",
        (0.5, 6),
        "thickness of the shelf under the bead",
        "as the tyre well",
        defaults.same_as("tyre_well_mm"),
    )
    TYRE_WELL = (
        "tyre well",
        "#f0e442",
        (0.5, 6),
        "wall thickness at the bottom of the tyre well",
    )
    FLANK = (
        "flank",
        "#0072b2",
        (0.5, 6),
        "thickness of the side of the chamber, half way down",
        "as the tyre well",
        defaults.same_as("tyre_well_mm"),
    )
    SPOKE_BED = (
        "spoke bed",
        "#cc79a7",
        (0.5, 10),
        "thickness of the spoke bed between two spoke holes",
        "as the nipple seat",
        defaults.same_as("nipple_seat_mm"),
    )
    WEB = (
        "web",
        "#a6761d",
        (0.5, 5),
        "thickness of the wall across the chamber that makes two of it",
        "no web: one chamber",
    )
    NIPPLE_SEAT = (
        "nipple seat",
        "#5b5b5b",
        (0.6, 10),
        "thickness of the spoke bed where the nipple bears, at a hole",
    )

    def __new__(cls, word: str, *told: Any) -> Self:  # noqa: ANN401 -- so that Wall(word) is one
        """The word, with the rest as attributes."""
        wall = str.__new__(cls, word)
        wall._value_ = word
        wall.colour, (low, high), measured = told[:3]
        note, default = told[3:] + ("", None)[len(told) - 3 :]
        key = f"{word.replace(' ', '_')}_mm"
        wall.field = Field(key, "mm", low, high, measured, default, note, required=not note)
        return wall

    @property
    def key_mm(self) -> str:
        """The sheet's key for the thickness of this wall."""
        return self.field.key
