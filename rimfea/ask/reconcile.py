"""The drawn mass against the weighed one: what nobody measured is scaled until the two agree."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from enum import Enum, auto

import numpy as np
from scipy.optimize import brentq

from rimfea.arrays import Floats
from rimfea.errors import Fault, SheetError
from rimfea.profile.build import outline as drawn
from rimfea.profile.fields import BY_KEY
from rimfea.profile.moved import dimensions
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import type_b, uncertainties
from rimfea.profile.values import nearest
from rimfea.profile.walls import Wall
from rimfea.vary.scales import drawn_mass_g, grams_a_mm, weighed, with_values

DISTRUSTED_SHARE = 0.15  # half-width of a reading that is distrusted: as if nobody had taken it
LEAST_RATIO, LARGEST_RATIO = 0.6, 1.6  # of a number that is scaled
NOTICEABLE_G = 0.05  # a doubt that weighs less is no way to meet the scales
ROUNDS, HALVINGS, SMALLEST_SHARE = 4, 16, 1e-8
CLOSE_G = 0.01
LAST_DIGIT = 5  # of a scaled number, mm

NOT_MEASURED = "scaled to the weighed mass, not measured"

SCALABLE = (
    *(wall.key_mm for wall in Wall),
    "inner_width_mm",
    "overall_depth_mm",
    "hook_height_mm",
    "tyre_well_depth_mm",
    "tyre_well_width_mm",
    "spoke_bed_width_mm",
)
"""The lengths that make a section's mass. Everything else is held, but that an ERD which nobody
measured follows the drawing."""


class Ending(Enum):
    """How it ended; only the last one changes the sheet."""

    AGREES = auto()
    NOTHING_FREE = auto()
    OUT_OF_REACH = auto()
    SCALED = auto()


@dataclass(frozen=True)
class Change:
    """One number of the sheet before and after, mm; ``follows`` if it only follows from others."""

    key: str
    before_mm: float
    after_mm: float
    follows: bool

    @property
    def share(self) -> float:
        """The change as a share of what it was."""
        return self.after_mm / self.before_mm - 1


@dataclass(frozen=True)
class Reconciled:
    """A sheet, the same with its mass met, and all that differs.

    ``open_g`` is how far drawn and weighed mass may lie apart by the error of caliper and scales
    and by what no drawing shows (k = 2), ``free`` the keys that may be scaled. ``reached_g`` is
    the mass of ``after``; out of reach it is the nearest that could be had, and ``after`` is the
    sheet as it was.
    """

    before: Sheet
    after: Sheet
    ending: Ending
    weighed_g: float
    computed_g: float
    reached_g: float
    open_g: float
    free: tuple[str, ...]

    def __repr__(self) -> str:
        masses = f"drawn {self.computed_g:.0f} g, weighed {self.weighed_g:.0f} g"
        return f"<Reconciled {self.before.name}: {masses}, {self.ending.name.lower()}>"

    @property
    def changes(self) -> tuple[Change, ...]:
        """Every length that differs, in the order of the sheet."""
        return tuple(
            Change(key, was, now, follows=key not in self.free)
            for key in uncertainties(self.before)
            if (was := getattr(self.before, key)) != (now := getattr(self.after, key))
        )


def reconcile(sheet: Sheet, also: Collection[str] = ()) -> Reconciled:
    """The least change of what nobody measured, and of the readings in ``also``, that makes the
    drawn rim as heavy as the weighed one.

    Least is Σ(change/u)², u the standard uncertainty of each number. Raises
    :class:`~rimfea.errors.SheetError` for a rim that was not weighed and for keys in ``also``
    that cannot be scaled.
    """
    _check(sheet, also)
    scales, computed = float(sheet.weighed_mass_g or 0), drawn_mass_g(sheet)
    doubt = _doubts(sheet, also)
    apart = _open(sheet, doubt)

    def ended(ending: Ending, after: Sheet, reached: float) -> Reconciled:
        return Reconciled(sheet, after, ending, scales, computed, reached, apart, tuple(doubt))

    if abs(scales - computed) <= apart:
        return ended(Ending.AGREES, sheet, computed)
    if not doubt:
        return ended(Ending.NOTHING_FREE, sheet, computed)
    after = _met(sheet, doubt, scales)
    reached = drawn_mass_g(after)
    if abs(scales - reached) > CLOSE_G:
        return ended(Ending.OUT_OF_REACH, sheet, reached)
    return ended(Ending.SCALED, _noted(after, doubt), reached)


def _noted(sheet: Sheet, keys: Collection[str]) -> Sheet:
    """The sheet with what was scaled as guessed and a note of it, as long a one as fits."""
    guessed = sheet.varied(guessed=[key for key in BY_KEY if key in {*sheet.guessed, *keys}])
    names = ", ".join(key.removesuffix("_mm").replace("_", " ") for key in keys)
    for words in (f"{NOT_MEASURED}: {names}", NOT_MEASURED):
        with suppress(SheetError):
            return guessed.varied(note="; ".join(filter(None, (sheet.note, words))))
    return guessed


def _check(sheet: Sheet, also: Collection[str]) -> None:
    faults = []
    if sheet.weighed_mass_g is None:
        faults.append(Fault("weighed_mass_g", "is missing", remedy="weigh the bare hoop"))
    able = _scalable(sheet)
    for key in also:
        if key not in able:
            remedy = nearest(key, able) or f"there are: {', '.join(able)}"
            faults.append(Fault(key, "cannot be scaled", remedy=remedy))
    if faults:
        raise SheetError(faults, sheet.name)


def _scalable(sheet: Sheet) -> list[str]:
    own = dimensions(sheet)
    return [key for key in SCALABLE if key in own]


def _doubts(sheet: Sheet, also: Collection[str]) -> dict[str, float]:
    """Standard uncertainty (mm) of every number that may be scaled and weighs something."""
    known, found = uncertainties(sheet), {}
    for key in _scalable(sheet):
        if key in sheet.assumed:
            found[key] = known[key].standard
        elif key in also:
            half = DISTRUSTED_SHARE * getattr(sheet, key)
            found[key] = type_b("distrusted", half).standard
    slope = _slopes(sheet, tuple(found))
    weight = zip(found.items(), slope, strict=True)
    return {key: u for (key, u), grams in weight if abs(grams * u) >= NOTICEABLE_G}


def _open(sheet: Sheet, doubt: Mapping[str, float]) -> float:
    """What scales, measured numbers and what the drawing leaves out leave open, g, all that may be
    scaled held.
    """
    held = with_values(sheet, tuple(doubt), _values(sheet, tuple(doubt)))
    known = uncertainties(sheet)
    return weighed(held).open_by([key for key in known if known[key].measured])


def _met(sheet: Sheet, doubt: Mapping[str, float], weighed_g: float) -> Sheet:
    """The sheet with the least change that meets the mass, or comes nearest to it.

    Lagrange's condition: each number changes by λ u² ∂m/∂x, but for those at a bound. λ is a
    root of the mass, which is met whatever the slopes; these are taken anew where it led.
    """
    keys = tuple(doubt)
    was, variance = _values(sheet, keys), np.square([*doubt.values()])
    low, high = np.transpose([_bounds(sheet, key) for key in keys])
    side = np.sign(weighed_g - drawn_mass_g(sheet))
    here = sheet
    for _ in range(ROUNDS):
        pull = side * variance * _slopes(here, keys)
        room = np.where(pull > 0, high - was, low - was)
        longest = float(np.divide(room, pull, out=np.zeros_like(pull), where=pull != 0).max())
        way = Way(sheet, keys, was, longest * pull, low, high)
        here = way.at(_share(way, weighed_g))
    return here


@dataclass(frozen=True)
class Way:
    """Sheets whose ``keys`` leave ``was`` (k,) all together, as far as ``along`` (k,), each until
    it meets its bound ``low`` or ``high`` (k,).
    """

    sheet: Sheet
    keys: tuple[str, ...]
    was: Floats
    along: Floats
    low: Floats
    high: Floats

    def at(self, share: float) -> Sheet:
        """The sheet a share of the way along."""
        values = np.clip(self.was + share * self.along, self.low, self.high)
        return with_values(self.sheet, self.keys, values.round(LAST_DIGIT))

    def fits(self, share: float) -> bool:
        """Whether the numbers there make a section."""
        try:
            drawn(self.at(share))
        except SheetError:
            return False
        return True

    @property
    def end(self) -> float:
        """How far the numbers make a section."""
        good, bad = 0.0, 1.0
        if self.fits(bad):
            return bad
        for _ in range(HALVINGS):
            middle = (good + bad) / 2
            good, bad = (middle, bad) if self.fits(middle) else (good, middle)
        return good


def _share(way: Way, weighed_g: float) -> float:
    """How far the mass is met, or all of the way where it is not."""

    def missing(share: float) -> float:
        return weighed_g - drawn_mass_g(way.at(share))

    end = way.end
    if missing(0.0) * missing(end) >= 0:
        return end
    return float(brentq(missing, 0.0, end, xtol=SMALLEST_SHARE))


def _bounds(sheet: Sheet, key: str) -> tuple[float, float]:
    """How far a number may be scaled alone: ratio, range of its field, clashes."""
    field, value = BY_KEY[key], float(getattr(sheet, key))
    low = max(field.low, LEAST_RATIO * value)
    high = min(field.high, LARGEST_RATIO * value)
    return _last_fitting(sheet, key, low), _last_fitting(sheet, key, high)


def _last_fitting(sheet: Sheet, key: str, limit: float) -> float:
    was = _values(sheet, [key])
    end = np.array([limit])
    way = Way(sheet, (key,), was, end - was, np.minimum(was, end), np.maximum(was, end))
    return float(getattr(way.at(way.end), key))


def _slopes(sheet: Sheet, keys: Sequence[str]) -> Floats:
    return np.array([grams_a_mm(sheet, key) for key in keys])


def _values(sheet: Sheet, keys: Sequence[str]) -> Floats:
    return np.array([float(getattr(sheet, key)) for key in keys])
