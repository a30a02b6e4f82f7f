"""Sharp corners of a section that is yet to be drawn; they need no arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

# Two roundings of one edge never overlap, and leave a straight piece between them on which a
# caliper can be set.
LARGEST_SHARE = 0.42


@dataclass(frozen=True)
class Corner:
    """A sharp corner: place in mm, wished radius, name of the edge that leaves it, the name its
    arc takes (by default that of the edge that leaves), and the largest ``share`` of each edge it
    touches that its rounding takes where there is no more room.
    """

    x: float
    y: float
    label: str
    radius: float = 0.0
    arc_label: str = ""
    share: float = LARGEST_SHARE


def mirrored(right: Sequence[Corner], closing: str) -> list[Corner]:
    """A right half followed by its mirror image; ``closing`` names the edge back to its start."""
    return joined(right, right, closing)


def joined(right: Sequence[Corner], left: Sequence[Corner], closing: str) -> list[Corner]:
    """A right half followed by a left one, which is told as a right one too and mirrored here;
    ``closing`` names the edge back to its start.
    """
    there, back = ([replace(c, arc_label=c.arc_label or c.label) for c in h] for h in (right, left))
    leaving = [closing, *(c.label for c in back[:-1])]
    turned = [replace(c, x=-c.x, label=label) for c, label in zip(back, leaving, strict=True)]
    return [*there, *reversed(turned)]
