"""Steps from rim to rim, each as far as the slopes can be trusted, to the best that keeps the rest.

Sequential linear programming with a trust region and an exact penalty (Nocedal and Wright,
Numerical Optimization, 2nd edition, 2006, section 18.5, with a linear model in place of the
quadratic one; citation from memory). A step counts only if the rim it leads to, solved in full on
the same mesh moved, keeps what the slopes promised.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product

import numpy as np
import scipy

from rimfea.allocator import give_back
from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.errors import LoadError, MeshError, RimfeaError, SheetError, SolveError
from rimfea.profile.moved import CLEAN, moved
from rimfea.profile.sheet import Sheet
from rimfea.study.ride import Ride
from rimfea.vary.aim import Aim
from rimfea.vary.datum import STEP_MM, Datum
from rimfea.vary.results import Results, built_as, datum_once, once, with_ring
from rimfea.vary.variant import Variants

DIGIT_MM = 0.01  # a drawing says hundredths
FIRST_REACH_MM, LONGEST_REACH_MM = 0.1, 0.3
ROUND_OFF_MM = 1e-6
KEPT_SHARE, WELL_KEPT_SHARE = 0.1, 0.75  # of what the slopes promised
MOST_TRIALS = 10  # on one mesh
ENOUGH = 5e-4  # relative gain that is not worth another step: 0.3 g of a rim
WITHIN = 2e-3  # share that a limit may be missed by: less than what the mesh leaves open
EXACT = "mass_g"  # but this one
PENALTY = 10.0  # relative gain that a share of shortfall costs: what is kept comes first
LIGHTER = 1e-3  # weight of the mass where it is not the aim: of equals the lighter


@dataclass(frozen=True)
class Bounds:
    """How thin and how thick (k,) walls may be, mm, and by key why a sheet with that wall beyond
    its bound is none. ``sums`` are weights (k,) of the walls and the least, mm, that the weighted
    sum may be.
    """

    low: Floats
    high: Floats
    clash: Mapping[str, str] = field(default_factory=dict)
    sums: tuple[tuple[Floats, float], ...] = ()

    __repr__ = brief

    def spare(self, walls_mm: Floats) -> Floats:
        """How far (..., s) walls (..., k) are above the least of every sum."""
        over = [walls_mm @ weights - least for weights, least in self.sums]
        return np.stack(over, axis=-1) if over else np.zeros((*walls_mm.shape[:-1], 0))

    def with_clash(self, key: str, error: Exception) -> Bounds:
        """The same, and a reason; without a key that of several walls together."""
        return replace(self, clash={**self.clash, key: str(error)})

    def tightened(self, k: int, was_mm: float, asked_mm: float) -> Bounds:
        """The same where a wall (k) cannot be as asked: half of the way to there."""
        half = was_mm + np.trunc((asked_mm - was_mm) / 2 / DIGIT_MM) * DIGIT_MM
        low, high = self.low.copy(), self.high.copy()
        (high if asked_mm > was_mm else low)[k] = half
        return replace(self, low=low, high=high)


@dataclass(frozen=True)
class Place:
    """A rim on the way from the ``first``, and how what is aimed at depends on its walls ``keys``;
    its mesh is that of ``meshed``, moved. ``fine`` is the ride of ``meshed`` on a mesh of the
    coarseness ``finest``, by which the aim is read. What ``results`` have of a rim is not solved
    again.
    """

    aim: Aim
    first: Ride
    meshed: Datum
    near: Datum
    keys: tuple[str, ...]
    fine: Ride
    finest: float = 1.0
    results: Results | None = None

    @cached_property
    def at_mm(self) -> Floats:
        """Thickness (k,) of the walls."""
        return thickness(self.near, self.keys)

    @cached_property
    def gains(self) -> Floats:
        """What is to be best (g,), as a share of what the start has."""
        return self._gains(self.near.ride)

    @cached_property
    def margins(self) -> Floats:
        """How far what is kept (m,) is on the good side."""
        return self.aim.margins(self.near.ride)

    @property
    def merit(self) -> float:
        """The gain, less the penalty for what is not kept."""
        return float(merit_of(self.gains, self.margins, self.within))

    @property
    def holds(self) -> bool:
        """Whether all is kept that must be."""
        return holds(self.margins)

    @cached_property
    def within(self) -> Floats:
        """How far each margin (m,) may fall short: not at all where no mesh has a say."""
        names = self.aim.names(self.near.ride)
        return np.array([0.0 if key == EXACT else WITHIN for key, _ in names])

    @cached_property
    def slopes(self) -> tuple[Floats, Floats, Mapping[str, str]]:
        """What a millimetre of each wall adds to gains (k, g) and margins (k, m); zero of those
        that the mesh cannot follow, with the reason.
        """
        rim, aim = self.near.ride.analysis, self.aim
        read = (aim.keep, aim.best, [*aim.finely.items()], self.first.analysis.sheet)
        under = ("slopes", *self._under, self.keys, *read)
        return once(self._slopes, rim.sheet, under, lambda: rim, self.results)

    def _slopes(self) -> tuple[Floats, Floats, Mapping[str, str]]:
        gains = np.zeros((len(self.keys), len(self.gains)))
        margins = np.zeros((len(self.keys), len(self.margins)))
        near = self._with_ring()  # a copy, which alone keeps factors
        give_back()
        left_out = {}
        for k, key in enumerate(self.keys):
            try:
                gains[k], margins[k] = self._slope(near, key)
            except (MeshError, SheetError) as error:
                left_out[key] = str(error)
            give_back()
        del near
        give_back()
        return gains, margins, left_out

    def _slope(self, near: Datum, key: str) -> tuple[Floats, Floats]:
        """What a millimetre of a wall adds to gains (g,) and margins (m,)."""
        ridden, unmoved = near.stepped(key)[0], near.unmoved
        gains = self._gains(ridden) - self._gains(unmoved)
        margins = self.aim.margins(ridden) - self.aim.margins(unmoved)
        return gains / STEP_MM, margins / STEP_MM

    def foreseen(self, asked_mm: Floats) -> Floats:
        """The merit (...,) with other walls (..., k), by the slopes."""
        step = asked_mm - self.at_mm
        gains, margins, _ = self.slopes
        return merit_of(self.gains + step @ gains, self.margins + step @ margins, self.within)

    def best_within(self, bounds: Bounds, reach_mm: float) -> Floats:
        """The walls (k,), to the digits of a drawing, that are best by the slopes, none further
        from here than the reach and a hundredth.

        Of steps d, the least gain t and the worst shortfall s ≥ 0: the most of t − penalty · s,
        where t ≤ gains + slopes · d and 0 ≤ margins + slopes · d + s.
        """
        gains, margins, left_out = self.slopes
        held = np.array([key in left_out for key in self.keys])
        low = np.where(held, 0.0, np.clip(bounds.low - self.at_mm, -reach_mm, 0.0))
        high = np.where(held, 0.0, np.clip(bounds.high - self.at_mm, 0.0, reach_mm))
        weights = np.reshape([each for each, _ in bounds.sums], (-1, len(self.keys)))
        g, m, s = len(self.gains), len(self.margins), len(weights)
        found = scipy.optimize.linprog(
            np.concatenate([np.zeros(len(self.keys)), [-1.0, PENALTY]]),
            A_ub=np.block(
                [
                    [-gains.T, np.ones((g, 1)), np.zeros((g, 1))],
                    [-margins.T, np.zeros((m, 1)), -np.ones((m, 1))],
                    [-weights, np.zeros((s, 2))],
                ]
            ),
            b_ub=np.concatenate(
                [self.gains, self.margins, np.maximum(bounds.spare(self.at_mm), 0.0)]
            ),
            bounds=[*zip(low, high, strict=True), (None, None), (0.0, None)],
        )
        if found.x is None:  # standing still is a solution
            raise SolveError(f"no step was found: {found.message}")
        return self._drawn(self.at_mm + found.x[: len(self.keys)], bounds)

    def _drawn(self, ideal_mm: Floats, bounds: Bounds) -> Floats:
        """Of all ways to round walls (k,) up or down, that with the best merit by the slopes; a
        wall that hardly moves may stay.
        """
        ends = [
            np.clip(end(ideal_mm / DIGIT_MM) * DIGIT_MM, bounds.low, bounds.high).round(CLEAN)
            for end in (np.floor, np.ceil)
        ]
        still = np.abs(ideal_mm - self.at_mm) < DIGIT_MM
        choices = [
            {low, high, *([at] if stays else [])} if at != ideal else {at}
            for low, high, at, ideal, stays in zip(*ends, self.at_mm, ideal_mm, still, strict=True)
        ]
        ways = np.array(list(product(*choices)))
        ways = ways[(bounds.spare(ways) >= -ROUND_OFF_MM).all(axis=-1)]
        return np.asarray(ways[self.foreseen(ways).argmax()])

    def moved_to(self, asked_mm: Floats) -> Place:
        """The rim with those walls, solved; raises errors of :mod:`rimfea.errors`."""
        sheet = self.sheet_at(asked_mm)
        ride = self._judged(
            once(
                lambda: self.meshed.of(sheet),
                sheet,
                ("moved", *self._under),
                lambda: self.meshed.variants.inspect(sheet).analysis,
                self.results,
            )
        )
        variants = Variants(ride.analysis, self.meshed.variants.coarseness)
        return replace(self, near=replace(self.meshed, ride=ride, variants=variants))

    def redrawn(self) -> Place:
        """The same rim on a mesh of its own, and what the fine mesh says of it; raises errors of
        :mod:`rimfea.errors`.
        """
        sheet = self.near.ride.analysis.sheet
        own = anew(self.first, sheet, self.meshed.variants.coarseness, self.results)
        fine = anew(self.first, sheet, self.finest, self.results).ride
        for ride in (own.ride, fine):
            self._judged(ride)
        return replace(self, aim=self.aim.seen(own.ride, fine), meshed=own, near=own, fine=fine)

    @property
    def _under(self) -> tuple[object, ...]:
        """What a rim on the way depends on beside its sheet: the wheel, and whose mesh is moved."""
        meshed = self.meshed
        return (
            *built_as(self.first),
            meshed.variants.coarseness,
            meshed.ride.analysis.sheet,
        )

    def _with_ring(self) -> Datum:
        """The rim here, solved again if it was kept without its ring."""
        if self.near.ride.analysis.built:
            return replace(self.near)
        if self.near is self.meshed:
            return with_ring(self.near)
        return replace(self.near, ride=self.meshed.of(self.near.ride.analysis.sheet))

    def _judged(self, ride: Ride) -> Ride:
        """The same, if it stands and all walls that were judged at the start still are: one that
        has become too stubby for a cut has not become strong.
        """
        if ride.analysis.buckles:
            raise LoadError("the rim buckles sideways under its spokes")
        was, now = ({wall.wall for wall in of.answer.verdict.walls} for of in (self.first, ride))
        if was - now:
            raise MeshError(f"too stubby to be cut and judged: {', '.join(sorted(was - now))}")
        return ride

    def sheet_at(self, asked_mm: Floats) -> Sheet:
        """The sheet with those walls."""
        was = thickness(self.meshed, self.keys)
        changes = dict(zip(self.keys, (asked_mm - was).tolist(), strict=True))
        return moved(self.meshed.ride.analysis.sheet, {k: by for k, by in changes.items() if by})

    @cached_property
    def scale(self) -> float:
        """What the start has of what is to be best."""
        return abs(float(replace(self.aim, finely={}).gains(self.first).min()))

    def _gains(self, ride: Ride) -> Floats:
        mass = ride.analysis.hoop.mass_g / self.first.analysis.hoop.mass_g
        return self.aim.gains(ride) / self.scale - LIGHTER * mass


@dataclass(frozen=True)
class Search:
    """Where the search is, how far it trusts the slopes, and what it found on the way."""

    here: Place
    bounds: Bounds
    reach_mm: float = FIRST_REACH_MM
    trials: int = 0
    ended: bool = False


def climbed(search: Search) -> Search:
    """Steps up the merit on one mesh until none is worth it or can be drawn, or trials run out."""
    search = replace(search, reach_mm=FIRST_REACH_MM, ended=False)
    for _ in range(MOST_TRIALS):
        here = search.here
        asked = here.best_within(search.bounds, search.reach_mm)
        promised = float(here.foreseen(asked)) - here.merit
        if promised < ENOUGH or search.reach_mm < DIGIT_MM:
            return replace(search, ended=True)
        search = _tried(replace(search, trials=search.trials + 1), asked, promised)
    return search


def _tried(search: Search, asked_mm: Floats, promised: float) -> Search:
    here, reach = search.here, search.reach_mm
    shorter = float(np.abs(asked_mm - here.at_mm).max()) / 2
    try:
        there = here.moved_to(asked_mm)
    except RimfeaError as error:
        tighter = _tightened(search.bounds, here, asked_mm)
        if tighter:
            return replace(search, bounds=tighter)
        return replace(search, bounds=search.bounds.with_clash("", error), reach_mm=shorter)
    kept = (there.merit - here.merit) / promised
    if kept < KEPT_SHARE:
        return replace(search, reach_mm=shorter)
    further = min(2 * reach, LONGEST_REACH_MM) if kept > WELL_KEPT_SHARE else reach
    return replace(search, here=there, reach_mm=further)


def anew(like: Ride, sheet: Sheet, coarseness: float, results: Results | None = None) -> Datum:
    """A sheet as the same wheel, on a mesh of its own."""
    return datum_once(
        sheet,
        like.setup,
        like.end,
        like=like.analysis.loading,
        lacing=like.analysis.lacing,
        coarseness=coarseness,
        results=results,
    )


def thickness(of: Datum, keys: Iterable[str]) -> Floats:
    """Thickness (k,) of walls, mm."""
    return np.array([float(getattr(of.ride.analysis.sheet, key)) for key in keys])


def holds(margins: Floats) -> bool:
    """Whether margins (m,) are kept as well as meshes can tell."""
    return float(margins.min()) >= -2 * WITHIN


def merit_of(gains: Floats, margins: Floats, within: Floats) -> Floats:
    """The least of gains (..., g), less the penalty for the margin of (..., m) that falls short
    the furthest beyond what it may, (m,).
    """
    short = np.maximum(-(margins + within).min(axis=-1), 0.0)
    return np.asarray(gains.min(axis=-1) - PENALTY * short)


def _tightened(bounds: Bounds, here: Place, asked_mm: Floats) -> Bounds | None:
    """Tighter for walls that clash by themselves; None where only several together do."""
    found = None
    for k, key in enumerate(here.keys):
        alone = here.at_mm.copy()
        alone[k] = asked_mm[k]
        try:
            here.sheet_at(alone)
        except SheetError as error:
            tighter = bounds.tightened(k, here.at_mm[k], asked_mm[k])
            bounds = found = tighter.with_clash(key, error)
    return found
