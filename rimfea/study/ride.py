"""One wheel of a set-up: what its blows do to the rim, and how tight its spokes may be."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property
from math import inf

import numpy as np

from rimfea.arrays import Floats
from rimfea.elastic.ring_field import RingField, stiffness
from rimfea.errors import LoadError, MeshError, SolveError
from rimfea.geometry.outline import Outline
from rimfea.profile.sheet import Sheet
from rimfea.strike.blow import Blow, drop_for, drops_to_push, hook_force, peak_force
from rimfea.strike.casing import Casing, Squeeze, crown_profile, force_for, squeeze
from rimfea.strike.ladder import Event, Ladder, Rung, ladder
from rimfea.strike.tyre import LAYERS, Tyre, cushion
from rimfea.study import setup as setups
from rimfea.study.analysis import Analysis, analyse
from rimfea.study.answer import Answer
from rimfea.study.cases import USUAL, Loading, struck, wheel_load
from rimfea.study.cases import tyre as tyre_of
from rimfea.study.dent import SETS_MM, Curve, Dent
from rimfea.study.dent import dent as dent_of
from rimfea.study.seat import Seat, highest_tension, seat
from rimfea.study.setup import End, Setup
from rimfea.study.wheel_tests import WheelTest, wheel_tests
from rimfea.study.window import Window, window


@dataclass(frozen=True)
class Ride:
    """One wheel of a set-up with this rim.

    ``answer`` is the case that the set-up's obstacle makes: a strike on one hook or on both.
    ``ladder`` holds what happens at which drop and speed, and the air that the set-up's own
    ``blow`` needs to stay below each rung. ``squeeze`` is the casing under the strike of the case,
    ``seat`` the spoke hole over a turn of the wheel, ``window`` the tensions that the wheel allows.
    """

    end: End
    setup: Setup
    analysis: Analysis
    answer: Answer
    tyre: Tyre
    ladder: Ladder
    squeeze: Squeeze
    seat: Seat
    window: Window

    def __repr__(self) -> str:
        return f"<Ride of {self.name}: {self.setup.name}>"

    @property
    def name(self) -> str:
        """The wheel's rim and place."""
        return f"{self.analysis.sheet.name}, {self.end}"

    @property
    def gives_way(self) -> str:
        """What the rim does before any strike that is too much already; empty if it bears one."""
        if self.analysis.buckles:
            return "buckles sideways under its spokes"
        first = self.answer.verdict.governing.first_yield
        return "yields before any strike" if first == inf else ""

    @property
    def blow(self) -> Blow:
        """The set-up's own."""
        return self.ladder.blow

    @cached_property
    def hook_N(self) -> float:
        """What it brings on the hooks; 0: it stays in the tyre."""
        return hook_force(self.blow, self.ladder.stiffness_N_mm, self.ladder.cushion)

    @cached_property
    def drop_mm(self) -> float:
        """The drop of its mass that is as hard; 0: no drop is as soft."""
        blow, rim, tyre = self.blow, self.ladder.stiffness_N_mm, self.ladder.cushion
        return drop_for(peak_force(blow, rim, tyre), blow, rim, tyre)

    @cached_property
    def dent(self) -> Dent:
        """What its strike does to the rim beyond first yield; found once it is asked for. Raises as
        :func:`rimfea.study.dent.dent` does.
        """
        return dent_of(self.analysis, self.answer)

    @property
    def knows_dent(self) -> bool:
        """Whether somebody asked for it: it takes some times as long as all else."""
        return "dent" in vars(self)

    @cached_property
    def found_dent(self) -> Dent | None:
        """The same, or None where the metal's flow comes to no rest, or coarse triangles do not
        fit a wall: all else that is known of the wheel stays.
        """
        with suppress(SolveError, MeshError):
            return self.dent
        return None

    @property
    def lost_dent(self) -> bool:
        """Whether :attr:`found_dent` was asked for in vain."""
        return vars(self).get("found_dent", self) is None

    @cached_property
    def _dent_drops(self) -> Floats:
        return self._drops(self.dent.free)

    def _drops(self, curve: Curve) -> Floats:
        """The drop (s,) that brings each step of a dent."""
        path, climbed = curve.path, self.ladder
        beyond, work = path.of("movement"), path.of("work") / 1000
        return drops_to_push(beyond, work, self.blow, climbed.stiffness_N_mm, climbed.cushion)

    def dented(self, set_mm: float, *, held: bool = False) -> Dented:
        """What it takes to leave so much set, the crown free to slide or held by the rock."""
        curve = self.dent.held if held else self.dent.free
        drops = self._drops(curve) if held else self._dent_drops
        return Dented(
            set_mm=set_mm,
            hook_N=curve.force_N(set_mm),
            drop_mm=curve.along(drops, set_mm),
            work_J=curve.work_J(set_mm),
            swallowed_J=curve.swallowed_J(set_mm),
        )

    @cached_property
    def dents(self) -> tuple[Dented, ...]:
        """What it takes to leave a tenth, a half and a whole millimetre."""
        return tuple(self.dented(set_mm) for set_mm in SETS_MM)

    @cached_property
    def own_dent_mm(self) -> float:
        """The set that the set-up's own blow leaves: 0 where it leaves none, infinite where it is
        deeper than the dent was followed. A roll counts as the drop that is as hard on a rim that
        springs back.
        """
        return self.dent.free.set_for(self._dent_drops, self.drop_mm) if self.hook_N else 0.0

    @cached_property
    def wheel_tests(self) -> tuple[WheelTest, ...]:
        """What published static tests would leave of the wheel, followed once somebody asks."""
        return wheel_tests(self.analysis)

    @property
    def known_tests(self) -> tuple[WheelTest, ...]:
        """The same; where nobody asked for it, not followed."""
        asked = vars(self).get("wheel_tests")
        return wheel_tests(self.analysis, follow=False) if asked is None else asked

    @property
    def full_ladder(self) -> Ladder:
        """The ladder with dents in place of the set, where somebody asked for the dent; else as it
        is. The casing is cut where the hook on its way into the dent first bears as much, and
        never where it folds before.
        """
        return self._dented_ladder if self.knows_dent else self.ladder

    @cached_property
    def _dented_ladder(self) -> Ladder:
        dents = (
            self.ladder.at_drop(Event.DENT, each.hook_N, each.drop_mm, set_mm=each.set_mm)
            for each in self.dents
            if each.drop_mm < inf
        )
        kept = (rung for rung in self.ladder.rungs if rung.event is not Event.SET)
        return self.ladder.with_rungs([*map(self._on_dent, kept), *dents])

    def _on_dent(self, rung: Rung) -> Rung:
        """A rung of the ladder; that of the casing where the dent's path reaches its force."""
        if rung.event is not Event.CASING:
            return rung
        force = np.maximum.accumulate(self.dent.free.path.of("force"))
        drop = float(np.interp(rung.hook_N, force, self._dent_drops, right=inf))
        if rung.hook_N <= force[0]:
            return rung
        if drop == inf:
            return replace(rung, drop_mm=inf)
        return self.ladder.at_drop(Event.CASING, rung.hook_N, drop)

    @property
    def needed_MPa(self) -> float:
        """The tyre pressure from which the set-up's blow leaves the rim elastic: 0 where it takes
        no air at all, infinite where all that such a tyre takes is not enough.
        """
        found = zip(self.ladder.rungs, self.ladder.pressure_MPa, strict=True)
        return next((pressure for rung, pressure in found if rung.event is Event.YIELD), 0.0)


