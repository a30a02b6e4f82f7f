"""What scales and tones tell of the walls that nobody measured, and which reading would tell more.

The guess in the sheet, with the ± of a guess, is what was known before; mass and tones are readings
of all walls at once (:mod:`rimfea.vary.known`). A guess may be so far off that a slope at it no
longer holds: the estimate is found once along the slopes at the guess, and then along those at what
was found, with the guess still what it was (one step of Gauss and Newton).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import combinations

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.errors import MeshError, SheetError
from rimfea.profile.families import Family
from rimfea.profile.moved import dimensions, unmeasured_walls
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import COVERAGE, of_scales, uncertainties
from rimfea.profile.walls import Wall
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.known import Known, known
from rimfea.vary.scales import weighed, with_values
from rimfea.vary.tap import Hint, Tap, tap

SHEETS = 16  # that are remembered
MASS, TONES = "weighed_mass_g", "tones_Hz"
USUALLY_HEARD = 4  # tones of a bare rim, the lowest
ALIKE = -0.4  # a correlation below which two walls are hardly told apart
# Without a saw no caliper gets at these, where there is a chamber.
INSIDE = frozenset(wall.key_mm for wall in (Wall.BEAD_SEAT, Wall.FLANK, Wall.SPOKE_BED, Wall.WEB))


@dataclass(frozen=True)
class Gain:
    """What one more reading would be worth: the key of what is read, and the expanded uncertainty
    (w,) of the hidden walls now and with it, mm.
    """

    key: str
    now: Floats
    after: Floats

    __repr__ = brief

    @property
    def share(self) -> float:
        """What would be left of their ±, on the average of all walls."""
        return float(np.mean(self.after / self.now))


@dataclass(frozen=True)
class Unsawn:
    """A rim's walls that nobody measured, their ``keys`` (w,), by all that is ``known`` of it, on
    the tangent at the rim that is ``likely`` by scales and tones.
    """

    sheet: Sheet
    keys: tuple[str, ...]
    likely: Sheet
    known: Known

    def __repr__(self) -> str:
        return f"<Unsawn {self.sheet.name}: {len(self.keys)} walls>"

    @property
    def weighs(self) -> bool:
        """Whether the scales tell of the walls."""
        return self.known.weighed.agrees

    @property
    def hears(self) -> bool:
        """Whether the tones do."""
        return self.known.hears

    @cached_property
    def walls(self) -> tuple[Hint, ...]:
        """What is told of each, in the order of the sheet; nothing where neither scales nor tones
        tell anything.
        """
        if not (self.weighs or self.hears):
            return ()
        scales, (left, moved) = self.known.weighed, self._told
        found = []
        for key in self.keys:
            k = scales.keys.index(key)
            doubts = (COVERAGE * float(each.standard[k]) for each in (scales.lengths, left))
            found.append(Hint(key, float(getattr(self.sheet, key)), float(moved[k]), *doubts))
        return tuple(found)

    @cached_property
    def alike(self) -> tuple[tuple[str, str], ...]:
        """Pairs of walls of which mostly the sum is known, by their keys."""
        cover = self._of_walls(self._told[0]).covariance
        own = np.sqrt(np.diag(cover))
        pairs = combinations(range(len(self.keys)), 2)
        return tuple(
            (self.keys[i], self.keys[j])
            for i, j in pairs
            if self.walls and cover[i, j] < ALIKE * own[i] * own[j]
        )

    @cached_property
    def gains(self) -> tuple[Gain, ...]:
        """What every reading that can be taken without a saw would be worth, the best first."""
        now = COVERAGE * self._of_walls(self._told[0]).standard
        found = (
            Gain(key, now, COVERAGE * self._of_walls(left).standard)
            for key, left in self._readings()
        )
        return tuple(sorted(found, key=lambda gain: gain.share))

    @cached_property
    def _told(self) -> tuple[Doubt, Floats]:
        """What is left of the doubt of all lengths and, last of all, of the mass as drawn; and how
        much each is moved.
        """
        scales = self.known.weighed
        both = np.column_stack([scales.lengths.shares, scales.off_g])
        return self.known.conditioned(replace(scales.lengths, shares=both))

    def _of_walls(self, numbers: Doubt) -> Doubt:
        return numbers.picked([self.known.weighed.keys.index(key) for key in self.keys])

    def _readings(self) -> Iterator[tuple[str, Doubt]]:
        """By key, what each reading would leave."""
        scales, (left, _) = self.known.weighed, self._told
        if scales.weighed_g is None:
            yield MASS, _read(left, -1, Source(Origin.SCALES, MASS), of_scales().standard)
        if self.known.tap is None and (self.weighs or scales.weighed_g is None):
            with suppress(MeshError):
                quiet = tap(self.sheet, self.likely)
                yield TONES, _heard(quiet).conditioned(left)[0]
        errors = uncertainties(_measured(self.sheet))
        for key in _within_reach(self.sheet):
            source = Source(Origin.READING, f"{key} read again", self.sheet.name)
            yield key, _read(left, scales.keys.index(key), source, errors[key].standard)


def _read(left: Doubt, place: int, source: Source, standard: float) -> Doubt:
    return left.read(left.shares[:, place], source, standard)[0]


def _heard(quiet: Tap) -> Tap:
    return quiet.hearing(quiet.hertz[:USUALLY_HEARD])


def _measured(sheet: Sheet) -> Sheet:
    """The same rim, all its lengths read once."""
    lengths = {key: getattr(sheet, key) for key in dimensions(sheet) if key not in sheet.readings}
    return sheet.varied(**lengths, guessed=[])


def _within_reach(sheet: Sheet) -> tuple[str, ...]:
    """Lengths that a caliper gets at: all of a rim without a chamber."""
    hidden = INSIDE if sheet.family is not Family.SINGLE else frozenset()
    return tuple(key for key in dimensions(sheet) if key not in hidden)


@lru_cache(maxsize=SHEETS)
def unsawn(sheet: Sheet) -> Unsawn:
    """What scales and tones tell of the walls that nobody measured. Raises
    :class:`~rimfea.errors.SheetError` where the sheet's numbers fit no section.
    """
    keys = unmeasured_walls(sheet)
    if not keys:
        return Unsawn(sheet, keys, sheet, Known(weighed(sheet), None))
    first = known(sheet, sheet)
    if first.weighed.weighed_g is None or first.weighed.agrees:
        likely = _moved(sheet, first)
        with suppress(MeshError):
            return Unsawn(sheet, keys, likely, known(sheet, likely))
    return Unsawn(sheet, keys, sheet, first)


def _moved(sheet: Sheet, sure: Known) -> Sheet:
    """The rim as scales and tones have it, whether the tones agree or not; as it was if there is no
    such rim.
    """
    left, by_mm = sure.weighed.conditioned(sure.weighed.lengths)
    if sure.tap is not None:
        by_mm = by_mm + sure.tap.conditioned(left)[1]
    move = dict(zip(sure.weighed.keys, by_mm.tolist(), strict=True))
    able = dimensions(sheet)
    try:
        return with_values(sheet, able, [getattr(sheet, key) + move[key] for key in able])
    except SheetError:
        return sheet
