"""From cases to answers on the ring, each where its load is worst for the rim."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.elastic.harmonics import Guess, Near
from rimfea.elastic.loads import Case, Load
from rimfea.elastic.ring import Ring, solve_ring, with_seat
from rimfea.elastic.ring_field import RingField, columns_of, solve_loads
from rimfea.elastic.spokes import PATTERN, Lacing
from rimfea.mesh.mesh import Mesh
from rimfea.profile.sheet import Sheet
from rimfea.stress.around import Around, around, linearised_around
from rimfea.stress.cuts import Cuts, Linearised
from rimfea.stress.verdict import Verdict, merged, verdict
from rimfea.stress.walls import ALIKE, WallStress, decisive, wall_stresses, worst_around
from rimfea.study.answer import Answer, Lean, Profile, Watched, foot_stress
from rimfea.study.cases import Loading, bearing_of, laced, leaning
from rimfea.study.cases import respread as spread_over
from rimfea.study.landing import TURNS, Landing, landed, landings

# Harmonics up to the third zero in the spectrum of a strike's patch and the first in that of a
# nipple's, which leaves out less than a thousandth of the stress; neither too few nor too many.
FEWEST, MOST = 96, 800
NEAR = 6.0  # patches looked at closely on either side of the load
CLOSE, FAR = 6, 30  # angles to a patch there, angles over the rest of each half
SAME_ANGLE = 9  # decimals of a radian
SHORTEST_PATCH = 20.0  # mm
BESIDE_MM, ASIDE = 300.0, 10  # of rim to either side of a load that is looked at; angles there
TIMES = 0.5, 2.0  # the length over which a flat tyre bears
WIDE_MM = 40.0
DECISIVE = 3  # cuts of a wall that are looked at wherever a load lands
AT_WELD = 13  # angles over the softened metal; odd, so that one is the weld's

Start: TypeAlias = Guess | Ring


def built_ring(
    sheet: Sheet,
    mesh: Mesh,
    loading: Loading,
    lacing: Lacing,
    cases: Sequence[Case],
    start: Start | None = None,
) -> Ring:
    """The ring of this rim, laced and solved for the places and harmonics its cases need, wherever
    their loads land. To ``start`` from, there may be near answers, see
    :func:`rimfea.elastic.harmonics.solve_harmonics`, or the ring of the same mesh laced otherwise,
    of which use is made if it was solved for the same.
    """
    bearing = bearing_of(sheet)
    wanted = max(4 * np.pi / loading.patch_mm, 2 * np.pi / bearing[1])
    highest = int(np.clip(2 * sheet.seat_radius_mm * wanted, FEWEST, MOST))
    own = [load for case in cases for load in (*case.loads, *case.standing)]
    loads = [*own, *(load.mirrored() for load in own)]
    columns = with_seat(column for load in loads for column in columns_of(load))
    guess: Guess | Near | None = None
    if not isinstance(start, Ring):
        guess = start
    elif start.mesh is mesh and start.columns == columns and start.n[-1] == highest:
        guess = start.harmonics.near
    return solve_ring(
        mesh,
        sheet.metal,
        sheet.seat_radius_mm,
        laced(sheet, lacing),
        bearing,
        highest,
        columns=columns,
        guess=guess,
    )


def ring_answers(
    sheet: Sheet,
    across: Cuts,
    ring: Ring,
    cases: Sequence[Case],
    fan: Sequence[float] = (),
    like: Sequence[Answer] = (),
) -> tuple[Answer, ...]:
    """One answer for each case, where its load is worst for the rim, and to the first also what it
    would be leaning by the angles of ``fan`` more; standing loads of several cases are solved
    once.

    ``like`` are answers of a rim much like this one with the same cuts carried along: a load then
    lands only where one of them was decided, and no question beyond the verdict is asked.
    """
    if like:
        return _watched(sheet, across, ring, cases, like)
    wheel = _Wheel(sheet, across, ring, around(across, ring), _Fields(ring))
    first, *others = (wheel.answer(case) for case in cases)
    leans = tuple(wheel.lean(cases[0], angle, first) for angle in fan)
    return tuple(_rested(each) for each in (replace(first, fan=leans), *others))


def _watched(
    sheet: Sheet, across: Cuts, ring: Ring, cases: Sequence[Case], like: Sequence[Answer]
) -> tuple[Answer, ...]:
    """The answers to cases by what decided them in the rim that this one is much like: stress is
    found on these cuts alone.
    """
    before = {answer.name: answer.watched for answer in like}
    watched = [what for case in cases if (what := before[case.name])]
    any_of = np.logical_or.reduce([what.cuts for what in watched])
    across = across.picked(any_of)
    wheel = _Wheel(sheet, across, ring, around(across, ring), _Fields(ring))
    return tuple(
        _rested(wheel.only(what.cuts[any_of]).answer(case, what))
        for case, what in zip(cases, watched, strict=True)
    )


def _rested(answer: Answer) -> Answer:
    """The same without the sums at many angles that its fields found on the way: they are as large
    as all else that is kept of a rim.
    """
    standing = answer.standing and replace(answer.standing)
    return replace(answer, field=replace(answer.field), standing=standing)


class _Fields:
    """What loads do to a ring turned to any kind of spoke, each found once."""

    def __init__(self, ring: Ring) -> None:
        self.rings = {turn: ring.turned(turn) for turn in TURNS}
        self.known: dict[tuple[float, tuple[Load, ...]], RingField] = {}

    def __call__(self, turn: float, loads: tuple[Load, ...]) -> RingField:
        """The field of some loads with θ = 0 so many spacings of spokes on."""
        if (turn, loads) not in self.known:
            (self.known[turn, loads],) = solve_loads(self.rings[turn], [loads])
        return self.known[turn, loads]


@dataclass(frozen=True)
class _Wheel:
    """A rim on its ring, asked for one landing after the other: its cuts, and the stress there of
    every vector of the ring's basis.
    """

    sheet: Sheet
    across: Cuts
    ring: Ring
    parts: Around
    field: _Fields

    def only(self, which: Bools) -> _Wheel:
        """The same on some of the cuts."""
        return replace(self, across=self.across.picked(which), parts=self.parts.picked(which))

    def answer(self, case: Case, watched: Watched | None = None) -> Answer:
        """The answer to a case: every wall at the landing that is worst for it, all else at the
        one that is worst for the rim; where it is ``watched``, on what is the verdict alone.
        """
        places = watched.places if watched else tuple(landings(case))
        cuts = None if watched else self._decisive(case, places)
        closely = self if cuts is None else self.only(cuts)
        looked = [closely.near(case, place) for place in places] if places[1:] else []
        place = _worst(places, looked)
        here = landed(case, place)
        growing = self.field(place.turn, here.loads)
        theta = angles(here.loads[0], self.ring.radius, growing.ring.spokes.angle)
        grown, still = self._stress(here, place, theta)
        whole = self._verdict(grown, still, theta)
        judged = merged([whole, *looked]).reaching_as(whole)
        standing = self.field(place.turn, here.standing) if here.standing else None
        if cuts is None:
            return Answer(here, growing, standing, judged, place, watched=watched)
        names, stress = worst_around(self.across, grown)
        wall = names.index(judged.governing.wall)
        peak = stress[wall].argmax()
        return Answer(
            here,
            growing,
            standing,
            judged,
            place,
            foot_MPa=foot_stress(self.across, grown),
            truncation=self._lost(growing, theta[peak], wall, float(stress[wall, peak])),
            around=Profile(theta, names, stress),
            at_weld=self._at_weld(case, [place for place in places if place.is_between]),
            respread=closely.respread(case, place),
            watched=Watched(
                _deciding(places, looked, place), cuts | self._worst_cuts(grown, still)
            ),
        )

    def lean(self, case: Case, angle: float, upright: Answer) -> Lean:
        """What a case does whose strike leans by so much more, on the worse of the two hooks."""
        leant, turn = leaning(case, angle), upright.landing.turn
        places = [place for place in landings(leant) if place.turn == turn]
        closely = self.only(self._decisive(leant, places))
        first = merged([closely.near(leant, place) for place in places]).governing
        return Lean(angle, first.wall, upright.load_at(first.first_yield))

    def respread(self, case: Case, place: Landing) -> tuple[float, float] | None:
        """The load at first yield with the standing load spread over half and twice as much."""
        if not any(load.is_somewhere for load in case.standing):
            return None
        uses = (self.near(spread_over(case, times), place).governing.first_yield for times in TIMES)
        half, twice = (case.loads[0].size / use if use > 0 else np.inf for use in uses)
        return float(half), float(twice)

    def _decisive(self, case: Case, places: Sequence[Landing]) -> Bools:
        """Which cuts (c,) may decide a case, whichever hook or side it comes to."""
        chosen = np.zeros(len(self.across.wall), dtype=bool)
        for place in (place for place in places if place.turn == places[0].turn):
            here = landed(case, place)
            stress = self._stress(here, place, self._near_angles(here, place))
            chosen |= self._worst_cuts(*stress, most=DECISIVE)
        return chosen

    def _worst_cuts(self, grown: Linearised, still: Linearised | None, most: int = 1) -> Bools:
        """Which cuts (c,) are the worst of their wall, so many of each."""
        proof = self.sheet.metal.proof_MPa
        return decisive(self.across, grown, proof, standing=still, most=most)

    def near(self, case: Case, place: Landing) -> Verdict:
        """The verdict of what is near a landed load."""
        here = landed(case, place)
        theta = self._near_angles(here, place)
        return self._verdict(*self._stress(here, place, theta), theta)

    def _near_angles(self, case: Case, place: Landing) -> Floats:
        spokes = self.field.rings[place.turn].spokes
        return near_angles(_patch(case.loads[0]), self.ring.radius, spokes.angle)

    def _stress(
        self, case: Case, landing: Landing, theta: Floats
    ) -> tuple[Linearised, Linearised | None]:
        """Stress at angles (t,) of what grows and of what acts already in a landed case."""
        grown = linearised_around(self.parts, self.field(landing.turn, case.loads), theta)
        if not case.standing:
            return grown, None
        return grown, linearised_around(self.parts, self.field(landing.turn, case.standing), theta)

    def _verdict(
        self,
        grown: Linearised,
        still: Linearised | None,
        theta: Floats,
        proof_MPa: float | None = None,
    ) -> Verdict:
        """The verdict on stress at angles (t,)."""
        return verdict(
            wall_stresses(
                self.across,
                grown,
                proof_MPa or self.sheet.metal.proof_MPa,
                standing=still,
                theta=theta,
                radius=self.ring.radius,
            )
        )

    def _lost(self, field: RingField, theta: float, wall: int, stress: float) -> float:
        """What leaving out the top quarter of the harmonics changes of a wall's stress there."""
        short = linearised_around(self.parts, field.without_top_quarter(), np.array([theta]))
        return abs(1 - float(worst_around(self.across, short)[1][wall, 0]) / stress)

    def _at_weld(self, case: Case, places: Sequence[Landing]) -> Verdict | None:
        """The verdict on the softened metal of a welded hoop: the weld lies midway between two
        spokes, what acts at one place of the rim acts there, and the middle half of the rim
        between the two spokes is taken to be soft. Nipple seats are not.
        """
        proof = self.sheet.weld_proof_MPa
        if proof is None:
            return None
        half = np.pi / len(self.ring.spokes.angle)
        theta = half * np.linspace(-0.5, 0.5, AT_WELD)
        between = places or [Landing(turn) for turn in TURNS if turn % 1]
        return merged(
            [
                self._verdict(*self._stress(landed(case, place), place, theta), theta, proof)
                for place in between
            ]
        )