@dataclass(frozen=True)
class Dented:
    """A dent of ``set_mm``: the greatest force on the hooks on the way to it, the drop that brings
    it, what the hook then has taken up, and what of that does not come back.
    """

    set_mm: float
    hook_N: float
    drop_mm: float
    work_J: float
    swallowed_J: float


def rides(
    sheet: Sheet,
    setup: Setup,
    *,
    like: Loading = USUAL,
    outline: Outline | None = None,
    coarseness: float = 1.0,
) -> tuple[Ride, ...]:
    """The rim, of an outline of its own where one is given, as the front and as the rear wheel
    of a set-up.
    """
    found: list[Ride] = []
    for end in End:
        beside = found[0].analysis if found else None
        analysis = wheel_of(
            sheet,
            setup,
            end,
            like=like,
            coarseness=coarseness,
            outline=outline,
            beside=beside,
        )
        found.append(ride(analysis, setup, end))
    return tuple(found)


def wheel_of(
    sheet: Sheet,
    setup: Setup,
    end: End,
    *,
    like: Loading = USUAL,
    coarseness: float = 1.0,
    outline: Outline | None = None,
    beside: Analysis | None = None,
) -> Analysis:
    """The analysis of one wheel: the set-up's loading, its hub, the usual lacing; ``beside`` as in
    :func:`rimfea.study.analysis.analyse`.
    """
    return analyse(
        sheet,
        loading=setups.loading(setup, end, like),
        lacing=setups.lacing(setup, end, sheet),
        coarseness=coarseness,
        outline=outline,
        beside=beside,
    )


