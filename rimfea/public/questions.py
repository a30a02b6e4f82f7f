"""The questions of the command line as functions: a rim, a set-up, a wheel or a wall is given by
name where it has one.

All raise errors of :mod:`rimfea.errors` for what cannot be. Where a strike is asked about, ``like``
says its force, length and lean; lengths are in mm, forces in N, stresses in MPa. A question with
``processes`` may use two where the caller is a notebook, or a script that has its
``if __name__ == "__main__"``, or an executor of :mod:`concurrent.futures`. ``dents`` are what a
blow leaves beyond first yield: several times the work of all else, and done without where they are
False.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

from numpy.typing import ArrayLike

from rimfea.ask import choose as choosing
from rimfea.ask import compare as comparing
from rimfea.ask import design as designing
from rimfea.ask import reconcile as reconciling
from rimfea.ask import swaps as swapping
from rimfea.ask import sweep as sweeping
from rimfea.ask import tap as tapping
from rimfea.ask import thicker as thickening
from rimfea.ask import wear as wearing
from rimfea.ask import why as following
from rimfea.ask import worth as asking
from rimfea.ask.choose import Choice
from rimfea.ask.compare import Comparison
from rimfea.ask.design import THICKEST_MM, THINNEST_MM, Design
from rimfea.ask.reconcile import Reconciled
from rimfea.ask.swaps import Swaps
from rimfea.ask.sweep import Sweep, Swept
from rimfea.ask.trace import Traced, looked_at
from rimfea.ask.wear import USUAL_MARGIN, Wear
from rimfea.ask.why import Why
from rimfea.ask.worth import Worth
from rimfea.elastic.spokes import Lacing
from rimfea.errors import Fault, SheetError
from rimfea.files.recording_wav import read_recording
from rimfea.geometry.outline import Outline, from_rings
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.public import given
from rimfea.public.given import Ridden, Rim
from rimfea.study import analysis as study
from rimfea.study import ride as riding
from rimfea.study.analysis import Analysis
from rimfea.study.cases import USUAL, Loading
from rimfea.study.outcome import named as named_outcome
from rimfea.study.ride import Ride
from rimfea.study.setup import End
from rimfea.units import from_unit
from rimfea.vary.axis import Axis
from rimfea.vary.datum import DRAFT, datum
from rimfea.vary.parallel import Workers
from rimfea.vary.tap import Tap

SETUP, WHEEL = "gravel", End.REAR


def inspect(rim: Rim) -> Analysis:
    """Draw and mesh a rim and give its section and mass, without any load."""
    return study.inspect(given.sheet(rim))


def from_coordinates(
    outer: ArrayLike | Traced, holes: Sequence[ArrayLike] = (), **numbers: object
) -> Analysis:
    """An outline of your own, its walls named and measured, only looked at: :func:`analyse` and
    :func:`rides` take it as they take a sheet.

    ``outer`` and ``holes`` are rings (p, 2) of x, y in mm: x across the rim and 0 in its middle,
    y outward and 0 at the bead seat; a section that ``read_section`` gave has both, with its arcs.
    ``numbers`` are those of a sheet that no outline shows, by its keys: name and
    bead_seat_diameter_mm must be given, alloy, spoke_count and others may be.
    """
    plain = outer.outline if isinstance(outer, Traced) else from_rings(outer, holes)
    return looked_at(plain, **numbers)


def analyse(
    rim: Rim | Analysis, *, loading: Loading = USUAL, lacing: Lacing | None = None
) -> Analysis:
    """A rim from sheet, or from an outline that was looked at, to verdict: which wall gives first.

    ``lacing`` says how the wheel is built, as usual if None.
    """
    sheet, outline = _drawn(rim)
    return study.analyse(sheet, loading=loading, lacing=lacing, outline=outline)


def analyse_slice(rim: Rim | Analysis, *, loading: Loading = USUAL) -> Analysis:
    """The same question put to a plane slice, for teaching: no rim beside it spreads a strike."""
    sheet, outline = _drawn(rim)
    return study.analyse_slice(sheet, loading=loading, outline=outline)


def rides(rim: Rim | Analysis, setup: Ridden = SETUP, *, like: Loading = USUAL) -> tuple[Ride, ...]:
    """A rim as the front and as the rear wheel of a set-up: at which drop what happens, how much
    air it needs, and how tight its spokes may be.
    """
    sheet, outline = _drawn(rim)
    return riding.rides(sheet, given.setup(setup), like=like, outline=outline)


def thicker(ridden: Ride, wall: Wall | str, *, step_mm: float = thickening.STEP_MM) -> Ride:
    """The same wheel with one wall thicker."""
    return thickening.thicker(ridden, given.wall(wall), step_mm=step_mm)


def compare(
    *rims: Rim,
    setup: Ridden = SETUP,
    wheel: End | str = WHEEL,
    like: Loading = USUAL,
    dents: bool = True,
    processes: Workers = 1,
) -> Comparison:
    """Rims, or folders of sheets, compared with the first as one wheel of a set-up, and which of
    the differences the caliper can tell; without any, the invented rims.
    """
    sheets = given.sheets(rims)
    ridden, end = given.setup(setup), given.wheel(wheel)
    found = comparing.compare(sheets, ridden, end, like=like, dents=dents, processes=processes)
    return Comparison(tuple(found))


def swaps(
    base: Rim,
    other: Rim,
    setup: Ridden = SETUP,
    *,
    wheel: End | str = WHEEL,
    like: Loading = USUAL,
    dents: bool = True,
    processes: Workers = 1,
) -> Swaps:
    """Where the difference between two rims comes from: what each piece of the other would do in
    the base, and what they do together.
    """
    return swapping.swaps(
        given.sheet(base),
        given.sheet(other),
        given.setup(setup),
        given.wheel(wheel),
        like=like,
        dents=dents,
        processes=processes,
    )


def why(rim: Rim, setup: Ridden = SETUP, *, wheel: End | str = WHEEL, like: Loading = USUAL) -> Why:
    """What carries a blow on the rim: which wall takes how much of it along the rim, from the
    crown to the spokes.
    """
    return following.why(given.sheet(rim), given.setup(setup), given.wheel(wheel), like=like)


def worth(
    rim: Rim,
    setup: Ridden = SETUP,
    *,
    wheel: End | str = WHEEL,
    like: Loading = USUAL,
    trials: int | None = None,
    dents: bool = True,
    processes: Workers = 1,
) -> Worth:
    """What a tenth of a millimetre and a gram more buy at every wall, and how well the rim's
    strength is known; as a check, from so many trials too.
    """
    return asking.worth(
        given.sheet(rim),
        given.setup(setup),
        given.wheel(wheel),
        like=like,
        trials=trials,
        dents=dents,
        processes=processes,
    )


def sweep(
    rim: Rim,
    axes: Mapping[str, tuple[float, float, int]],
    setup: Ridden = SETUP,
    *,
    wheel: End | str = WHEEL,
    like: Loading = USUAL,
    dents: bool = False,
    processes: Workers = 1,
) -> Swept:
    """A rim with one wall or two varied: ``{"sidewall": (1.0, 1.6, 7)}`` is from 1.0 to 1.6 mm in
    7 places. A length that is not a wall goes by the sheet's key, such as ``inner_width_mm``.
    """
    along = tuple(_axis(given.key(name), span) for name, span in axes.items())
    asked = Sweep(
        given.sheet(rim), given.setup(setup), given.wheel(wheel), along, like, dents=dents
    )
    return sweeping.swept(asked, processes=processes)


def wear(
    rim: Rim,
    *,
    pressure_bar: float,
    tyre_width_mm: float | None = None,
    margin: float = USUAL_MARGIN,
) -> Wear:
    """How far a rim brake may wear the sidewalls until they bear less than ``margin`` times the
    air in a tyre, one that suits the rim if None.
    """
    air = Loading(pressure_MPa=from_unit(pressure_bar, "bar"), tyre_width_mm=tyre_width_mm)
    return wearing.wear(given.sheet(rim), air, margin)


def tap(rim: Rim, heard: Collection[float] | str | Path = ()) -> Tap:
    """The tones (Hz) at which a bare rim should ring when it is tapped, and whether its sheet
    agrees with those that were ``heard``, or with a recording (.wav) of it.
    """
    if isinstance(heard, str | Path):
        return tapping.tap(given.sheet(rim), read_recording(heard))
    return tapping.tap(given.sheet(rim), heard)


def reconcile(rim: Rim, also: Collection[str] = ()) -> Reconciled:
    """A sheet made to agree with the scales, and with the ERD if it was measured, by the least
    change of what nobody measured, and of the keys in ``also``.
    """
    return reconciling.reconcile(given.sheet(rim), also)


def choose(
    *rims: Rim,
    setup: Ridden = SETUP,
    diameter_mm: float | None = None,
    like: Loading = USUAL,
    dents: bool = True,
    processes: Workers = 1,
) -> Choice:
    """Which of some rims, or folders of sheets, suit a set-up: the lightest that hold, in front
    and behind; without any, the invented rims. All of one bead seat diameter, that of most if None.
    """
    ridden = given.setup(setup)
    alike, others = choosing.of_one_diameter(given.sheets(rims), diameter_mm)
    tried = choosing.candidates(alike, ridden, like=like, dents=dents, processes=processes)
    return choosing.choose([*others, *tried])


def design(  # noqa: PLR0913 -- as many as the command has options
    rim: Rim,
    setup: Ridden = SETUP,
    *,
    wheel: End | str = WHEEL,
    keep: Mapping[str, float | None] | None = None,
    mass_g: float | None = None,
    only: Collection[str] = (),
    between_mm: tuple[float, float] = (THINNEST_MM, THICKEST_MM),
    like: Loading = USUAL,
    dents: bool = True,
) -> Design:
    """The lightest walls that keep the outcomes of ``keep``, ``{"first-yield": 1400}``, or as they
    are where the value is None, or the strongest at ``mass_g``; without either, all that the rim
    bears now is kept. Only the walls ``only`` are varied, all if there is none, and end
    ``between_mm`` the thinnest and the thickest.
    """
    around = datum(
        given.sheet(rim), given.setup(setup), given.wheel(wheel), like=like, coarseness=DRAFT
    )
    return designing.design(
        around,
        keep=designing.asked(
            {named_outcome(name).key: value for name, value in (keep or {}).items()}, mass_g
        ),
        best="mass_g" if mass_g is None else "yield_N",
        keys=[given.key(name) for name in only] or None,
        thinnest_mm=between_mm[0],
        thickest_mm=between_mm[1],
        dents=dents,
    )


def _drawn(rim: Rim | Analysis) -> tuple[Sheet, Outline | None]:
    """A rim's sheet, and its outline if that is not the sheet's to draw."""
    return (rim.sheet, rim.outline) if isinstance(rim, Analysis) else (given.sheet(rim), None)


def _axis(key: str, span: tuple[float, float, int]) -> Axis:
    try:
        start_mm, end_mm, count = span
    except (TypeError, ValueError):
        told = 'write {"sidewall": (1.0, 1.6, 7)}: from, to, in how many places'
        raise SheetError([Fault(key, f"cannot be read: {span!r}", remedy=told)], "sweep") from None
    return Axis(key, float(start_mm), float(end_mm), int(count))
