"""What a case does to the rim, and the answers of a plane slice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.brief import brief
from rimfea.elastic.field import Evidence, Field
from rimfea.elastic.loads import Case, Pressure, Strike
from rimfea.elastic.ring_field import RingField
from rimfea.elastic.slice import solve_slice
from rimfea.mesh.mesh import Mesh
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.stress.cuts import Cuts, Linearised, linearised
from rimfea.stress.verdict import Verdict, verdict
from rimfea.stress.walls import along_wall, wall_stresses
from rimfea.study.landing import AT_A_SPOKE, Landing


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
class Lean:
    """A strike that leans by so much (radians) more, outward from the tyre if positive: the wall
    that first yields and the force (N) at which it does.
    """

    angle: float
    wall: str
    first_yield_N: float


@dataclass(frozen=True)
class Watched:
    """What to look at in a rim much like this one: the ``places`` at which some wall was the worst,
    and the ``cuts`` (c,) looked at wherever a load lands.
    """

    places: tuple[Landing, ...]
    cuts: Bools

    __repr__ = brief


@dataclass(frozen=True)
class Answer:
    """What one case does to the rim where it is worst, its ``landing``: the field of its loads,
    that of the loads that act already, and the verdict. ``foot_MPa`` is the growing load's largest
    membrane stress at the foot of a sidewall, and ``share_of_rim_mm`` how many millimetres of rim
    in effect carry a strike there. ``at_weld`` is the verdict on the softer metal beside the weld
    of a hoop that is known to be welded. ``fan`` is what strikes that lean more would do, and
    ``respread`` the load (N) at first yield if what a flat tyre bears were spread over half and
    over twice as much rim. ``watched`` is what decided it.
    """

    case: Case
    field: RingField | Field
    standing: RingField | Field | None
    verdict: Verdict
    landing: Landing = AT_A_SPOKE
    foot_MPa: float = 0.0
    truncation: float = 0.0
    share_of_rim_mm: float | None = None
    around: Profile | None = None
    at_weld: Verdict | None = None
    fan: tuple[Lean, ...] = ()
    respread: tuple[float, float] | None = None
    watched: Watched | None = None

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
            foot_MPa=foot_stress(across, line),
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
    same = next((each for each in slices if each.name == answer.name), None)
    if same is None or not isinstance(strike, Strike) or not answer.foot_MPa:
        return answer
    return replace(answer, share_of_rim_mm=strike.patch_mm * same.foot_MPa / answer.foot_MPa)


def foot_stress(across: Cuts, line: Linearised) -> float:
    """Largest membrane stress along a sidewall at its foot, anywhere around, MPa."""
    middle = (across.start + across.end) / 2
    number = across.names.index(Wall.SIDEWALL) if Wall.SIDEWALL in across.names else -1
    along, found = np.abs(along_wall(across.tangent, line.membrane)), 0.0
    for side in (middle[:, 0] > 0, middle[:, 0] < 0):
        height = np.where((across.wall == number) & side, middle[:, 1], np.inf)
        if np.isfinite(height).any():
            found = max(found, float(along[height.argmin()].max()))
    return found
