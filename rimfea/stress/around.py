"""Linearised stress on the cuts all around a ring, without a field of stress in between.

Stress is linear in the weights of the ring's basis, so membrane and bending of every basis
vector on every cut are found once; at any angle they are then only summed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.elastic.ring import Ring
from rimfea.elastic.ring_field import RingField
from rimfea.fem.elements import Elements
from rimfea.fem.revolution import COSINE, isotropic, strains
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
    fields = basis.reshape(-1, 3, basis.shape[1])
    onto = across_cuts(across, len(ring.mesh.nodes)) @ ring.recovery
    near, onto = _read(ring.sampled, onto)
    D = isotropic(ring.metal.youngs_MPa, ring.metal.poisson)
    parts = []
    for strain in strains(near, ring.radius, fields):
        e, q, s, m = strain.shape
        averaged = np.asarray(onto @ strain.reshape(e * q, s * m))
        parts.append(np.einsum("st,ctm->csm", D, averaged.reshape(-1, s, m), optimize=True))
    both = np.stack(parts)
    even, odd = (both[:, :, which].reshape(2, -1, m) for which in (COSINE, ~COSINE))
    return Around(even, odd)


def _read(sampled: Elements, onto: csr_array) -> tuple[Elements, csr_array]:
    """Only those of the elements that the matrix (2c, e·q) onto the cuts reads, and that matrix."""
    q = sampled.w.shape[1]
    read = np.unique(onto.indices // q)
    columns = (read[:, None] * q + np.arange(q)).ravel()
    triangles, points, dN, w = (
        each[read] for each in (sampled.triangles, sampled.points, sampled.dN, sampled.w)
    )
    near = replace(sampled, triangles=triangles, points=points, dN=dN, w=w)
    return near, onto[:, columns]


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
