"""The words for the joint of a hoop, whose two ends a rim maker joins."""

from __future__ import annotations

from enum import StrEnum
from typing import Self


class Joint(StrEnum):
    """How the two ends of a hoop are joined, and what is put into the joint, in g: a sleeve about
    60 mm long in the chamber, two pins of 4 mm. Assumed, no source.
    """

    mass_g: float

    WELDED = "welded", 0.0
    SLEEVED = "sleeved", 10.0
    PINNED = "pinned", 6.0

    def __new__(cls, word: str, mass_g: float = 0.0) -> Self:
        """The word, with the mass as an attribute."""
        joint = str.__new__(cls, word)
        joint._value_ = word
        joint.mass_g = mass_g
        return joint
