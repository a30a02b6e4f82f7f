"""Linearised stress on the cuts all around a ring, without a field of stress in between.

Stress is linear in the weights of the ring's basis, so membrane and bending of every basis
vector on every cut are found once; at any angle they are then only summed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.elastic.ring import Ring
from rimfea.elastic.ring_field import RingField
from rimfea.fem.revolution import COSINE, isotropic, strains
from rimfea.stress.cuts import Cuts, Linearised, across_cuts


@dataclass(frozen=True)
class Around:
    """The two parts (2c·6, m) of the stress S0 + n S1 of every basis vector: membrane of all
    cuts, then bending, six components each.
    """

    first: Floats
    second: Floats


def around(across: Cuts, ring: Ring) -> Around:
    """Membrane and bending on every cut of every vector of the ring's basis."""
    onto = across_cuts(across, len(ring.mesh.nodes)) @ ring.recovery
    D = isotropic(ring.metal.youngs_MPa, ring.metal.poisson)
    basis = ring.harmonics.basis
    parts = []
    for strain in strains(ring.sampled, ring.radius, basis.reshape(-1, 3, basis.shape[1])):
        e, q, s, m = strain.shape
        averaged = np.asarray(onto @ strain.reshape(e * q, s * m))
        stress = np.einsum("st,ctm->csm", D, averaged.reshape(-1, s, m), optimize=True)
        parts.append(stress.reshape(-1, m))
    return Around(parts[0], parts[1])


def linearised_around(parts: Around, field: RingField, theta: Floats) -> Linearised:
    """Membrane and bending (c, t, 6) of a field at angles θ (t,)."""
    C0, C1 = field.sums(theta)
    even = parts.first @ C0.real + parts.second @ C1.real
    odd = parts.first @ C0.imag + parts.second @ C1.imag
    shape = (2, -1, 6, len(theta))
    stress = np.where(COSINE[:, None], even.reshape(shape), odd.reshape(shape))
    membrane, bending = stress.transpose(0, 1, 3, 2)
    return Linearised(membrane, bending)
