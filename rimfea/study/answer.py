"""From cases to answers: on the ring, and on a slice of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.elastic.field import Evidence, Field
from rimfea.elastic.harmonics import Guess
from rimfea.elastic.loads import Case, Load, Pressure, SpokeTension, Strike
from rimfea.elastic.ring import Ring, solve_ring, with_seat
from rimfea.elastic.ring_field import RingField, columns_of, solve_loads, turned_fields
from rimfea.elastic.slice import solve_slice
from rimfea.elastic.spokes import Lacing, spokes
from rimfea.mesh.mesh import Mesh
from rimfea.profile.proportions import bed_face
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.stress.around import Around, around, linearised_around
from rimfea.stress.cuts import Cuts, Linearised, linearised
from rimfea.stress.verdict import Verdict, verdict
from rimfea.stress.walls import along_wall, wall_stresses, worst_around
from rimfea.study.cases import Loading

# Harmonics up to the third zero in the spectrum of a strike's patch and the first in that of a
# nipple's, which leaves out less than a thousandth of the stress; neither too few nor too many.
FEWEST, MOST = 96, 800
NEAR = 6.0  # patches looked at closely on either side of the load
CLOSE, FAR = 6, 30  # angles to a patch there, angles over the rest of each half
SAME_ANGLE = 9  # decimals of a radian
SHORTEST_PATCH = 20.0  # mm
AT_WELD = 13  # angles over the softened metal; odd, so that one is the weld's


@dataclass(frozen=True)
class Profile:
    """Largest von Mises stress (w, t) in MPa that the growing loads make in each wall of
    ``names`` (w) at angles ``theta`` (t,) around the rim.
    """

    theta: Floats
    names: tuple[str, ...]
    stress_MPa: Floats

    __repr__ = brief


@dataclass(frozen=True)
class Answer:
    """What one case does to the rim: the field of its loads, that of the loads that stand by,
    and the verdict. ``foot_MPa`` is the growing load's largest membrane stress
    at the foot of the right sidewall, and ``share_of_rim_mm`` how many millimetres of rim in
    effect carry a strike there. ``at_weld`` is the verdict on the softer metal beside the weld of
    a hoop that is known to be welded.
    """

    case: Case
    field: RingField | Field
    standing: RingField | None
    verdict: Verdict
    foot_MPa: float = 0.0
    truncation: float = 0.0
    share_of_rim_mm: float | None = None
    around: Profile | None = None
    at_weld: Verdict | None = None

    def __repr__(self) -> str:
        return f"<Answer to {self.name}: {self.verdict.governing.wall} governs>"

    @property
    def evidence(self) -> Evidence:
        """Why to trust it: what the field says, and ``truncation``, the change of the governing
        stress when the top quarter of the harmonics is left out.
        """
        return replace(self.field.evidence, truncation=self.truncation)

    @property
    def name(self) -> str:
        """The name of the case."""
        return self.case.name

    @property
    def load(self) -> float:
        """Size of the case's leading load: the strike's force or the tension of each spoke in
        N, the air's pressure in MPa.
        """
        return self.case.loads[0].size

    @property
    def landing_mm(self) -> float:
        """How many millimetres of rim in effect a strike lands on: its force by its largest force
        per millimetre, half of a patch that swells and dies away as a raised cosine.
        """
        strike = self.case.loads[0]
        return strike.patch_mm / 2 if isinstance(strike, Strike) else 0.0

    @property
    def is_pressure(self) -> bool:
        """Whether the leading load is a pressure and not a force."""
        return isinstance(self.case.loads[0], Pressure)

    def load_at(self, utilisation: float) -> float:
        """The leading load at which a wall of that utilisation reaches its limit: 0 where the
        standing loads alone are too much, infinite where the load does nothing.
        """
        return self.load / utilisation if utilisation > 0 else float("inf")

    def displacement(self) -> Floats:
        """Displacement (n, 3) in mm where the governing wall is worst, of the growing loads."""
        return self.field.displacement_at(self.verdict.governing.theta)

    def stress(self) -> Floats:
        """Stress (n, 6) in MPa there, of all loads."""
        theta = self.verdict.governing.theta
        own = self.field.stress_at(theta)
        return own if self.standing is None else own + self.standing.stress_at(theta)


def built_ring(
    sheet: Sheet,
    mesh: Mesh,
    loading: Loading,
    lacing: Lacing,
    cases: Sequence[Case],
    guess: Guess | None = None,
) -> Ring:
    """The ring of this rim, laced and solved for the places and harmonics its cases need."""
    seat = sheet.seat_radius_mm + bed_face(sheet.known) + sheet.nipple_seat_mm
    bearing = (sheet.spoke_hole_mm, sheet.bearing_diameter_mm)
    wanted = max(4 * np.pi / loading.patch_mm, 2 * np.pi / bearing[1])
    highest = int(np.clip(2 * sheet.seat_radius_mm * wanted, FEWEST, MOST))
    laced = spokes(lacing, seat)
    loads = [load for case in cases for load in (*case.loads, *case.standing)]
    columns = with_seat(column for load in loads for column in columns_of(load))
    return solve_ring(
        mesh,
        sheet.metal,
        sheet.seat_radius_mm,
        laced,
        bearing,
        highest,
        columns=columns,
        guess=guess,
    )


def ring_answers(
    sheet: Sheet, across: Cuts, ring: Ring, cases: Sequence[Case]
) -> tuple[Answer, ...]:
    """One answer for each case; loads that stand by in several are solved once."""
    parts = around(across, ring)
    sets = list(dict.fromkeys([case.loads for case in cases] + [case.standing for case in cases]))
    fields = dict(zip(sets, solve_loads(ring, sets), strict=True))

    @cache
    def stood(standing: tuple[Load, ...], patch: float) -> Linearised:
        theta = angles(patch, ring.radius, ring.spokes.angle)
        return linearised_around(parts, fields[standing], theta)

    answers = []
    for case in cases:
        patch = _patch(case.loads[0])
        still = stood(case.standing, patch) if case.standing else None
        standing = fields[case.standing] if case.standing else None
        answer = _ring_answer(sheet, across, parts, case, fields[case.loads], still)
        weld = _at_weld(sheet, across, parts, case, fields)
        answers.append(replace(answer, standing=standing, at_weld=weld))
    return tuple(answers)


def slice_answers(
    sheet: Sheet, mesh: Mesh, across: Cuts, cases: Sequence[Case]
) -> tuple[Answer, ...]:
    """The same for a plane slice, whose cases have nothing standing by."""
    proof = sheet.metal.proof_MPa
    return tuple(
        Answer(
            field.case,
            field,
            None,
            verdict(wall_stresses(across, line, proof)),
            _foot(across, line),
        )
        for field in solve_slice(mesh, sheet.metal, sheet.seat_radius_mm, cases)
        for line in [linearised(across, field.stress)]
    )


def with_share_of_rim(answer: Answer, slices: Sequence[Answer]) -> Answer:
    """The answer with its share of rim, if it is a strike that the slice was asked as well.

    A slice bears F / c on every millimetre, c the patch. In the ring the blow has spread by the
    time it comes to the foot of the struck sidewall, where its largest force per millimetre is
    F / m: m millimetres of rim in effect carry the strike.
    """
    strike = answer.case.loads[0]
    same = next((each for each in slices if each.case.loads == answer.case.loads), None)
    if same is None or not isinstance(strike, Strike) or not answer.foot_MPa:
        return answer
    return replace(answer, share_of_rim_mm=strike.patch_mm * same.foot_MPa / answer.foot_MPa)


def _foot(across: Cuts, line: Linearised) -> float:
    """Largest membrane stress along the right sidewall at its foot, anywhere around, MPa."""
    middle = (across.start + across.end) / 2
    number = across.names.index(Wall.SIDEWALL) if Wall.SIDEWALL in across.names else -1
    height = np.where((across.wall == number) & (middle[:, 0] > 0), middle[:, 1], np.inf)
    if not np.isfinite(height).any():
        return 0.0
    return float(np.abs(along_wall(across.tangent, line.membrane)[height.argmin()]).max())


def _ring_answer(
    sheet: Sheet,
    across: Cuts,
    parts: Around,
    case: Case,
    field: RingField,
    still: Linearised | None,
) -> Answer:
    proof, radius = sheet.metal.proof_MPa, sheet.seat_radius_mm
    theta = angles(_patch(case.loads[0]), radius, field.ring.spokes.angle)

    grown = linearised_around(parts, field, theta)
    judged = verdict(
        wall_stresses(across, grown, proof, standing=still, theta=theta, radius=radius)
    )
    names, stress = worst_around(across, grown)
    wall = names.index(judged.governing.wall)
    peak = np.array([theta[stress[wall].argmax()]])
    _, short = worst_around(across, linearised_around(parts, field.without_top_quarter(), peak))
    lost = abs(1 - float(short[wall, 0] / stress[wall].max()))
    return Answer(
        case,
        field,
        None,
        judged,
        _foot(across, grown),
        lost,
        around=Profile(theta, names, stress),
    )


def _at_weld(
    sheet: Sheet,
    across: Cuts,
    parts: Around,
    case: Case,
    fields: Mapping[tuple[Load, ...], RingField],
) -> Verdict | None:
    """The verdict on the softened metal of a welded hoop: the weld lies midway between two
    spokes, what acts at one place of the rim acts there, and the middle half of the rim between
    the two spokes is taken to be soft. Nipple seats are not.
    """
    proof = sheet.weld_proof_MPa
    if proof is None:
        return None
    own = fields[case.loads]
    weld = np.pi / len(own.ring.spokes.angle)
    theta = weld * (1 + np.linspace(-0.5, 0.5, AT_WELD))
    grown = linearised_around(parts, _moved(own, case.loads, weld), theta)
    still = linearised_around(parts, fields[case.standing], theta) if case.standing else None
    return verdict(
        wall_stresses(
            across, grown, proof, standing=still, theta=theta, radius=sheet.seat_radius_mm
        )
    )


def _moved(field: RingField, loads: Sequence[Load], angle: float) -> RingField:
    """The field of those loads at an angle; spoke tension stays with its spokes."""
    if any(isinstance(load, SpokeTension) for load in loads):
        return field
    there = np.array([angle])
    moved = [turned_fields(field.ring, load, there)[0].amplitudes for load in loads]
    return replace(field, amplitudes=np.sum(moved, axis=0))


def _patch(load: Load) -> float:
    spread = [push.patch_mm for push in load.pushes(0.0) if push.patch_mm]
    return min(spread, default=SHORTEST_PATCH)


def angles(patch: float, radius: float, spoke_angles: Floats) -> Floats:
    """Angles (t,) around the rim at which stress is looked at, rising from −π to π: close
    together near the load, and at every spoke, where the nipple seats have their peaks.
    """
    near = min(NEAR * patch / radius, np.pi / 2)
    half = np.concatenate(
        [
            np.linspace(0, near, int(NEAR * CLOSE), endpoint=False),
            np.linspace(near, np.pi, FAR),
        ]
    )
    at_spokes = np.angle(np.exp(1j * spoke_angles))
    together = np.unique(np.concatenate([-half, half, at_spokes]).round(SAME_ANGLE))
    return np.asarray(together, dtype=np.float64)
