"""Stress and energy at points that are strained, turned and yield: J2 flow, radial return.

With the gradient H of the movement, F = I + H is what lines in the metal become. Green's strain
E = ½(Fᵀ F − I) leaves out how far the metal has turned; its partner is the second stress of Piola
and Kirchhoff, S, here D (E − ε_p) + S₀ with what stood by before. Strains stay small, a few
hundredths, and so the law of small strains is good between E and S while movements may be large.

Metal flows when the von Mises stress of S reaches what hardening allows; the step that it flows is
the one that takes least energy (radial return: Simo and Hughes, Computational Inelasticity, 1998,
section 3.3; citation from memory). So the stress is the slope of an energy,

    W(E) = ½ (E − ε_p) : D (E − ε_p) + S₀ : (E − ε_p) + ∫ flow dp,

and equilibrium its least value. Symmetric tensors have six rows, xx yy zz xy yz zx; shear rows of a
strain are tensor components, half of γ.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.plastic.metal import Hardening
from rimfea.plastic.sector import EVEN, ODD

SIX = ((0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0))
_ROW = {pair: k for k, pair in enumerate((*EVEN, *ODD))}
_OF = {pair: k for k, pair in enumerate(SIX)} | {(j, i): k for k, (i, j) in enumerate(SIX)}
# A double contraction counts every shear component twice.
TWICE = np.array([1.0, 1.0, 1.0, 2.0, 2.0, 2.0])[:, None, None]
NEWTON_STEPS = 30


@dataclass(frozen=True)
class Solid:
    """An isotropic metal: shear modulus, Lamé's λ (MPa), and its law of hardening."""

    shear: float
    lame: float
    hardening: Hardening

    def stress(self, strain: Floats) -> Floats:
        """D ε (6, p, t)."""
        stress = 2 * self.shear * strain
        stress[:3] += self.lame * strain[:3].sum(axis=0)
        return stress


def solid(youngs_MPa: float, poisson: float, hardening: Hardening) -> Solid:
    """The metal of these moduli."""
    lame = youngs_MPa * poisson / ((1 + poisson) * (1 - 2 * poisson))
    return Solid(youngs_MPa / (2 * (1 + poisson)), lame, hardening)


@dataclass(frozen=True)
class Flowed:
    """How the metal has flowed: plastic strain (6, p, t) and its equivalent (p, t)."""

    strain: Floats
    amount: Floats

    __repr__ = brief


@dataclass(frozen=True)
class Response:
    """What the window answers to a movement: T (9, p, t), the stress beyond the elastic one of
    small movements, the energy W beyond that one's (p, t), and what has flowed. N/mm² and N mm/mm³.
    """

    T: Floats
    beyond: Floats
    flowed: Flowed

    __repr__ = brief