def _worst(places: Sequence[Landing], looked: Sequence[Verdict]) -> Landing:
    """The worst place; of those that are as bad the first."""
    uses = [each.governing.first_yield for each in looked]
    bad = (use >= (1 - ALIKE) * max(uses) for use in uses)
    return next((place for place, is_bad in zip(places, bad, strict=False) if is_bad), places[0])


def _deciding(
    places: Sequence[Landing], looked: Sequence[Verdict], worst: Landing
) -> tuple[Landing, ...]:
    """The places of which one is the worst for some wall, at first yield or at the hinge."""
    chosen = {worst}
    for limit in ("first_yield", "hinge"):
        use = np.array([[getattr(wall, limit) for wall in _by_name(each)] for each in looked])
        chosen |= {places[k] for k in use.argmax(axis=0)} if looked else set()
    return tuple(place for place in places if place in chosen)


def _by_name(found: Verdict) -> list[WallStress]:
    return sorted(found.walls, key=lambda wall: wall.wall)


def _patch(load: Load) -> float:
    return min(load.patches_mm, default=SHORTEST_PATCH)


def angles(load: Load, radius: float, spoke_angles: Floats) -> Floats:
    """Angles (t,) around the rim at which stress is looked at, rising from −π to π: close
    together near the load, at every spoke, where the nipple seats have their peaks, and around
    one spoke of each kind where the load is the spokes' own.
    """
    near = min(NEAR * _patch(load) / radius, np.pi / 2)
    half = np.concatenate(
        [
            np.linspace(0, near, int(NEAR * CLOSE), endpoint=False),
            np.linspace(near, np.pi, FAR),
        ]
    )
    at_spokes = np.angle(np.exp(1j * spoke_angles))
    parts = [-half, half, at_spokes]
    if not load.is_somewhere:
        beside = half[half <= np.pi / len(spoke_angles)]
        nearest = at_spokes[np.argsort(np.abs(at_spokes))[: PATTERN + 1]]
        parts += [spoke + sign * beside for spoke in nearest for sign in (-1.0, 1.0)]
    together = np.unique(np.concatenate(parts).round(SAME_ANGLE))
    return np.asarray(together, dtype=np.float64)


def near_angles(patch: float, radius: float, spoke_angles: Floats) -> Floats:
    """Angles (t,) near the load: close together over its patch, further apart to either side of a
    wide one, and at the spokes there.
    """
    close, beside = (by / radius for by in (patch, BESIDE_MM))
    at_spokes = np.angle(np.exp(1j * spoke_angles))
    here = [np.linspace(-close, close, 2 * CLOSE + 1), at_spokes[np.abs(at_spokes) <= beside]]
    if patch > WIDE_MM:
        here.append(np.linspace(-beside, beside, 2 * ASIDE + 1))
    return np.asarray(np.unique(np.concatenate(here).round(SAME_ANGLE)))
