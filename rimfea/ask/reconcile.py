"""The drawn hoop against the scales and the measured ERD: what nobody measured is scaled until they
agree.

Generalised least squares (JCGM 102:2011, 5.3; citation from memory): of all sheets the one with the
least Σ(change/u)² + rᵀV⁻¹r. u is the standard uncertainty of each number that may be scaled, r what
the drawing then misses the measurements of the hoop by, and V the covariance of those: their own
errors, and what the other numbers of the sheet, measured and held, make of theirs in both.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from enum import Enum, auto

import numpy as np
import scipy

from rimfea.arrays import Floats
from rimfea.errors import Fault, SheetError
from rimfea.profile.build import outline as drawn
from rimfea.profile.erd import drawn_diameter_mm
from rimfea.profile.fields import BY_KEY
from rimfea.profile.moved import ERD, dimensions
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import (
    AS_DRAWN,
    COVERAGE,
    JOINT,
    of_drawing,
    of_scales,
    type_b,
    uncertainties,
)
from rimfea.profile.values import nearest
from rimfea.profile.walls import Wall
from rimfea.vary.doubt import doubt_of
from rimfea.vary.scales import drawn_mass_g, per_mm, with_values
from rimfea.vary.unsawn import Unsawn, unsawn

DISTRUSTED_SHARE = 0.15  # half-width of a reading that is distrusted: as if nobody had taken it
LEAST_RATIO, LARGEST_RATIO = 0.6, 1.6  # of a number that is scaled
NOTICEABLE = 0.01  # share of V that a number must move by to be a way to meet it
HALVINGS = 16
SLACK = 1e-9  # of a standard uncertainty: the search wants room even where there is none
LAST_DIGIT = 3  # of a scaled number, mm
LONGEST_NAME = 180  # leaves room for what is added

NOT_MEASURED = "scaled to fit, not measured"

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
class Whole:
    """One measurement of the whole hoop: the number that was ``read``, its standard uncertainty,
    and how the same is told of a drawing.
    """

    what: str
    unit: str
    read: float
    standard: float
    drawn: Callable[[Sheet], float]


@dataclass(frozen=True)
class Held:
    """A measurement of the whole hoop compared with the drawing ``before`` and ``after``; ``open``
    is how far they may lie apart by the errors of what was measured alone (k = 2).
    """

    what: str
    unit: str
    read: float
    before: float
    after: float
    open: float

    @property
    def agreed(self) -> bool:
        """Whether the drawing agreed with it before."""
        return abs(self.read - self.before) <= self.open

    @property
    def agrees(self) -> bool:
        """Whether it does after."""
        return abs(self.read - self.after) <= self.open


@dataclass(frozen=True)
class Reconciled:
    """A sheet, the same in agreement with the whole hoop, and all that differs.

    ``held`` are the mass and, if it was measured, the ERD; ``free`` the keys that may be scaled.
    Out of reach, what stands in ``held`` as after is the nearest that could be had, and ``after``
    is the sheet as it was.
    """

    before: Sheet
    after: Sheet
    ending: Ending
    held: tuple[Held, ...]
    free: tuple[str, ...]

    def __repr__(self) -> str:
        mass = self.held[0]
        masses = f"drawn {mass.before:.0f} g, weighed {mass.read:.0f} g"
        return f"<Reconciled {self.before.name}: {masses}, {self.ending.name.lower()}>"

    @property
    def unsawn(self) -> Unsawn:
        """What scales and tones tell of the walls that nobody measured, the sheet as it was."""
        return unsawn(self.before)

    @property
    def changes(self) -> tuple[Change, ...]:
        """Every length that differs, in the order of the sheet."""
        return tuple(
            Change(key, was, now, follows=key not in self.free)
            for key in uncertainties(self.before)
            if (was := getattr(self.before, key)) != (now := getattr(self.after, key))
        )


def reconcile(sheet: Sheet, also: Collection[str] = ()) -> Reconciled:
    """The least change of what nobody measured, and of the readings in ``also``, for which the
    drawn rim agrees with the weighed one, and with the ERD if that was measured.

    Raises :class:`~rimfea.errors.SheetError` for a rim that was not weighed and for keys in
    ``also`` that cannot be scaled.
    """
    _check(sheet, also)
    whole = _measured(sheet)
    doubt = _doubts(sheet, also, whole)
    cover = _covariance(sheet, tuple(doubt), whole)
    fitted = _fitted(sheet, doubt, whole, cover) if doubt else sheet
    open_ = COVERAGE * np.sqrt(np.diag(cover))
    values = zip(whole, _drawn(sheet, whole), _drawn(fitted, whole), open_, strict=True)
    held = tuple(
        Held(each.what, each.unit, each.read, float(was), float(now), float(apart))
        for each, was, now, apart in values
    )
    ending = _ending(held, doubt)
    after = _noted(fitted, doubt) if ending is Ending.SCALED else sheet
    return Reconciled(sheet, after, ending, held, tuple(doubt))


def _ending(held: Iterable[Held], doubt: Collection[str]) -> Ending:
    if all(each.agreed for each in held):
        return Ending.AGREES
    if not doubt:
        return Ending.NOTHING_FREE
    return Ending.SCALED if all(each.agrees for each in held) else Ending.OUT_OF_REACH


def _noted(sheet: Sheet, keys: Collection[str]) -> Sheet:
    """The sheet by a name of its own, with what was scaled as guessed and a note of it, as long a
    one as fits.
    """
    renamed = sheet.varied(
        name=f"{sheet.name[:LONGEST_NAME]}, reconciled",
        guessed=[key for key in BY_KEY if key in {*sheet.guessed, *keys}],
    )
    names = ", ".join(key.removesuffix("_mm").replace("_", " ") for key in keys)
    for words in (f"{NOT_MEASURED}: {names}", NOT_MEASURED):
        with suppress(SheetError):
            return renamed.varied(note="; ".join(filter(None, (sheet.note, words))))
    return renamed


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


def _measured(sheet: Sheet) -> tuple[Whole, ...]:
    """What was measured of the whole hoop. The scales weigh along what no drawing shows, and an ERD
    is off by what nipples and their seats differ from the drawing.
    """
    known, computed = uncertainties(sheet), drawn_mass_g(sheet)
    own = (of_scales(), of_drawing(sheet, computed), known[JOINT])
    scales = math.hypot(*(each.standard for each in own))
    mass = Whole("mass", "g", float(sheet.weighed_mass_g or 0), scales, drawn_mass_g)
    if ERD in sheet.assumed:
        return (mass,)
    rods = math.hypot(known[ERD].standard, AS_DRAWN.standard)
    return mass, Whole("ERD", "mm", sheet.erd_mm, rods, drawn_diameter_mm)


def _drawn(sheet: Sheet, whole: Sequence[Whole]) -> Floats:
    """What a drawing has for the measurements (o,)."""
    return np.array([each.drawn(sheet) for each in whole])


def _doubts(sheet: Sheet, also: Collection[str], whole: Sequence[Whole]) -> dict[str, float]:
    """Standard uncertainty (mm) of every number that may be scaled and has a say."""
    known, found = uncertainties(sheet), {}
    for key in _scalable(sheet):
        if key in sheet.assumed:
            found[key] = known[key].standard
        elif key in also:
            half = DISTRUSTED_SHARE * getattr(sheet, key)
            found[key] = type_b("distrusted", half).standard
    say = np.abs(_slopes(sheet, tuple(found), whole) * [*found.values()])
    least = [[NOTICEABLE * each.standard] for each in whole]
    heard = np.greater_equal(say, least).max(axis=0, initial=False)
    return {key: u for (key, u), has in zip(found.items(), heard, strict=True) if has}


def _covariance(sheet: Sheet, free: Sequence[str], whole: Sequence[Whole]) -> Floats:
    """Covariance (o, o) of the measurements with what is drawn, all that may be scaled held: what a
    caliper is off by is in all that it read.
    """
    known = uncertainties(sheet)
    keys = [
        key
        for key in known
        if key not in (*free, ERD, JOINT) and known[key].measured and known[key].standard
    ]
    lengths = doubt_of([(key, known[key]) for key in keys], sheet.name)
    seen = lengths.through(_slopes(sheet, keys, whole).T)
    return np.asarray(np.diag([each.standard**2 for each in whole]) + seen.covariance)


def _fitted(
    sheet: Sheet, doubt: Mapping[str, float], whole: Sequence[Whole], cover: Floats
) -> Sheet:
    """The sheet of least squares. Numbers that make no section are infinitely bad: the search
    turns back to shorter steps.
    """
    keys, u = tuple(doubt), np.array([*doubt.values()])
    was, read = _values(sheet, keys), np.array([each.read for each in whole])
    low, high = np.transpose([_bounds(sheet, key) for key in keys])
    whiten = np.linalg.inv(np.linalg.cholesky(cover))

    def at(steps: Floats) -> Sheet:
        return with_values(sheet, keys, np.clip((was + steps * u).round(LAST_DIGIT), low, high))

    def apart(steps: Floats) -> Floats:
        try:
            missing = read - _drawn(with_values(sheet, keys, was + steps * u), whole)
        except SheetError:
            return np.full(len(keys) + len(whole), np.inf)
        return np.concatenate([steps, whiten @ missing])

    def slopes(steps: Floats) -> Floats:
        here = with_values(sheet, keys, was + steps * u)
        return np.vstack([np.eye(len(keys)), -whiten @ (_slopes(here, keys, whole) * u)])

    room = (low - was) / u - SLACK, (high - was) / u + SLACK
    return at(
        scipy.optimize.least_squares(apart, np.zeros(len(keys)), slopes, room, method="dogbox").x
    )


def _bounds(sheet: Sheet, key: str) -> tuple[float, float]:
    """How far a number may be scaled alone: ratio, range of its field, clashes."""
    field, value = BY_KEY[key], float(getattr(sheet, key))
    low = max(field.low, LEAST_RATIO * value)
    high = min(field.high, LARGEST_RATIO * value)
    return _last_fitting(sheet, key, low), _last_fitting(sheet, key, high)


def _last_fitting(sheet: Sheet, key: str, limit: float) -> float:
    """The number nearest to the limit that makes a section, from what it is (halving)."""
    good, bad = float(getattr(sheet, key)), limit
    if _fits(sheet, key, limit):
        return limit
    for _ in range(HALVINGS):
        middle = (good + bad) / 2
        good, bad = (middle, bad) if _fits(sheet, key, middle) else (good, middle)
    return good


def _fits(sheet: Sheet, key: str, value: float) -> bool:
    try:
        drawn(with_values(sheet, [key], [value]))
    except SheetError:
        return False
    return True


def _slopes(sheet: Sheet, keys: Sequence[str], whole: Sequence[Whole]) -> Floats:
    """What a millimetre of each number adds to the measurements (o, k)."""
    found = [per_mm(sheet, key, lambda drawing: _drawn(drawing, whole)) for key in keys]
    return np.reshape(found, (len(keys), len(whole))).T


def _values(sheet: Sheet, keys: Sequence[str]) -> Floats:
    return np.array([float(getattr(sheet, key)) for key in keys])
