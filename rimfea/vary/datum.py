"""Rims near one rim: what a little more here and there does to it, without drawing, meshing and
factorising anew.

A near rim has the mesh of the base, moved. Its answers at a few harmonics are the base's and what
each dimension adds to them, exact but for the square of the change; these are the basis in which
its own equations are then solved for every harmonic.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.elastic.harmonics import ONE_DENSE_THREAD, Guess, Solutions, first_harmonics
from rimfea.elastic.kept import Kept, keep, rigid_motions
from rimfea.elastic.loads import Case
from rimfea.elastic.ring_field import RingField
from rimfea.elastic.spokes import Lacing
from rimfea.errors import LoadError, MeshError
from rimfea.fem.revolved import Revolved
from rimfea.profile.moved import moved
from rimfea.profile.sheet import Sheet
from rimfea.study import setup as setups
from rimfea.study.analysis import FAN, Analysis, inspect, ring_for, solved
from rimfea.study.cases import (
    BOTH_HOOKS,
    ONE_HOOK,
    TENSION,
    UNEVEN,
    USUAL,
    Loading,
    standard_cases,
    usual_lacing,
)
from rimfea.study.ride import Ride, ride
from rimfea.study.ring_answers import ring_answers
from rimfea.study.setup import End, Setup
from rimfea.vary.variant import Variants

DRAFT = 1.6  # coarseness for a search; two triangles or more across every wall all the same
ASKED = (ONE_HOOK, BOTH_HOOKS, UNEVEN, TENSION)
FAR = 2.5  # times the highest tension, of which buckling may set half its own
STEP_MM = 5e-3  # its square hardly counts, nor does round-off
PROOF_SHARE = 1e-3


@dataclass(frozen=True)
class Datum:
    """A rim ridden as one wheel of a set-up, and what rims near it reuse.

    With ``every`` harmonic that a ring is first solved at, and how answers change there, slopes are
    good to a per cent or two; with harmonics an octave apart alone, in half the time, to ten, which
    is enough for doubts.
    """

    ride: Ride
    variants: Variants
    every: bool = True

    __repr__ = brief

    @cached_property
    def kept(self) -> Kept:
        """The base's factors and answers at these harmonics."""
        field = self.ride.answer.field
        if not isinstance(field, RingField):
            raise LoadError("a plane slice has no wheel: analyse the ring")
        ring = field.ring
        highest = int(ring.n[-1])
        n = first_harmonics(highest) if self.every else _octaves(highest)
        return keep(ring.body, ring.F, n, slopes=self.every)

    def ready(self) -> None:
        """Factorise now, and in this thread, what steps share, before threads take them: see
        :meth:`rimfea.vary.variant.Variants.ready`.
        """
        _ = self.kept
        self.variants.ready()

    @cached_property
    def unmoved(self) -> Ride:
        """The base on the basis from which its neighbours are solved: what slopes start from."""
        if self.every:
            return self.ride
        kept = self.kept.answers
        return _again(self.ride, self.variants.base, lambda _body, _F: kept)

    def stepped(self, key: str, step_mm: float = STEP_MM) -> tuple[Ride, Solutions]:
        """The ride with one dimension longer by a small step, and what a millimetre of it adds
        to the kept answers. Raises :class:`~rimfea.errors.MeshError` where the mesh cannot
        follow.
        """
        found: list[Solutions] = []

        def guess(body: Revolved, F: Floats) -> Solutions:
            found.append(self.kept.corrected(body, F))
            return found[0]

        ridden = _again(self.ride, self._moved({key: step_mm}), guess)
        pairs = zip(found[0], self.kept.answers, strict=True)
        return ridden, tuple((after - before) / step_mm for after, before in pairs)

    def strengths(self, key: str = "", step_mm: float = STEP_MM) -> tuple[float, float, float]:
        """First yield and permanent set (N) under the first case and the mass (g), as they are or
        with one dimension longer by a small step: a third of the work of :meth:`stepped`, which
        asks all else besides. Raises :class:`~rimfea.errors.MeshError` as that does.
        """
        base = self.ride.analysis
        looked = self._moved({key: step_mm} if key else {})
        guess = self.kept.corrected if key else lambda _body, _F: self.kept.answers
        sheet, loading = looked.sheet, base.loading
        cases, lacing = _asked(sheet, loading), base.lacing or usual_lacing(sheet, loading)
        ring = ring_for(looked, loading, lacing, cases, guess, FAN)
        (answer,) = ring_answers(sheet, looked.cuts, ring, cases[:1], like=base.answers[:1])
        judged = answer.verdict
        first, full = judged.governing.first_yield, judged.by_hinge[0].hinge
        return answer.load_at(first), answer.load_at(full), looked.hoop.mass_g

    def at(self, changes: Mapping[str, float], slopes: Mapping[str, Solutions]) -> Ride:
        """The ride with several dimensions changed (mm); ``slopes`` are those that
        :meth:`stepped` gives. Raises :class:`~rimfea.errors.MeshError` as it does.
        """
        looked = self._moved(changes)
        rigid = rigid_motions(looked.mesh.nodes, looked.sheet.seat_radius_mm)

        def guess(body: Revolved, F: Floats) -> Solutions:
            del body, F
            mixed = tuple(
                sum((by * slopes[key][k] for key, by in changes.items()), start=U)
                for k, U in enumerate(self.kept.answers)
            )
            return (rigid, *mixed)  # the basis begins with what answers the long waves

        return _again(self.ride, looked, guess)

    def softened(self) -> tuple[Ride, float]:
        """The base of a slightly softer metal, and how many MPa its proof stress is higher: stress
        is what it was, only what it is compared with is less, and nothing is solved again.
        """
        base = self.unmoved
        rim, metal = base.analysis, base.analysis.sheet.metal
        if rim.built is None:
            raise LoadError("a plane slice has no wheel: analyse the ring")
        step = -PROOF_SHARE * metal.proof_MPa
        sheet = rim.sheet.varied(proof_MPa=metal.proof_MPa + step)
        cases = _asked(sheet, rim.loading)
        answers = ring_answers(sheet, rim.cuts, rim.built.ring, cases, like=rim.answers)
        return ride(replace(rim, sheet=sheet, answers=answers), base.setup, base.end), step

    def of(self, sheet: Sheet) -> Ride:
        """The ride of a sheet that may differ by much: on the moved mesh, or a fresh one where
        that cannot follow, and solved in full.
        """
        return _again(self.ride, self.variants.inspect(sheet).analysis)

    def _moved(self, changes: Mapping[str, float]) -> Analysis:
        variant = self.variants.inspect(moved(self.ride.analysis.sheet, changes))
        if variant.remeshed:
            raise MeshError(f"the mesh cannot follow: {variant.remeshed}")
        return variant.analysis


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def datum(
    sheet: Sheet,
    setup: Setup,
    end: End,
    *,
    like: Loading = USUAL,
    lacing: Lacing | None = None,
    coarseness: float = 1.0,
) -> Datum:
    """A rim to look around from; the arguments are those of a ride, and so are its numbers."""
    looked = inspect(sheet, coarseness=coarseness)
    loading = setups.loading(setup, end, like)
    laced = lacing or setups.lacing(setup, end, sheet)
    rim = solved(looked, loading, laced, standard_cases(sheet, loading), fan=FAN)
    ridden = ride(rim, setup, end)
    return Datum(ridden, Variants(looked, coarseness))


