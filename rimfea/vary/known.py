"""All that is known of a sheet's numbers: the caliper's readings, the scales, and the tones.

Each is one more reading on top of those before it. Where the scales do not agree with the drawing
nothing is moved, and tones are not asked, for they rest on the mass; where the tones do not agree
they move nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.profile.sheet import Sheet
from rimfea.vary.doubt import Doubt
from rimfea.vary.scales import Weighed, weighed
from rimfea.vary.tap import Tap, tap

SHEETS = 64  # that are remembered


@dataclass(frozen=True)
class Known:
    """A sheet beside the scales, and beside the tones of the bare rim; ``tap`` is None where nobody
    tapped it.
    """

    weighed: Weighed
    tap: Tap | None

    __repr__ = brief

    @property
    def hears(self) -> bool:
        """Whether tones tell of the walls."""
        sure = self.weighed.weighed_g is None or self.weighed.agrees
        return self.tap is not None and sure and self.tap.agrees

    def picked(self, keys: Iterable[str]) -> Doubt:
        """The doubt of some of the lengths, by the caliper alone."""
        return self.weighed.picked(keys)

    def conditioned(self, numbers: Doubt) -> tuple[Doubt, Floats]:
        """What scales and tones leave of a doubt by the same sources, and how much they move each
        number (n,).
        """
        left, moved = self.weighed.conditioned(numbers)
        if self.tap is None or not self.hears:
            return left, moved
        heard, further = self.tap.conditioned(left)
        return heard, moved + further

    def standard_mm(self, key: str) -> float:
        """How well a length is known by all of them."""
        return float(self.conditioned(self.picked([key]))[0].standard[0])


@lru_cache(maxsize=SHEETS)
def known(sheet: Sheet, near: Sheet | None = None) -> Known:
    """All that is known of a sheet; with a rim ``near`` it on the tangent there, as
    :func:`~rimfea.vary.scales.weighed` has it. Raises :class:`~rimfea.errors.SheetError` where its
    numbers fit no section.
    """
    heard = sheet.tones_Hz
    return Known(weighed(sheet, near), tap(sheet, near).hearing(heard) if heard else None)
