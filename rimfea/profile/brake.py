"""The words for what slows the wheel, which decides whether its rim wears."""

from __future__ import annotations

from enum import StrEnum


class Brake(StrEnum):
    """What brakes the wheel: blocks on the sidewalls, a disc, or rods that pull on the inside."""

    RIM = "rim"
    DISC = "disc"
    ROD = "rod"
