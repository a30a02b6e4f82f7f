"""Linearised stress on the cuts all around a ring, without a field of stress in between.

Stress is linear in the weights of the ring's basis, so membrane and bending of every basis
vector on every cut are found once; at any angle they are then only summed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse

from rimfea.arrays import Bools, Floats
from rimfea.elastic.ring import Ring
from rimfea.elastic.ring_field import RingField
from rimfea.fem.elements import Elements
from rimfea.fem.revolution import COSINE, isotropic, strains_of
from rimfea.stress.cuts import Cuts, Linearised, across_cuts

if TYPE_CHECKING:
    from scipy.sparse import csr_array


@dataclass(frozen=True)
class Around:
    """The two parts of the stress S0 + n S1 of every basis vector on every cut, membrane of all
    cuts before bending: ``even`` (2, 2c·4, m) holds the components that go with cos nθ, ``odd``
    (2, 2c·2, m) those that go with sin nθ.
    """

    even: Floats
    odd: Floats

    def picked(self, which: Bools) -> Around:
        """On some of the cuts, marked in ``which`` (c,)."""
        both = np.concatenate([which, which])
        even, odd = (
            part.reshape(2, len(both), -1, part.shape[-1])[:, both].reshape(2, -1, part.shape[-1])
            for part in (self.even, self.odd)
        )
        return Around(even, odd)


def around(across: Cuts, ring: Ring) -> Around:
    """Membrane and bending on every cut of every vector of the ring's basis."""
    basis = ring.harmonics.basis
    nodes, m = len(ring.mesh.nodes), basis.shape[1]
    onto = across_cuts(across, nodes) @ ring.recovery
    value, *slopes = (
        np.asarray((onto @ sampled) @ basis.reshape(nodes, -1)).reshape(-1, 3, m)
        for sampled in _sampling(ring.sampled, ring.radius, nodes)
    )
    D = isotropic(ring.metal.youngs_MPa, ring.metal.poisson)
    both = np.stack(
        [
            np.einsum("st,ctm->csm", D, strain, optimize=True)
            for strain in strains_of(value, *slopes)
        ]
    )
    even, odd = (both[:, :, which].reshape(2, -1, m) for which in (COSINE, ~COSINE))
    return Around(even, odd)


def _sampling(el: Elements, radius: float, nodes: int) -> tuple[csr_array, ...]:
    """The matrices (e·q, n) from nodal fields to the sampling points: of a field by the radius, and
    of its slopes across and outward. What a cut averages is then read off the nodes near it alone.
    """
    e, q, a = el.dN.shape[:3]
    column, start = np.repeat(el.triangles, q, axis=0).ravel(), np.arange(e * q + 1) * a
    by_radius = el.N / (radius + el.points[..., 1])[..., None]
    return tuple(
        sparse.csr_array((values.ravel(), column, start), shape=(e * q, nodes))
        for values in (by_radius, el.dN[..., 0], el.dN[..., 1])
    )


def linearised_around(parts: Around, field: RingField, theta: Floats) -> Linearised:
    """Membrane and bending (c, t, 6) of a field at angles θ (t,)."""
    C0, C1 = field.sums(theta)
    even = parts.even[0] @ C0.real + parts.even[1] @ C1.real
    odd = parts.odd[0] @ C0.imag + parts.odd[1] @ C1.imag
    cuts = len(even) // (2 * COSINE.sum())
    stress = np.empty((2, cuts, len(theta), 6))
    for values, which in ((even, COSINE), (odd, ~COSINE)):
        stress[..., which] = _by_cut(values, which, cuts)
    return Linearised(stress[0], stress[1])


def _by_cut(values: Floats, which: Bools, cuts: int) -> Floats:
    return values.reshape(2, cuts, int(which.sum()), -1).swapaxes(2, 3)
