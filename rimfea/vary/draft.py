"""A quick answer while one dimension of a rim is changed: one case, a coarse mesh, few harmonics.

The mesh moves along with the drawing, and the equations are solved in a basis of answers found at
a few sizes of it and interpolated between them. How much that leaves out is measured
at harmonics at which nothing was solved; a draft says so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np

from rimfea.arrays import Floats
from rimfea.elastic.harmonics import ONE_DENSE_THREAD, THREADS, Guess, Solutions
from rimfea.elastic.kept import Kept, keep, rigid_motions
from rimfea.elastic.loads import Case
from rimfea.elastic.ring import Ring
from rimfea.errors import MeshError, SheetError
from rimfea.fem.revolved import Revolved
from rimfea.profile.moved import moved
from rimfea.profile.sheet import Sheet
from rimfea.strike.ladder import Ladder
from rimfea.study import setup as setups
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.answer import Answer
from rimfea.study.cases import USUAL, Loading, standard_cases, struck
from rimfea.study.ride import meeting
from rimfea.study.ring_answers import built_ring, ring_answers
from rimfea.study.setup import End, Setup
from rimfea.vary.variant import Variants

COARSENESS = 2.5
HARMONICS = (1, 2, 4, 8, 16, 32, 64, 128, 220, 380)  # solved; more than a ring may need do no harm
CHECKED = (12,)  # in between, where the answers change most and nothing was solved
STEPS = (-0.12, 0.12, -0.25, 0.28)  # of a wall's thickness
LEAST_SIZE_MM = 0.5
POINTS = 4  # that an interpolation goes through
# What is not in the equations: the coarse mesh, and cuts that moved along instead of being made
# anew, which counts with the change of the wall. Measured against fresh fine meshes.
COARSE_MESH, MOVED_CUTS = 0.005, 0.2
TOO_FAR = 0.1  # error of a draft that is not worth showing


@dataclass(frozen=True)
class Draft:
    """The set-up's strike on one rim: what was drawn and weighed, the answer and the
    ladder. ``error`` is the relative error that is to be expected of the loads.
    """

    analysis: Analysis
    answer: Answer
    ladder: Ladder
    setup: Setup
    error: float


@dataclass(frozen=True)
class Ground:
    """A rim from which drafts start, as one wheel of a set-up. ``kept`` holds its own answers at
    a few harmonics, ``checked`` the factors at those in between, ``own`` is its own draft.
    """

    own: Draft
    setup: Setup
    end: End
    variants: Variants
    kept: Kept
    checked: Kept

    @property
    def sheet(self) -> Sheet:
        """The rim's sheet."""
        return self.own.analysis.sheet


@dataclass(frozen=True)
class Track:
    """Solutions at other sizes of one dimension: ``key`` of the sheet, steps (mm) from the ground
    in rising order, 0 among them, and the answers at each.
    """

    key: str
    steps_mm: tuple[float, ...]
    answers: tuple[Solutions, ...] = field(repr=False)

    def at(self, step_mm: float) -> Solutions:
        """The answers in between (Lagrange, through the nearest few)."""
        near = sorted(range(len(self.steps_mm)), key=lambda k: abs(self.steps_mm[k] - step_mm))
        near = near[:POINTS]
        places = [self.steps_mm[k] for k in near]
        weights = [_lagrange(step_mm, place, places) for place in places]
        return tuple(
            sum((w * self.answers[k][h] for w, k in zip(weights, near, strict=True)), start=0.0 * U)
            for h, U in enumerate(self.answers[0])
        )


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def ground(sheet: Sheet, setup: Setup, end: End, *, like: Loading = USUAL) -> Ground:
    """Mesh a rim coarsely and solve what drafts of rims near it start from.

    Raises errors of :mod:`rimfea.errors`.
    """
    looked = inspect(sheet, coarseness=COARSENESS)
    made: list[Kept] = []

    def guess(body: Revolved, F: Floats) -> Solutions:
        made.append(keep(body, F, HARMONICS))
        made.append(keep(body, F, CHECKED))
        return (*made[0].answers, _rigid(looked))

    ring, case = _solved(looked, setup, end, like, guess)
    return Ground(
        own=_drafted(looked, ring, case, setup, end, _left_out(ring, made[1])),
        setup=setup,
        end=end,
        variants=Variants(looked, COARSENESS),
        kept=Kept(made[0].n, made[0].order, (), made[0].answers),
        checked=made[1],
    )


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def track(base: Ground, key: str, *, like: Loading = USUAL) -> Track:
    """Solve at a few sizes of one dimension around the ground, those left out that cannot be."""

    def solved(step_mm: float) -> tuple[float, Solutions] | None:
        found: list[Solutions] = []

        def guess(body: Revolved, F: Floats) -> Solutions:
            found.append(keep(body, F, base.kept.n).answers)
            return base.kept.answers

        try:
            looked = _moved(base, key, step_mm)
        except (MeshError, SheetError):
            return None
        _solved(looked, base.setup, base.end, like, guess)
        return step_mm, found[0]

    size = _size(base, key)
    base.variants.ready()
    with ThreadPoolExecutor(THREADS) as pool:
        others = [each for each in pool.map(solved, [share * size for share in STEPS]) if each]
    steps, answers = zip(
        *sorted([(0.0, base.kept.answers), *others], key=lambda each: each[0]), strict=True
    )
    return Track(key, steps, answers)


