"""The rims on the bench: what is being tried of which, and what was already worked out of it."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Container, Hashable, Mapping, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, field, replace
from threading import Lock
from types import MappingProxyType
from typing import Any, Generic, TypeVar

from rimfea.ask.compare import Measured
from rimfea.ask.compare import measured as rank
from rimfea.ask.dents import lighten
from rimfea.errors import MeshError, SheetError
from rimfea.profile.fields import BY_KEY
from rimfea.profile.moved import dimensions, moved
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import uncertainties
from rimfea.study import setup as setups
from rimfea.study.analysis import Analysis, inspect, solved
from rimfea.study.cases import standard_cases
from rimfea.study.ride import Ride, ride, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import ASKED
from rimfea.vary.draft import Draft, Ground, Track, draft, ground, track
from rimfea.words.keys import called

Kept = TypeVar("Kept")
STEP_MM = 0.05
WALLS, SIZES, ROUNDINGS = "walls", "widths and heights", "roundings"
RADIUS = "_radius_mm"
# How far a slider goes: shares of what was measured; for what may have either sign, mm.
REACHES = MappingProxyType({WALLS: (0.5, 2.0), SIZES: (0.75, 1.3), ROUNDINGS: (0.5, 2.0)})
SIGNED_MM = 2.0
STRIDE = 0.25  # of it: from ground to ground where one does not reach
DIGITS = 6
MOST_AHEAD, MOST_DRAFTS = 40, 200


@dataclass(frozen=True)
class Tried:
    """A rim as one wheel of a set-up, some of its dimensions (key, mm) other than on its sheet,
    which is the bench's of that name or the page's ``own``, and it is ``ridden`` with some values
    other than those of the set-up.
    """

    rim: str
    setup: str
    end: End
    changes: tuple[tuple[str, float], ...] = ()
    own: Sheet | None = None
    ridden: tuple[tuple[str, float | str], ...] = ()

    def with_wall(self, key: str, value_mm: float) -> Tried:
        """The same with one dimension so large."""
        return replace(self, changes=tuple(sorted({**dict(self.changes), key: value_mm}.items())))


@dataclass(frozen=True)
class Slider:
    """One dimension that can be tried: the sheet's key, what a builder calls it and the kind of
    dimension it is, its size, how far it may go, and the ± of what it was measured by, if it was.
    """

    key: str
    word: str
    group: str
    value_mm: float
    low_mm: float
    high_mm: float
    doubt_mm: float
    is_measured: bool
    meaning: str


class Shelf(Generic[Kept]):
    """The last few things made, each made once however many ask for it at the same time."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Hashable, Future[Kept]] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable, make: Callable[[], Kept]) -> Kept:
        """What is kept under the key, else what ``make`` makes; its errors are not kept."""
        with self._lock:
            there = self._kept.get(key)
            place = self._kept.setdefault(key, Future())
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        if there is not None:
            return there.result()
        try:
            place.set_result(make())
        except BaseException as error:
            with self._lock:
                if self._kept.get(key) is place:
                    del self._kept[key]
            place.set_exception(error)
            raise
        return place.result()

    def there(self, key: Hashable) -> Kept | None:
        """What is kept under the key, if it was made already."""
        with self._lock:
            place = self._kept.get(key)
        return place.result() if place is not None and place.done() else None


@dataclass(frozen=True)
class Bench:
    """Sheets and set-ups by name, and what is kept of the last rims tried."""

    sheets: Mapping[str, Sheet]
    setups: Mapping[str, Setup]
    grounds: Shelf[Ground] = field(default_factory=lambda: Shelf(3))
    tracks: Shelf[Track] = field(default_factory=lambda: Shelf(8))
    answers: Shelf[Any] = field(default_factory=lambda: Shelf(12))
    drafts: Shelf[Any] = field(default_factory=lambda: Shelf(MOST_DRAFTS))
    rides: Shelf[Ride] = field(default_factory=lambda: Shelf(2))
    wholes: Shelf[Ride] = field(default_factory=lambda: Shelf(2))
    ranked: Shelf[Measured] = field(default_factory=lambda: Shelf(6))


def bench(sheets: Sequence[Sheet], ridden: Sequence[Setup]) -> Bench:
    """A bench for those rims and set-ups; of two rims with one name the second is numbered."""
    named: dict[str, Sheet] = {}
    for sheet in sheets:
        named[free_name(sheet.name, named)] = sheet
    return Bench(named, {setup.name: setup for setup in ridden})


def free_name(name: str, taken: Container[str]) -> str:
    """That name, numbered where it is taken."""
    free, k = name, 2
    while free in taken:
        free, k = f"{name} {k}", k + 1
    return free


def measured(on: Bench, tried: Tried) -> Sheet:
    """The sheet that was measured, before anything was tried."""
    return tried.own or on.sheets[tried.rim]


def setup_of(on: Bench, tried: Tried) -> Setup:
    """The set-up as tried. Raises :class:`~rimfea.errors.SheetError` with all its faults."""
    return on.setups[tried.setup].varied(**dict(tried.ridden))


def sheet_of(on: Bench, tried: Tried) -> Sheet:
    """The sheet as tried. Raises :class:`~rimfea.errors.SheetError` with all its faults."""
    sheet = measured(on, tried)
    steps = {key: value - (getattr(sheet, key) or 0.0) for key, value in tried.changes}
    return moved(sheet, steps)


