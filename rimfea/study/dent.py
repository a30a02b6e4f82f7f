"""A dent: how hard and how far a strike pushes the hook in, and what it leaves there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import inf

import numpy as np
import scipy

from rimfea.arrays import Floats, Ints
from rimfea.brief import brief
from rimfea.plastic.path import Path
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.study.dented import Struck, View, looked_at, pushed_in, struck

SETS_MM = (0.1, 0.5, 1.0)
FALLS = 0.02  # a force that has fallen by less may still rise
LEAST_MM = 1e-4  # of set; less is none

ASSUMES = (
    "Dents: the metal flows by von Mises, hardens by Ramberg and Osgood's law, and turns as far as "
    "it is turned; the crown is free to slide under a rock that presses as a raised cosine. No "
    "rate effects, no cracks, no bead and casing that hold the hook: the true force is mostly "
    "higher, unless the metal cracks first."
)


@dataclass(frozen=True)
class Curve:
    """A path as a dent is read off it, by the set it leaves (mm): forces in N, work in J."""

    path: Path

    __repr__ = brief

    @property
    def deepest_mm(self) -> float:
        """The set to which it was followed."""
        return float(self._set[-1])

    @cached_property
    def fold_N(self) -> float:
        """The greatest force, from which on the hook folds over; infinite where none was found."""
        force = self.path.of("force")
        k = int(force.argmax())
        if k in (0, len(force) - 1) or force[-1] > (1 - FALLS) * force[k]:
            return inf
        around = slice(k - 1, k + 2)
        a, b, c = np.polyfit(self.path.of("pushed")[around], force[around], 2)
        return float(c - b * b / (4 * a))

    @cached_property
    def fold_set_mm(self) -> float:
        """The set that is left of the greatest force; infinite where none was found."""
        if self.fold_N == inf:
            return inf
        return float(self.path.of("set_mm")[self.path.of("force").argmax()])

    def force_N(self, set_mm: float) -> float:
        """The greatest force on the way to a set."""
        if set_mm >= self.fold_set_mm:
            return self.fold_N
        return self.at("force", set_mm)

    def work_J(self, set_mm: float) -> float:
        """What the hook takes up until it is so deep that this set is left."""
        return self.at("work", set_mm) / 1000

    def swallowed_J(self, set_mm: float) -> float:
        """That part of it which does not come back."""
        return self.at("swallowed", set_mm) / 1000

    def at(self, what: str, set_mm: float) -> float:
        """A number of its steps (N, mm, N mm) where a set is left; infinite beyond the last."""
        return self.along(self.path.of(what), set_mm)

    def along(self, values: Floats, set_mm: float) -> float:
        """The same of any values (s,), one a step."""
        if set_mm > self.deepest_mm:
            return inf
        return float(scipy.interpolate.PchipInterpolator(self._set, values[self._kept])(set_mm))

    def set_for(self, values: Floats, value: float) -> float:
        """The set at which ``values`` (s,), one a step and rising, reach a value; 0 where they do
        before there is any, infinite beyond the last.
        """
        rising = np.maximum.accumulate(values)[self._kept]
        if value > rising[-1]:
            return inf
        return float(np.interp(value, rising, self._set))

    @cached_property
    def _kept(self) -> Ints:
        """The steps at which more set is left than before."""
        left = np.maximum(self.path.of("set_mm"), 0.0)
        more = left > np.maximum.accumulate(np.concatenate([[LEAST_MM], left]))[:-1]
        last_without = max(int(np.flatnonzero(more)[0]) - 1, 0)
        more[last_without] = True
        return np.flatnonzero(more)

    @cached_property
    def _set(self) -> Floats:
        left = np.maximum(self.path.of("set_mm"), 0.0)[self._kept]
        left[0] = min(left[0], LEAST_MM)
        return left


@dataclass(frozen=True)
class Dent:
    """What a strike leaves on a wheel whose crown is ``free`` to slide under it. ``struck`` is the
    ring, ``view`` what was looked at.
    """

    struck: Struck
    view: View
    free: Curve

    __repr__ = brief

    @cached_property
    def held(self) -> Curve:
        """The same with the crown held by the rock, followed as far; found once it is asked for."""
        deep = self.free.deepest_mm
        return Curve(pushed_in(self.struck, set_mm=deep, held=True, view=self.view)[0])

    @property
    def knows_held(self) -> bool:
        """Whether somebody asked for :attr:`held`."""
        return "held" in vars(self)

    @cached_property
    def cracks_mm(self) -> float:
        """The set from which some metal has stretched beyond its elongation, so that it may crack
        first; infinite where none has.
        """
        least = self.struck.looked.sheet.metal.elongation
        return self.free.set_for(self.free.path.of("flowed"), least)

    @cached_property
    def profile(self) -> tuple[Floats, Floats]:
        """How deep (k,) the struck crown is left at so many mm (k,) along the rim, deepest at 0."""
        part, ring, left = self.free.path.body.sector, self.struck.ring, self.free.path.left
        own = self.struck.amplitudes[0][0].real[: ring.F.shape[1]]
        crown = ring.F[part.unknowns] @ (own / np.linalg.norm(own))
        theta = np.linspace(0.0, np.pi / part.repeats, 200)
        depth = (crown @ left.forces.u) @ np.cos(np.outer(part.n, theta))
        return theta * ring.radius_at("right crown"), np.asarray(depth - depth[-1])

    @property
    def height(self) -> tuple[Floats, Floats]:
        """How high (k,) that crown stands above a straight line along the sound rim, at so many mm
        (k,) along the rim: a straight-edge lies on the highest.
        """
        along, depth = self.profile
        return along, -(along**2) / (2 * self.struck.ring.radius_at("right crown")) - depth

    @cached_property
    def length_mm(self) -> float:
        """How long a straight-edge laid along the crown bridges the last dent; 0 where the dent is
        so shallow that the rim still bulges.
        """
        along, height = self.height
        return 2 * float(along[height.argmax()])

    @cached_property
    def section(self) -> tuple[Floats, Floats]:
        """The section in the middle of the last dent: displacement (n, 2) of its nodes, where it
        was looked at, and the plastic strain (e,) of its triangles.
        """
        mesh, part, left = self.struck.looked.mesh, self.free.path.body.sector, self.free.path.left
        moved = np.zeros(3 * len(mesh.nodes))
        moved[part.unknowns] = left.forces.u.sum(axis=1)
        chosen = looked_at(self.struck, self.view)
        flowed = np.zeros(len(mesh.triangles))
        flowed[chosen] = left.flowed.amount[:, 0].reshape(len(chosen), -1).mean(axis=1)
        return moved.reshape(-1, 3)[:, :2], flowed


def dent(
    analysis: Analysis,
    answer: Answer,
    *,
    set_mm: float = SETS_MM[-1],
    looked: Analysis | None = None,
) -> Dent:
    """Push the struck hook of an analysed wheel in until it keeps so much set, on triangles of its
    own or those of a rim that was ``looked`` at. Raises
    :class:`~rimfea.errors.LoadError` for a load that is not a strike, or a plane slice, and
    :class:`~rimfea.errors.SolveError` where the metal's flow comes to no rest.
    """
    blow = struck(analysis, answer, looked)
    free, view = pushed_in(blow, set_mm=set_mm)
    return Dent(blow, view, Curve(free))