@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def draft(base: Ground, along: Track, value_mm: float, *, like: Loading = USUAL) -> Draft:
    """The draft with one dimension ``value_mm`` large.

    Raises :class:`~rimfea.errors.MeshError` where that is too far from the ground: the mesh
    cannot follow, or the error is large.
    """
    step = value_mm - getattr(base.sheet, along.key)
    looked = _moved(base, along.key, step)

    def guess(body: Revolved, F: Floats) -> Solutions:
        del body, F
        return (*along.at(step), _rigid(looked))

    moved_cuts = MOVED_CUTS * abs(step) / _size(base, along.key)
    if moved_cuts < TOO_FAR:
        ring, case = _solved(looked, base.setup, base.end, like, guess)
        error = moved_cuts + _left_out(ring, base.checked)
        if error < TOO_FAR:
            near = (base.own.answer,)
            return _drafted(looked, ring, case, base.setup, base.end, error, near)
    raise MeshError(f"{along.key} = {value_mm:g} mm: too far for a draft")


def struck_case(sheet: Sheet, loading: Loading) -> Case:
    """The case that a set-up's obstacle makes."""
    name = struck(loading.right_share)
    return next(case for case in standard_cases(sheet, loading) if case.name == name)


def _solved(
    looked: Analysis, setup: Setup, end: End, like: Loading, guess: Guess
) -> tuple[Ring, Case]:
    """The rim on its spokes, solved for the set-up's strike and what acts already."""
    sheet, loading = looked.sheet, setups.loading(setup, end, like)
    case, laced = struck_case(sheet, loading), setups.lacing(setup, end, sheet)
    return built_ring(sheet, looked.mesh, loading, laced, [case], guess), case


def _drafted(
    looked: Analysis,
    ring: Ring,
    case: Case,
    setup: Setup,
    end: End,
    error: float,
    like: Sequence[Answer] = (),
) -> Draft:
    (answer,) = ring_answers(looked.sheet, looked.cuts, ring, [case], like=like)
    met = meeting(looked, answer, setup, end)
    return Draft(looked, answer, met.ladder, setup, error + COARSE_MESH)


def _size(base: Ground, key: str) -> float:
    """What steps of a dimension are shares of: its size, of an offset that may be 0 a wall's."""
    return max(abs(getattr(base.sheet, key)), LEAST_SIZE_MM)


def _moved(base: Ground, key: str, step_mm: float) -> Analysis:
    variant = base.variants.inspect(moved(base.sheet, {key: step_mm}))
    if variant.remeshed:
        raise MeshError(f"the mesh cannot follow: {variant.remeshed}")
    return variant.analysis


def _left_out(ring: Ring, checked: Kept) -> float:
    """Largest error at the harmonics checked, relative in the energy norm: √(rᵀ K⁻¹ r / Fᵀ u) of
    what is left over, r = F − K u, with the factors of the ground for K⁻¹.
    """
    worst = 0.0
    for n, factor in zip(checked.n, checked.factors, strict=True):
        moving = slice(0, ring.F.shape[1])
        U = ring.harmonics.basis @ ring.harmonics.weights[n, :, moving]
        rest = (ring.F - ring.body.at(n) @ U)[checked.order]
        lost = np.abs((rest * factor.solve(rest)).sum(axis=0))
        worst = max(worst, float((lost / (ring.F * U).sum(axis=0)).max()))
    return float(np.sqrt(worst))


def _rigid(looked: Analysis) -> Floats:
    return rigid_motions(looked.mesh.nodes, looked.sheet.seat_radius_mm)


def _lagrange(at: float, place: float, places: Sequence[float]) -> float:
    """Weight of the value at ``place`` for the polynomial through all places."""
    others = [other for other in places if other != place]
    return math.prod((at - other) / (place - other) for other in others)