@dataclass(frozen=True)
class Window:
    """The points of a window: the metal, the stress ``still`` (6, p, t) that acts already, and the
    hoop stress ``softened`` of it that the elastic body knows as a geometric stiffness already;
    ``large`` movements turn the metal, small ones do not.
    """

    metal: Solid
    still: Floats
    softened: float = 0.0
    large: bool = True

    __repr__ = brief

    def untouched(self) -> Flowed:
        """Metal that has not flowed."""
        return Flowed(np.zeros_like(self.still), np.zeros(self.still.shape[1:]))

    def first_yield(self, H: Floats) -> float:
        """How many times the gradients H (9, p, t) of small movements make some point flow; 0
        where what acts already does so alone.
        """
        limit, _ = self.metal.hardening.flow(np.zeros(1))
        a, b = (_deviator(s) for s in (self.metal.stress(symmetric(H)), self.still))
        aa, ab, bb = (1.5 * _contracted(*pair) for pair in ((a, a), (a, b), (b, b)))
        room = limit[0] ** 2 - bb
        if (room <= 0).any():
            return 0.0
        return float((room / (ab + np.sqrt(ab**2 + aa * room))).min())

    def energy(self, H: Floats, flowed: Flowed) -> Floats:
        """All energy (p, t) in metal that has flowed so far and is strained by H, less what loads
        that act already have done with small movements, N mm/mm³.
        """
        linear = symmetric(H)
        elastic = linear + _quadratic(H) - flowed.strain if self.large else linear - flowed.strain
        stored = _contracted(self.metal.stress(elastic), elastic) / 2
        stored += _contracted(self.still, elastic - linear)
        return stored + self.metal.hardening.work(flowed.amount)

    def respond(self, H: Floats, before: Flowed) -> Response:
        """The answer to gradients H (9, p, t) of metal that had flowed before."""
        metal = self.metal
        linear = symmetric(H)
        strain = linear + _quadratic(H) if self.large else linear
        trial = metal.stress(strain - before.strain) + self.still
        flowed = _returned(metal, trial, before)
        elastic = strain - flowed.strain
        stress = metal.stress(elastic)
        straight = metal.stress(linear)
        beyond = (_contracted(stress, elastic) - _contracted(straight, linear)) / 2
        beyond += _contracted(self.still, strain - linear - flowed.strain)
        beyond += metal.hardening.work(flowed.amount)
        T = _full(stress - straight)
        if self.large:
            whole = stress + self.still
            whole[2] -= self.softened
            T += _turned(H, whole)
            beyond -= self.softened * sum(H[_ROW[i, 2]] ** 2 for i in range(3)) / 2
        return Response(T, beyond, flowed)


def symmetric(H: Floats) -> Floats:
    """Small strain (6, p, t)."""
    return np.stack([(H[_ROW[i, j]] + H[_ROW[j, i]]) / 2 for i, j in SIX])


def _quadratic(H: Floats) -> Floats:
    """½ Hᵀ H (6, p, t): what makes Green's strain of the small one."""
    return np.stack([sum(H[_ROW[k, i]] * H[_ROW[k, j]] for k in range(3)) / 2 for i, j in SIX])


def _turned(H: Floats, stress: Floats) -> Floats:
    """H S (9, p, t)."""
    return np.stack(
        [sum(H[_ROW[i, k]] * stress[_OF[k, j]] for k in range(3)) for i, j in (*EVEN, *ODD)]
    )


def _full(stress: Floats) -> Floats:
    """The nine rows (9, p, t) of a symmetric tensor."""
    return stress[[_OF[pair] for pair in (*EVEN, *ODD)]]


def _contracted(a: Floats, b: Floats) -> Floats:
    return np.asarray((TWICE * a * b).sum(axis=0))


def _deviator(stress: Floats) -> Floats:
    deviator = stress.copy()
    deviator[:3] -= stress[:3].mean(axis=0)
    return deviator


def _returned(metal: Solid, trial: Floats, before: Flowed) -> Flowed:
    """Flow that brings a trial stress back to what hardening allows."""
    deviator = _deviator(trial)
    mises = np.sqrt(1.5 * _contracted(deviator, deviator))
    limit, _ = metal.hardening.flow(before.amount)
    over = mises > limit
    if not over.any():
        return before
    step = _step(metal, mises[over], before.amount[over])
    strain, amount = before.strain.copy(), before.amount.copy()
    strain[:, over] += 1.5 * step / mises[over] * deviator[:, over]
    amount[over] += step
    return Flowed(strain, amount)


def _step(metal: Solid, mises: Floats, before: Floats) -> Floats:
    """Δp with mises − 3 G Δp = flow(before + Δp), by Newton's method: the gap falls and is convex,
    so that it comes from below and never goes too far.
    """
    step = np.zeros_like(mises)
    for _ in range(NEWTON_STEPS):
        flow, slope = metal.hardening.flow(before + step)
        gap = mises - 3 * metal.shear * step - flow
        if (np.abs(gap) < 1e-9 * mises).all():
            break
        step += gap / (3 * metal.shear + slope)
    return step
