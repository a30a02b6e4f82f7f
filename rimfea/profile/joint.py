"""The words for the joint of a hoop, whose two ends a rim maker joins."""

from __future__ import annotations

from enum import StrEnum


class Joint(StrEnum):
    """How the two ends of a hoop are joined."""

    WELDED = "welded"
    SLEEVED = "sleeved"
    PINNED = "pinned"
