"""Why a rim bears what it bears: what carries a blow, wall by wall, from the crown to the spokes.

The free body, of a rim with a chamber struck on one hook:

    blow ──▶ hook ──▶ sidewall ──▶ bead seat ┬──▶ flank ──▶ spoke bed ──▶ spokes
                                             └──▶ tyre well

At every arrow the rim is cut, and what comes through on its way inward, where the blow is, is
summed (:mod:`rimfea.stress.passed`). What enters a wall and does not leave it inward has gone
along the rim: that wall carries it. A single wall has the tyre well where the flank is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from math import cos

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.brief import brief
from rimfea.elastic.loads import Strike
from rimfea.elastic.ring_field import RingField
from rimfea.errors import LoadError
from rimfea.fem.material import von_mises
from rimfea.profile.pieces import Piece
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.stress.around import Around, around, linearised_around
from rimfea.stress.cuts import Cuts
from rimfea.stress.passed import Passed, passed, passed_on, resultant
from rimfea.stress.walls import HOOP, WallStress, along_wall
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.study.cases import USUAL, Loading
from rimfea.study.landing import Landing
from rimfea.study.ride import wheel_of
from rimfea.study.setup import End, Setup

LOOKED_MM, EVERY_MM = 200.0, 0.5  # of rim to either side of the blow; how finely
COARSELY = 4  # of these steps, where only the worst place is sought
ALL_ROUND = 3600  # angles where a sum goes all around the rim
NEAREST = 3  # spokes of which it is told what they lose


class Work(StrEnum):
    """What a blow does to a wall where that is worst."""

    PRESSED = "pressed"
    PULLED = "pulled"
    BENT = "bent across"
    ALONG = "bent along the rim"


@dataclass(frozen=True)
class Step:
    """One wall on the way: the shares of the blow that ``enter`` it and ``leave`` it inward, and
    the length of rim that in effect carries the blow where it enters: the blow by its largest
    force on a millimetre. ``weakest`` is what yields first of it, and ``work`` what the blow
    does where it stresses the wall most.
    """

    piece: Piece
    enters: float
    leaves: float
    length_mm: float
    weakest: WallStress
    work: Work

    __repr__ = brief

    @property
    def carries(self) -> float:
        """The share that it takes along the rim."""
        return self.enters - self.leaves


@dataclass(frozen=True)
class Why:
    """What carries the blow that a rim's verdict rests on: a step a wall, from the crown down.

    ``spokes_N`` is the tension that the nearest spokes lose, the most first; ``unbalanced`` how
    far what comes through the foot of the struck sidewall, summed all around, is off from the
    blow, as a share of it.
    """

    analysis: Analysis
    steps: tuple[Step, ...]
    spokes_N: tuple[float, ...]
    unbalanced: float

    def __repr__(self) -> str:
        return f"<Why of {self.analysis.sheet.name}: {len(self.steps)} walls>"

    @property
    def answer(self) -> Answer:
        """The case that the blow is of."""
        return self.analysis.governing

    @property
    def carrier(self) -> Step:
        """The wall that takes most of the blow along the rim."""
        return max(self.steps, key=lambda step: step.carries)


def why(sheet: Sheet, setup: Setup, end: End, *, like: Loading = USUAL) -> Why:
    """What carries the blow of a rim's verdict, as one wheel of a set-up. Raises errors of
    :mod:`rimfea.errors`.
    """
    return carried(wheel_of(sheet, setup, end, like=like))


def carried(analysis: Analysis) -> Why:
    """The same of a rim that was analysed, drawn from its sheet.

    Raises :class:`~rimfea.errors.LoadError` for a plane slice.
    """
    answer = analysis.governing
    strike, field = answer.case.loads[0], answer.field
    if not isinstance(strike, Strike) or not isinstance(field, RingField):
        raise LoadError("only a strike on the whole rim is followed from wall to wall: no slice")
    blow = _Blow(analysis, field, strike, answer.landing)
    return Why(
        analysis,
        blow.steps(),
        tuple(float(-each) for each in np.sort(field.tension_change)[:NEAREST] if each < 0),
        blow.unbalanced(),
    )


# Of every wall the cuts through which a blow enters it, and through which it leaves it.
_DOUBLE = (
    (Piece.HOOK, "crown", ("top",)),
    (Piece.SIDEWALL, "top", ("foot",)),
    (Piece.BEAD_SEAT, "foot", ("flank", "well")),
    (Piece.TYRE_WELL, "well", ()),
    (Piece.FLANK, "flank", ("bed",)),
    (Piece.SPOKE_BED, "bed", ()),
)
_SINGLE = (
    (Piece.HOOK, "crown", ("top",)),
    (Piece.SIDEWALL, "top", ("foot",)),
    (Piece.BEAD_SEAT, "foot", ("well",)),
    (Piece.TYRE_WELL, "well", ("bed",)),
    (Piece.SPOKE_BED, "bed", ()),
)


@dataclass(frozen=True)
class _Blow:
    """A strike on a ring, followed inward through cuts of the struck side."""

    analysis: Analysis
    field: RingField
    strike: Strike
    landing: Landing

    @property
    def is_double(self) -> bool:
        """Whether the rim has a chamber."""
        return Wall.FLANK in self.across.names

    @property
    def across(self) -> Cuts:
        """The cuts of the rim."""
        return self.analysis.cuts

    @property
    def inward_N(self) -> float:
        """What the blow presses inward."""
        return self.strike.force_N * cos(self.strike.angle)

    @cached_property
    def parts(self) -> Around:
        """Stress of the ring's basis on all cuts."""
        return around(self.across, self.field.ring)

    @cached_property
    def theta(self) -> Floats:
        """Angles (t,) close together around the blow."""
        half = int(LOOKED_MM / EVERY_MM)
        return np.linspace(-LOOKED_MM, LOOKED_MM, 2 * half + 1) / self.field.ring.radius

    @cached_property
    def places(self) -> Mapping[str, int]:
        """The cuts, as places in ``across``: the highest and the lowest of the sidewall and of
        what is below the bead seat; of a tyre well over a chamber that in the middle.
        """
        top, foot = self._ends(Wall.SIDEWALL)
        if self.is_double:
            flank, bed = self._ends(Wall.FLANK)
            well = self._of(Wall.TYRE_WELL, np.abs(self.middle[:, 0]))
        else:
            flank, bed = self._ends(Wall.TYRE_WELL)
            well = flank
        return {"top": top, "foot": foot, "flank": flank, "well": well, "bed": bed}

    @cached_property
    def middle(self) -> Floats:
        """Middle (c, 2) of each cut, the struck side on the right."""
        struck = -1.0 if self.landing.mirrored else 1.0
        return (self.across.start + self.across.end) / 2 * np.array([struck, 1.0])

    @cached_property
    def through(self) -> Mapping[str, Passed]:
        """What comes through each cut."""
        found = {}
        for name, place in self.places.items():
            force = self.force(name, self.theta)
            radius = self.field.ring.radius + self.middle[place, 1]
            found[name] = passed(-force[:, 1], self.theta, radius)
        crown = Passed(self.inward_N, self.inward_N / self.analysis.governing.landing_mm)
        return {"crown": crown, **found}

    def force(self, name: str, theta: Floats) -> Floats:
        """Force (t, 3) in N per radian that comes through one of the cuts at angles (t,)."""
        which = np.zeros(len(self.across.wall), dtype=bool)
        which[self.places[name]] = True
        ways = {"well": (-1.0, -0.5)}  # onward seen from the blow; all others lead down
        aside, down = ways.get(name, (0.0, -1.0))
        struck = -1.0 if self.landing.mirrored else 1.0
        onward = np.array([[struck * aside, down]])
        only = self.across.picked(which)
        return passed_on(only, self.parts.picked(which), self.field, theta, onward)[0]

    def share(self, name: str) -> float:
        """The share of the blow that comes through a cut."""
        return self.through[name].force_N / self.inward_N

    def steps(self) -> tuple[Step, ...]:
        """A step a wall."""
        found = []
        for piece, enters, leaves in _DOUBLE if self.is_double else _SINGLE:
            own = [
                wall for wall in self.analysis.governing.verdict.walls if wall.wall in piece.walls
            ]
            densest = self.through[enters].densest_N_mm
            found.append(
                Step(
                    piece,
                    self.share(enters),
                    sum(self.share(name) for name in leaves),
                    self.inward_N / densest if densest else 0.0,
                    max(own, key=lambda wall: wall.first_yield),
                    self.work(piece),
                )
            )
        return tuple(found)

    def work(self, piece: Piece) -> Work:
        """What the blow alone does to a piece where it stresses it most."""
        theta = self.theta[::COARSELY]
        which = np.isin(np.array(self.across.names)[self.across.wall], list(piece.walls))
        line = linearised_around(self.parts.picked(which), self.field, theta)
        faces = line.membrane + line.bending, line.membrane - line.bending
        use = np.maximum(*(von_mises(face) for face in faces))
        worst = np.unravel_index(use.argmax(), use.shape)
        tangent = self.across.tangent[which]
        pressed, bent = (
            float(along_wall(tangent, each)[worst]) for each in (line.membrane, line.bending)
        )
        hoop = max(abs(float(face[..., HOOP][worst])) for face in faces)
        if hoop > abs(pressed) + abs(bent):
            return Work.ALONG
        if abs(bent) > abs(pressed):
            return Work.BENT
        return Work.PRESSED if pressed < 0 else Work.PULLED

    def unbalanced(self) -> float:
        """How far the sum all around of what comes through the sidewall's foot is off."""
        theta = np.linspace(-np.pi, np.pi, ALL_ROUND, endpoint=False)
        whole = resultant(self.force("foot", theta), theta)
        aside = self.strike.force_N * np.sin(self.strike.angle)
        gap = np.hypot(whole[0] - aside, whole[1] + self.inward_N)
        return float(gap / self.strike.force_N)

    def _ends(self, wall: Wall) -> tuple[int, int]:
        """The highest and the lowest cut of a wall on the struck side."""
        return self._of(wall, -self.middle[:, 1]), self._of(wall, self.middle[:, 1])

    def _of(self, wall: Wall, far: Floats) -> int:
        """The cut of a wall on the struck side of which ``far`` (c,) is least."""
        own: Bools = (self.across.wall == self.across.names.index(wall)) & (self.middle[:, 0] > 0)
        return int(np.where(own, far, np.inf).argmin())