def ride(analysis: Analysis, setup: Setup, end: End) -> Ride:
    """What the set-up does to an analysed wheel.

    Raises :class:`~rimfea.errors.LoadError` for a tyre that does not fit, or a plane slice.
    """
    sheet, built = analysis.sheet, analysis.wheel
    answer = _struck(analysis, setups.obstacle(setup).right_share)
    if built is None:
        raise LoadError("a plane slice has no wheel to ride on: analyse the ring")
    met = meeting(analysis, answer, setup, end)
    hole = seat(analysis, wheel_load(analysis.loading))
    return Ride(
        end=end,
        setup=setup,
        analysis=analysis,
        answer=answer,
        tyre=met.tyre,
        ladder=met.ladder,
        squeeze=met.squeeze,
        seat=hole,
        window=window(
            built,
            highest_tension(analysis, setup.seat_margin),
            target_N=float(built.tension_N.max()),
            jolt_factor=setup.jolt_factor,
            seat_diameter_mm=sheet.bead_seat_diameter_mm,
            makers_limit_N=sheet.tension_limit_N,
            is_placeholder=analysis.loading.tension_N is None
            and "spoke_tension_N" in sheet.assumed,
        ),
    )


@dataclass(frozen=True)
class Meeting:
    """The set-up's blow on a rim, whatever wheel it is built into; fields as in :class:`Ride`."""

    tyre: Tyre
    ladder: Ladder
    squeeze: Squeeze


def meeting(analysis: Analysis, answer: Answer, setup: Setup, end: End) -> Meeting:
    """What the set-up's blow does to a rim whose strike is ``answer``.

    Raises :class:`~rimfea.errors.LoadError` for a tyre that does not fit, or a plane slice.
    """
    if not isinstance(answer.field, RingField):
        raise LoadError("a plane slice has no wheel to ride on: analyse the ring")
    sheet, obstacle = analysis.sheet, setups.obstacle(setup)
    tyre = tyre_of(sheet, setups.loading(setup, end))
    soft = cushion(tyre, obstacle, sheet.seat_radius_mm, sheet.hook_height_mm)
    hard = stiffness(answer.field, answer.case.loads[0])
    crown = crown_profile(analysis.outline)
    casing = Casing(LAYERS * setup.casing_mm)
    on_crown = obstacle.right_share / answer.landing_mm  # the largest share on a mm of one crown
    cut_N = force_for(crown, casing, setup.squeeze_limit_MPa) / on_crown
    return Meeting(
        tyre=tyre,
        ladder=ladder(
            [*_events(answer), (Event.CASING, "", cut_N)],
            soft,
            hard,
            setups.blow(setup, end, tyre, sheet.seat_radius_mm),
        ),
        squeeze=squeeze(crown, casing, answer.load * on_crown),
    )


def _struck(analysis: Analysis, right_share: float) -> Answer:
    name = struck(right_share)
    for answer in analysis.answers:
        if answer.name == name:
            return answer
    raise LoadError(f"nothing is known of a {name}: analyse the rim under the set-up's loading")


def _events(answer: Answer) -> Iterator[tuple[Event, str, float]]:
    first, full = answer.verdict.governing, answer.verdict.by_hinge[0]
    yield Event.FLAT, "", 0.0
    yield Event.YIELD, first.wall, answer.load_at(first.first_yield)
    yield Event.SET, full.wall, answer.load_at(full.hinge)