def sliders(sheet: Sheet) -> tuple[Slider, ...]:
    """One slider for each dimension that can be moved by itself: walls from the crown to the
    spokes, then widths and heights, then roundings.
    """
    able, doubt = dimensions(sheet), uncertainties(sheet)
    walls = [wall.key_mm for wall in sheet.walls if wall.key_mm in able]
    rounded = [key for key in able if key.endswith(RADIUS)]
    others = [key for key in able if key not in {*walls, *rounded}]
    groups = ((WALLS, walls), (SIZES, others), (ROUNDINGS, rounded))
    return tuple(
        _slider(sheet, key, group, doubt[key].expanded()) for group, keys in groups for key in keys
    )


def steps_of(on: Bench, tried: Tried, key: str) -> list[float]:
    """Where the slider of a dimension may stand, mm, the nearest to where it stands first."""
    sheet, now = measured(on, tried), getattr(sheet_of(on, tried), key)
    one = next(each for each in sliders(sheet) if each.key == key)
    low, high = (round((end - one.value_mm) / STEP_MM) for end in (one.low_mm, one.high_mm))
    values = [round(one.value_mm + k * STEP_MM, DIGITS) for k in range(low, high + 1)]
    inside = [value for value in values if one.low_mm <= value <= one.high_mm]
    return sorted(inside, key=lambda value: abs(value - now))[:MOST_AHEAD]


def _slider(sheet: Sheet, key: str, group: str, doubt_mm: float) -> Slider:
    field, value = BY_KEY[key], getattr(sheet, key)
    less, more = REACHES[group]
    signed = field.low < 0
    low, high = (value - SIGNED_MM, value + SIGNED_MM) if signed else (less * value, more * value)
    return Slider(
        key=key,
        word=called(key),
        group=group,
        value_mm=value,
        low_mm=max(field.low, _stepped(low)),
        high_mm=min(field.high, _stepped(high)),
        doubt_mm=doubt_mm,
        is_measured=key not in sheet.assumed,
        meaning=field.meaning,
    )


def _stepped(value_mm: float) -> float:
    return round(STEP_MM * round(value_mm / STEP_MM), DIGITS)


def ground_of(on: Bench, tried: Tried) -> Ground:
    """What drafts of this rim start from."""
    return on.grounds.get(
        tried, lambda: ground(sheet_of(on, tried), setup_of(on, tried), tried.end)
    )


def track_of(on: Bench, tried: Tried, key: str) -> Track:
    """What drafts of this rim need to change that dimension."""
    return on.tracks.get((tried, key), lambda: track(ground_of(on, tried), key))


def draft_of(on: Bench, tried: Tried, key: str, value_mm: float) -> Draft:
    """The draft of the rim with that dimension so large. Where that is too far for the mesh to
    follow, it starts from other ground on the way, or the rim there is new ground itself.
    """
    thickness = getattr(ground_of(on, tried).sheet, key)
    stride = max(STEP_MM, round(STRIDE * abs(thickness) / STEP_MM) * STEP_MM)
    on_the_way = round(round(value_mm / stride) * stride, DIGITS)
    for start in (tried, tried.with_wall(key, on_the_way)):
        try:
            return _draft_from(on, start, key, value_mm)
        except (MeshError, SheetError):
            continue
    return ground_of(on, tried.with_wall(key, value_mm)).own


def _draft_from(on: Bench, start: Tried, key: str, value_mm: float) -> Draft:
    base = ground_of(on, start)
    if value_mm == getattr(base.sheet, key):
        return base.own
    return draft(base, track_of(on, start, key), value_mm)


def ride_of(on: Bench, tried: Tried, traced: Sheet | None = None) -> Ride:
    """The rim ridden on a fine mesh, or in its place one that was ``traced``. Where its other wheel
    is known, that is a start.
    """
    sheet, setup, end = traced or sheet_of(on, tried), setup_of(on, tried), tried.end
    other = None if traced else _other_wheel(on, tried)
    drawn = other.only_looked_at if other else inspect(sheet)
    loading, laced = setups.loading(setup, end), setups.lacing(setup, end, sheet)
    cases = [case for case in standard_cases(sheet, loading) if case.name in ASKED]
    start = other.ring if other else None
    return ride(solved(drawn, loading, laced, cases, start), setup, end)


def _other_wheel(on: Bench, tried: Tried) -> Analysis | None:
    known = (on.rides.there(replace(tried, end=end)) for end in End if end is not tried.end)
    return next((each.analysis for each in known if each), None)


def kept_ride_of(on: Bench, tried: Tried) -> Ride:
    """The same, kept for whoever asks for its dent next."""
    return on.rides.get(tried, lambda: ride_of(on, tried))


def whole_ride_of(on: Bench, tried: Tried) -> Ride:
    """That rim with every case that a rim is asked, as a report has them, kept, and with its dent
    where the page was asked for that.
    """

    def made() -> Ride:
        setup = setup_of(on, tried)
        return ride(wheel_of(sheet_of(on, tried), setup, tried.end), setup, tried.end)

    whole, seen = on.wholes.get(tried, made), on.rides.there(tried)
    if seen is not None and seen.knows_dent:
        _ = whole.found_dent
        lighten(whole)  # here, where its factors were made, or they would stay for ever
    return whole


def ranked_of(on: Bench, tried: Tried) -> Measured:
    """That rim with what its measurements leave open, to be put beside others."""
    return on.ranked.get(tried, lambda: rank(sheet_of(on, tried), setup_of(on, tried), tried.end))
