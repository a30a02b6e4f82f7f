"""The caliper sheet whose drawing lies nearest to a section from outside.

The numbers read back from the traced outline are a first guess; then all of them are moved together
until the drawn outline runs as close to the traced one as it can (least squares of the distances
between the two, by scipy). So it is plain to which wall a rounded edge belongs: to the one that a
sheet would draw there.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from contextlib import suppress
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import scipy
import shapely

from rimfea.arrays import Floats
from rimfea.errors import OutlineError, RimfeaError, SheetError
from rimfea.geometry.chords import stations
from rimfea.geometry.outline import Outline, polygon
from rimfea.profile.build import outline as drawn
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.flank import WIDTH, bulge, straight_width
from rimfea.profile.moved import dimensions
from rimfea.profile.proportions import bed_face
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import COVERAGE
from rimfea.profile.walls import Wall
from rimfea.traced.as_traced import CENTRED_MM, OFFSET, SPACING_MM, bed_middle
from rimfea.traced.label import usually_named
from rimfea.traced.landmarks import SMALLEST_STEP_MM
from rimfea.traced.measure import measure, well_slope

STEP = 1e-4  # of a finite difference, mm or degrees
ROUGHLY, SETTLED = 1e-2, 1e-7  # change of the squares in one round, while looking and at last
MOST_DRAWN = 40  # rounds of least squares
NOT_CLOSED_MM = 30.0  # told as the distance of numbers that do not close: worse than any that do
# A sharper corner is not seen on a sawn face, and only costs triangles.
SMALLEST_RADIUS_MM = 0.15
RADII = frozenset({"crown_radius_mm", "corner_radius_mm", "fillet_radius_mm"})
PLAIN_MM = 0.005  # nearer than that nothing is missing
NEARER = 0.8  # of the distance, for one key more
PROMISING = 0.97  # of the distance: what a key must promise to be tried
STRAIGHT_MM = 0.02  # by which a flank that is curved stands out
MOST_MENDED, USUAL_MM = 6, 1.6  # tries for a first guess; a wall of which nothing is known
BEGUN_MM = 0.3  # of a curve or a taper that is looked for
# What few rims have, and from where it is looked for: a number, or that of another key.
EXTRAS: Mapping[str, float | str | Callable[[Sheet], float]] = MappingProxyType(
    {
        "middle_width_mm": lambda sheet: straight_width(sheet.known) + BEGUN_MM,
        "sidewall_foot_mm": "sidewall_mm",
        "crown_slope_deg": 1.0,
        "lip_taper_mm": 0.05,
        "bead_ridge_mm": 0.4,
        "arch_radius_mm": 3.0,
    }
)
SLOPE, SEAT_WIDTH = "well_slope_deg", "nipple_seat_width_mm"
BED, SEAT = Wall.SPOKE_BED.key_mm, Wall.NIPPLE_SEAT.key_mm


@dataclass(frozen=True)
class Fit:
    """A sheet; points (p, 2) of the traced outline and how far (p,) each lies outside the metal of
    the sheet's drawing, mm; the ± (k = 2) that these distances leave of every number, by key; and
    the ``slopes`` (p, k) of the distances by these numbers, in their order.
    """

    sheet: Sheet
    points: Floats
    distances_mm: Floats
    expanded: Mapping[str, float]
    slopes: Floats

    @property
    def typical_mm(self) -> float:
        """The root of the mean square of the distances."""
        return float(np.sqrt((self.distances_mm**2).mean()))

    @property
    def worst(self) -> tuple[float, float, float]:
        """The distance that is largest, mm, and the x, y where it is."""
        k = int(np.abs(self.distances_mm).argmax())
        return float(self.distances_mm[k]), float(self.points[k, 0]), float(self.points[k, 1])


def fitted(traced: Outline, **numbers: object) -> Fit:
    """The sheet that fits best, of whatever family. ``numbers`` are those that no outline shows, by
    the sheet's keys: name and bead_seat_diameter_mm must be given, family and others may be.

    Raises :class:`~rimfea.errors.OutlineError` where no walls can be told apart, and
    :class:`~rimfea.errors.SheetError` where no family has such a section.
    """
    aside = bed_middle(traced)
    named = usually_named(traced, aside)
    sizes, slope = measure(named), well_slope(named)
    if slope is not None:
        sizes[SLOPE] = min(slope, BY_KEY[SLOPE].high)
    if abs(aside) > CENTRED_MM:
        sizes[OFFSET] = aside
    fits: list[Fit] = []
    problem: RimfeaError = OutlineError("no family of rims has such a section")
    for family in _families(traced, numbers):
        try:
            fits.append(_of_family(traced, family, sizes, numbers))
            if fits[-1].typical_mm <= PLAIN_MM:
                break
        except SheetError as error:
            problem = error
    if not fits:
        raise problem
    best = _richer(traced, min(fits, key=lambda fit: fit.typical_mm))
    sheet, moving = best.sheet, set(best.expanded)
    if WIDTH in moving and abs(bulge(sheet.known)) < STRAIGHT_MM:
        sheet, moving = sheet.varied(**{WIDTH: None}), moving - {WIDTH}
    return _settled(traced, sheet, moving, SETTLED)


def _richer(traced: Outline, plain: Fit) -> Fit:
    """The same family with what few rims have, a key at a time, as long as that comes nearer."""
    best, tried = plain, set[str]()
    while best.typical_mm > PLAIN_MM:
        promised = {
            key: mm
            for key, mm in _promised(best).items()
            if key not in tried and mm < PROMISING * best.typical_mm
        }
        if not promised:
            break
        key = min(promised, key=promised.__getitem__)
        tried.add(key)
        with suppress(SheetError):
            moving = best.expanded.keys() | {key}
            fit = _settled(traced, best.sheet.varied(**{key: _begun(best.sheet, key)}), moving)
            best = fit if fit.typical_mm < NEARER * best.typical_mm else best
    return best


def _promised(fit: Fit) -> dict[str, float]:
    """The typical distance (mm) that each key more would leave, were all of it linear: what the
    others and the change from none to a first guess leave of the distances.
    """
    found: dict[str, float] = {}
    for key in EXTRAS:
        if not BY_KEY[key].used_by(fit.sheet.family) or getattr(fit.sheet, key) is not None:
            continue
        with suppress(SheetError):
            first = drawn(fit.sheet.varied(**{key: _begun(fit.sheet, key)}))
            column = distances(first, fit.points) - fit.distances_mm
            slopes = np.column_stack([fit.slopes, column])
            steps = np.linalg.lstsq(slopes, fit.distances_mm, rcond=None)[0]
            found[key] = float(np.sqrt(((fit.distances_mm - slopes @ steps) ** 2).mean()))
    return found


def _begun(sheet: Sheet, key: str) -> float:
    """From where a key that few rims have is looked for."""
    start = EXTRAS[key]
    if callable(start):
        return start(sheet)
    return float(getattr(sheet, start)) + BEGUN_MM if isinstance(start, str) else start


def _families(traced: Outline, numbers: Mapping[str, object]) -> Iterator[Family]:
    if "family" in numbers:
        yield Family(str(numbers["family"]))
        return
    yield from (each for each in DRAWN if (each is not Family.SINGLE) == bool(traced.holes))


def _of_family(
    traced: Outline, family: Family, sizes: Mapping[str, float], numbers: Mapping[str, object]
) -> Fit:
    own = {key: mm for key, mm in sizes.items() if BY_KEY[key].used_by(family)}
    if abs(own.get(BED, math.inf) - own.get(SEAT, 0.0)) < SMALLEST_STEP_MM:
        del own[BED]  # one wall with the nipple seat
    first = _first(traced, _possible(own, {**numbers, "family": family}))
    return _settled(traced, first, set(drawn_from(first)) - numbers.keys())


def _possible(own: Mapping[str, float], numbers: Mapping[str, object]) -> Sheet:
    """A sheet of what was read off an outline, as far as that goes together: what is said to be
    wrong is left to be assumed, or where nothing is assumed of it taken to be usual.
    """
    values = dict(own)
    for _ in range(MOST_MENDED):
        try:
            return Sheet({**values, **numbers})
        except SheetError as error:
            wrong = {fault.field for fault in error.faults} - numbers.keys()
            kept = {key: mm for key, mm in values.items() if key not in wrong}
            usual = {key: USUAL_MM for key in wrong if BY_KEY[key].required}
            if {**kept, **usual} == values or not wrong <= BY_KEY.keys():
                raise
            values = {**kept, **usual}
    return Sheet({**values, **numbers})


def _first(traced: Outline, plain: Sheet) -> Sheet:
    """A first guess whose flanks are as wide half way as the traced ones, if that comes nearer."""
    if not BY_KEY[WIDTH].used_by(plain.family):
        return plain
    points, _, _ = stations(traced, SPACING_MM)
    half_way = (bed_face(plain.known) - plain.bead_seat_mm) / 2
    x = points[np.abs(points[:, 1] - half_way) < SPACING_MM, 0]
    with suppress(SheetError):
        curved = plain.varied(**{WIDTH: float(x.max() - x.min())})
        apart = [np.abs(distances(drawn(each), points)).mean() for each in (plain, curved)]
        return curved if apart[1] < NEARER * apart[0] else plain
    return plain


def _settled(
    traced: Outline, first: Sheet, moving: AbstractSet[str], until: float = ROUGHLY
) -> Fit:
    """The sheet moved in these keys until its drawing lies nearest."""
    keys = [key for key in BY_KEY if key in moving]
    points, _, _ = stations(traced, SPACING_MM)

    def sheet_at(values: Floats) -> Sheet:
        return first.varied(**dict(zip(keys, values.tolist(), strict=True)))

    def apart(values: Floats) -> Floats:
        try:
            return distances(drawn(sheet_at(values)), points)
        except SheetError:
            return np.full(len(points), NOT_CLOSED_MM)

    low, high = (np.array([getattr(BY_KEY[key], end) for key in keys]) for end in ("low", "high"))
    low = np.where([key in RADII for key in keys], SMALLEST_RADIUS_MM, low)
    start = np.clip([getattr(first, key) for key in keys], low + STEP, high - STEP)
    drawn(sheet_at(start))  # a first guess that does not close leads nowhere
    found = scipy.optimize.least_squares(
        apart,
        start,
        bounds=(low, high),
        diff_step=STEP / np.maximum(np.abs(start), STEP),
        xtol=SETTLED,
        ftol=until,
        gtol=None,
        max_nfev=MOST_DRAWN,
    )
    best = sheet_at(found.x)
    with suppress(SheetError):  # a number that is all but impossible stays as it is
        best = sheet_at(np.round(found.x, 4))
    away = distances(drawn(best), points)
    expanded = dict(zip(keys, _expanded(found, away).tolist(), strict=True))
    return Fit(best, points, away, expanded, np.asarray(found.jac))


def drawn_from(sheet: Sheet) -> tuple[str, ...]:
    """The numbers that the section of a sheet is drawn from."""
    slope = (SLOPE,) if BY_KEY[SLOPE].used_by(sheet.family) else ()
    flush = () if sheet.seat_step_mm else (SEAT_WIDTH,)
    return (*(key for key in dimensions(sheet) if key not in flush), *slope)


def distances(outline: Outline, points: Floats) -> Floats:
    """How far points (p, 2) lie outside the metal of an outline, mm; negative inside."""
    metal = polygon(outline)
    shapely.prepare(metal)
    away = shapely.distance(shapely.points(points), metal.boundary)
    return np.where(shapely.contains_xy(metal, points), -away, away)


def _expanded(found: scipy.optimize.OptimizeResult, away: Floats) -> Floats:
    """The ± (k = 2) of every number by the scatter of the distances (JCGM 102:2011, least squares).
    Neighbours on the outline go together, so that the points count as fewer than they are.
    """
    spread = away - away.mean()
    whole = float((spread**2).sum())
    lagged = np.correlate(spread, spread, "full")[len(spread) - 1 :] / (whole or 1.0)
    ends = int(np.argmax(lagged <= 0)) or 1
    together = 1 + 2 * float(lagged[1:ends].sum())
    freedom = max(len(away) - found.jac.shape[1], 1)
    inverse = np.linalg.pinv(found.jac.T @ found.jac)
    variance = together * float((away**2).sum()) / freedom * np.diag(inverse)
    return np.asarray(COVERAGE * np.sqrt(np.maximum(variance, 0.0)))
