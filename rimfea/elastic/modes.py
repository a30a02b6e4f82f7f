"""The free modes of a body of revolution: at what frequencies it rings where nothing holds it.

K(n) v = ω² M v, n waves around the axis at a time. From n = 2 on no rigid motion is among the
answers (those are of n = 0 and 1), so K(n) has an inverse, and the slowest modes are found by
iterating with it. Every mode comes twice, the second turned by a quarter of a wave.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import LinearOperator, eigsh

from rimfea.alloys import Alloy
from rimfea.arrays import Floats, Ints
from rimfea.brief import brief
from rimfea.errors import LoadError
from rimfea.fem.assemble import matrix
from rimfea.fem.elements import Elements, elements
from rimfea.fem.revolution import isotropic, masses, stiffnesses, strains
from rimfea.fem.revolved import revolved
from rimfea.fem.solve import NOTHING_HELD, elimination_order, factorised

if TYPE_CHECKING:
    from scipy.sparse import csc_array

TONNE_PER_MM3 = 1e-12  # of one kg/m³
LEAST_WAVES = 2
# Modes for every number of waves, of which the slowest of each kind is kept; more where a thin
# plate has many of one kind before the first of the other.
LOOKED_AT = (4, 12, 36)


class Kind(StrEnum):
    """Which way the hoop moves most, told by the share of its kinetic energy."""

    IN_PLANE = "in its plane"
    SIDEWAYS = "sideways"


@dataclass(frozen=True)
class Mode:
    """One way in which a free hoop rings: ``waves`` around, and what every node moves by, ``form``
    (n, 3) along x outward and around; x and outward go with cos nθ, around with sin nθ.
    """

    waves: int
    kind: Kind
    form: Floats

    __repr__ = brief


def free_modes(
    nodes: Floats, triangles: Ints, metal: Alloy, radius: float, waves: Iterable[int]
) -> tuple[Mode, ...]:
    """The slowest mode of each kind for every number of ``waves``, of nodes (n, 2) and triangles
    (e, 6) at ``radius`` + y from the axis. Raises :class:`~rimfea.errors.LoadError` for fewer than
    two waves.
    """
    asked = tuple(waves)
    if min(asked) < LEAST_WAVES:
        raise LoadError(f"a free hoop rings in {LEAST_WAVES} waves or more, not {min(asked)}")
    el = elements(nodes, triangles)
    free = sparse.csc_array((3 * len(nodes), 3 * len(nodes)))
    blocks = stiffnesses(el, isotropic(metal.youngs_MPa, metal.poisson), radius)
    body = revolved(triangles, blocks, len(nodes), free)
    order = elimination_order(body.at(LEAST_WAVES))
    ordered = body.taken(order)
    M = matrix(triangles, masses(el, TONNE_PER_MM3 * metal.density_kg_m3, radius), len(nodes))
    M = M[order][:, order].tocsc()
    found: list[Mode] = []
    for n in asked:
        for count in LOOKED_AT:
            shapes = np.empty((len(order), count))
            shapes[order] = _slowest(ordered.at(n), M, count)
            own = _kinds(n, shapes.T.reshape(count, -1, 3), el, radius)
            if len(own) == len(Kind):
                break
        found += own
    return tuple(found)


def _slowest(K: csc_array, M: csc_array, count: int) -> Floats:
    """The slowest modes (d, m), the very slowest first."""
    inverse = factorised(K, NOTHING_HELD, ordered=True).factor.solve
    operator = LinearOperator(K.shape, matvec=inverse, dtype=np.float64)
    start = np.ones(K.shape[0])  # or ARPACK would begin at random
    _, shapes = eigsh(K, k=count, M=M, sigma=0.0, OPinv=operator, v0=start)
    return np.asarray(shapes)


def energies(
    el: Elements, metal: Alloy, radius: float, modes: Sequence[Mode]
) -> tuple[Floats, Floats]:
    """What shapes hold: twice the energy of strain and of movement at 1 rad/s (m,), per radian,
    in N mm. ω² is the first by the second (Rayleigh), to the second order of what the shapes miss
    the modes of this body by.
    """
    D = isotropic(metal.youngs_MPa, metal.poisson)
    weight = el.w * (radius + el.points[..., 1])
    strain = mode_strains(el, radius, modes)
    moved = movements(el, modes)
    density = TONNE_PER_MM3 * metal.density_kg_m3
    return (
        np.einsum("eqsm,st,eqtm,eq->m", strain, D, strain, weight, optimize=True),
        density * np.einsum("eqim,eqim,eq->m", moved, moved, weight, optimize=True),
    )


def mode_strains(el: Elements, radius: float, modes: Sequence[Mode]) -> Floats:
    """Amplitudes (e, q, s, m) of the strains of every mode, in the order xx yy zz yz zx xy."""
    still, by_waves = strains(el, radius, _shapes(modes))
    return np.asarray(still + by_waves * np.array([mode.waves for mode in modes]))


def movements(el: Elements, modes: Sequence[Mode]) -> Floats:
    """Amplitudes (e, q, i, m) of the movement of every mode."""
    return np.einsum("qa,eaim->eqim", el.N, _shapes(modes)[el.triangles], optimize=True)


def _shapes(modes: Sequence[Mode]) -> Floats:
    return np.stack([mode.form for mode in modes], axis=-1)


def _kinds(waves: int, shapes: Floats, el: Elements, radius: float) -> list[Mode]:
    """The first of each kind of some shapes (m, n, 3), the slowest of which comes first."""
    found: dict[Kind, Mode] = {}
    for shape in shapes:
        moved = np.einsum("qa,eai->eqi", el.N, shape[el.triangles], optimize=True)
        weight = el.w * (radius + el.points[..., 1])
        aside, outward, around = np.einsum("eqi,eq->i", moved**2, weight)
        kind = Kind.SIDEWAYS if aside > outward + around else Kind.IN_PLANE
        found.setdefault(kind, Mode(waves, kind, shape))
    return [found[kind] for kind in Kind if kind in found]