def around(ride: Ride, coarseness: float = 1.0) -> Datum:
    """A ride, on the mesh that was made for it at that coarseness, to look around from. Raises
    :class:`~rimfea.errors.OutlineError` for a section that was not drawn from its sheet.
    """
    return Datum(ride, Variants(ride.analysis, coarseness))


def _asked(sheet: Sheet, loading: Loading) -> list[Case]:
    return [case for case in standard_cases(sheet, loading) if case.name in ASKED]


def _octaves(highest: int) -> list[int]:
    """From 1 to the highest, each about twice the one before."""
    count = 1 + round(np.log2(highest))
    return sorted({int(n) for n in np.geomspace(1, highest, count).round()})


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def _again(base: Ride, looked: Analysis, guess: Guess | None = None) -> Ride:
    """The same ride with another rim."""
    before = base.analysis
    loading, built = before.loading, before.wheel
    lacing = before.lacing or usual_lacing(looked.sheet, loading)
    cases = _asked(looked.sheet, loading)
    # Where buckling is far, a small change is not worth another search for its tension.
    far = guess and built and built.buckling_tension_N > FAR * base.window.highest.tension_N
    buckles = (built.buckling_waves, built.buckling_tension_N) if far and built else None
    like = before.answers if guess else ()
    rim = solved(looked, loading, lacing, cases, guess, buckles, FAN, like)
    return ride(rim, base.setup, base.end)
