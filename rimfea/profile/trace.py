"""A section that was traced instead of drawn. It needs no arrays until it is drawn."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rimfea.geometry.outline import Outline


@dataclass(frozen=True)
class Trace:
    """An ``outline`` in a rim's axes, every edge named after its wall; the numbers (mm) read from
    it by the sheet's keys, ``outer_width_mm`` besides; the file it was read from.

    Two are equal whose outlines are, wherever they come from.
    """

    outline: Outline = field(compare=False)
    sizes: Mapping[str, float] = field(compare=False)
    source: str = field(default="", compare=False)
    mark: str = field(init=False)

    def __post_init__(self) -> None:
        """The outline's mark, by which traces are told apart."""
        told = hashlib.sha256("|".join(self.outline.labels).encode())
        for ring in self.outline.rings:
            told.update(ring.corners.tobytes() + ring.bulge.tobytes())
        object.__setattr__(self, "mark", told.hexdigest())

    def __repr__(self) -> str:
        return f"<Trace of {len(self.outline.labels)} edges>"
