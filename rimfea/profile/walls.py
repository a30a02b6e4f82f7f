"""The words for the walls of a rim section."""

from __future__ import annotations

from enum import StrEnum


class Wall(StrEnum):
    """The walls of a rim section, from the crown that meets the rock down to the spokes."""

    BEAD_HOOK = "bead hook"
    HOOK_LIP = "hook lip"
    SIDEWALL = "sidewall"
    BEAD_SEAT = "bead seat"
    TYRE_WELL = "tyre well"
    FLANK = "flank"
    SPOKE_BED = "spoke bed"
    NIPPLE_SEAT = "nipple seat"

    @property
    def key_mm(self) -> str:
        """The sheet's key for the thickness of this wall."""
        return f"{self.replace(' ', '_')}_mm"


class Family(StrEnum):
    """The families of section that a caliper sheet can describe."""

    HOOKED = "hooked double wall"
    HOOKLESS = "hookless double wall"
    PADDED = "padded double wall"
    SINGLE = "single wall"

    @property
    def has_chamber(self) -> bool:
        """Whether the section encloses a chamber."""
        return self is not Family.SINGLE

    @property
    def has_hook(self) -> bool:
        """Whether the crown turns inward to hold the bead."""
        return self is not Family.HOOKLESS
