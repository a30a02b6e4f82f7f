"""The standard set of cases: what every rim is asked, in one list."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi
from types import MappingProxyType

from rimfea.elastic.loads import Case, Load, Pressure, SpokeTension, Strike, WheelLoad
from rimfea.elastic.spokes import PATTERN, Lacing, Spokes, spokes
from rimfea.profile.proportions import bed_face
from rimfea.profile.sheet import Sheet
from rimfea.strike.tyre import Obstacle, Tyre, contact_mm, cushion

ONE_HOOK = "strike on one hook"
BOTH_HOOKS = "strike on both hooks"
UNEVEN = "strike shared by the hooks unevenly"
ONE, ALIKE = 1.0, 0.5  # shares of the right hook
TENSION = "spoke tension"
INFLATION = "inflation"
STATIC_TESTS = "JIS D 9301:2019 5.5.1.3, static wheel test"
MOUNTAIN_TEST = "JIS D 9302:2019, static wheel test of mountain bicycles"
RADIAL_TEST, LATERAL_TEST = "radial wheel test", "lateral wheel test"
MOUNTAIN = "mountain lateral test"
# The set that these standards allow: radial, as a growth of run-out; lateral, where it is pushed.
ALLOWED_MM = MappingProxyType({RADIAL_TEST: 1.5, LATERAL_TEST: 1.5, MOUNTAIN: 1.0})
# A rim's inner width is about this share of the width of the tyre that suits it (ISO 5775-1 gives
# 65 % for narrow and 55 % for wide tyres).
SHARE_OF_TYRE = 0.6
ELLIPSE = pi / 2  # length of a raised cosine with the peak of an ellipse of length 1


@dataclass(frozen=True)
class Loading:
    """How hard the standard cases press.

    A strike of ``strike_N`` over ``patch_mm`` of rim leans by ``angle`` radians from straight
    inward; what is struck puts ``right_share`` of it on the right hook. Spokes at ``tension_N``
    (the sheet's tension if None) and a tyre of ``tyre_width_mm`` (one that suits the rim if None)
    at ``pressure_MPa`` act already; the rider puts ``wheel_N`` on the wheel over ``contact_mm`` of
    it. A strike of an ``obstacle`` has first flattened the tyre, which stands ``tyre_height_mm``
    above the bead seat (as high as wide if None) and whose casing is ``casing_mm`` thick. The
    defaults are round numbers for comparing rims, not limits of anything.
    """

    strike_N: float = 2000.0
    patch_mm: float = 20.0
    angle: float = 0.0
    tension_N: float | None = None
    pressure_MPa: float = 0.25
    tyre_width_mm: float | None = None
    wheel_N: float = 600.0
    contact_mm: float = 80.0
    right_share: float = ONE
    obstacle: Obstacle | None = None
    tyre_height_mm: float | None = None
    casing_mm: float = 1.5


USUAL = Loading()


def bearing_of(sheet: Sheet) -> tuple[float, float, float]:
    """Of every nipple seat: the diameters of hole and of what bears, how far it lies to the right
    of the middle, mm.
    """
    return sheet.spoke_hole_mm, sheet.bearing_diameter_mm, sheet.seat_offset_mm


def laced(sheet: Sheet, lacing: Lacing) -> Spokes:
    """The spokes of a wheel with this rim."""
    radius = sheet.seat_radius_mm + bed_face(sheet.known) + sheet.nipple_seat_mm
    return spokes(lacing, radius, sheet.seat_offset_mm)


def spoke_tension(sheet: Sheet, loading: Loading) -> SpokeTension:
    """The spokes' pull: asked for, else the sheet's."""
    tension = sheet.spoke_tension_N if loading.tension_N is None else loading.tension_N
    hole, bearing, offset = bearing_of(sheet)
    return SpokeTension(tension, sheet.spoke_count, hole, bearing, offset)


def inflation(sheet: Sheet, loading: Loading) -> Pressure:
    """The air in the tyre: asked for, or in a tyre that suits the rim."""
    suits = sheet.inner_width_mm / SHARE_OF_TYRE
    return Pressure(loading.pressure_MPa, loading.tyre_width_mm or suits)


def tyre(sheet: Sheet, loading: Loading) -> Tyre:
    """The tyre asked for, or one that suits the rim, as high as wide where nobody said."""
    air = inflation(sheet, loading)
    return Tyre(
        width_mm=air.tyre_width_mm,
        height_mm=loading.tyre_height_mm or air.tyre_width_mm,
        casing_mm=loading.casing_mm,
        pressure_MPa=air.pressure_MPa,
    )


def wheel_load(loading: Loading) -> WheelLoad:
    """The rider's share on one wheel."""
    return WheelLoad(loading.wheel_N, loading.contact_mm)


def standing(sheet: Sheet, loading: Loading) -> tuple[SpokeTension, Pressure]:
    """What is in a built and inflated wheel before anything comes to it."""
    return spoke_tension(sheet, loading), inflation(sheet, loading)


def flattened(sheet: Sheet, loading: Loading) -> tuple[WheelLoad, ...]:
    """What a tyre that a blow has flattened goes on bearing: its own force, on both bead seats
    alike. Nothing where no obstacle is known.

    On a footprint of length L the force per mm is an ellipse, 4/π F/L in its middle; a raised
    cosine over π L/2 has as much there. That the casing spreads it further on its way to the
    beads is left out, which is on the safe side.

    Raises :class:`~rimfea.errors.LoadError` for a tyre that does not stand above the hooks.
    """
    if loading.obstacle is None:
        return ()
    on = tyre(sheet, loading)
    flat = cushion(on, loading.obstacle, sheet.seat_radius_mm, sheet.hook_height_mm)
    return (WheelLoad(flat.force_N, ELLIPSE * flat.contact_mm),)


def wheel_test(sheet: Sheet, loading: Loading, force_N: float) -> WheelLoad:
    """A force straight in on a wheel that stands on flat ground: the more the tyre is pressed, the
    longer it bears. The rim feels as much in the middle as of :func:`flattened`.
    """
    length = contact_mm(force_N, tyre(sheet, loading), sheet.seat_radius_mm)
    return WheelLoad(force_N, ELLIPSE * length)


def respread(case: Case, factor: float) -> Case:
    """The case with what acts already in one place spread over ``factor`` times its length."""
    return replace(case, standing=tuple(load.spread(factor) for load in case.standing))


def leaning(case: Case, angle: float) -> Case:
    """The case with its strikes leaning by so much (radians) more."""
    loads = (
        replace(load, angle=load.angle + angle) if isinstance(load, Strike) else load
        for load in case.loads
    )
    return replace(case, loads=tuple(loads))


def standard_cases(sheet: Sheet, loading: Loading) -> tuple[Case, ...]:
    """Strikes on the built and inflated wheel, tension, inflation, and published wheel tests.

    The first is the one a verdict rests on: a rock mostly meets one hook. A share of the right
    hook that is neither that nor both alike makes a case of its own, the last. Raises
    :class:`~rimfea.errors.LoadError` for a loading that cannot be.
    """

    def strike(share: float) -> tuple[Strike]:
        return (Strike(loading.strike_N, loading.patch_mm, share, loading.angle),)

    built = tension, air = standing(sheet, loading)
    patch, share = loading.contact_mm, loading.right_share
    flat: tuple[Load, ...] = (*built, *flattened(sheet, loading))
    own = (Case(UNEVEN, strike(share), flat),) if struck(share) == UNEVEN else ()
    return (
        Case(ONE_HOOK, strike(ONE), flat),
        Case(BOTH_HOOKS, strike(ALIKE), flat),
        Case(TENSION, (tension,)),
        Case(INFLATION, (air,), (tension,)),
        Case(RADIAL_TEST, (wheel_test(sheet, loading, 2500.0),), built, STATIC_TESTS),
        Case(LATERAL_TEST, (WheelLoad(0.0, patch, 250.0),), built, STATIC_TESTS),
        Case(MOUNTAIN, (WheelLoad(0.0, patch, 370.0),), built, MOUNTAIN_TEST),
        *own,
    )


def struck(right_share: float) -> str:
    """The name of the case that puts this share of a strike on the right hook."""
    return {ONE: ONE_HOOK, ALIKE: BOTH_HOOKS}.get(right_share, UNEVEN)


def slice_cases(sheet: Sheet, loading: Loading) -> tuple[Case, ...]:
    """What a plane slice can be asked: the strikes and spoke tension, each alone."""
    asked = (BOTH_HOOKS, ONE_HOOK, TENSION)
    alone = {case.name: Case(case.name, case.loads) for case in standard_cases(sheet, loading)}
    return tuple(alone[name] for name in asked)


def usual_lacing(sheet: Sheet, loading: Loading) -> Lacing:
    """Butted spokes laced as is usual for the count: three crossings from 32, fewer below, one
    fewer in small wheels; radial where the count does not allow crossings.
    """
    count = sheet.spoke_count
    crossings = 3 if count >= 32 else 2 if count >= 20 else 1
    if sheet.bead_seat_diameter_mm < 500:
        crossings -= 1
    tension = spoke_tension(sheet, loading).tension_N
    return Lacing(count, tension, crossings=0 if count % PATTERN else crossings)
