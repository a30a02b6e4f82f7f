"""Cases on the ring: amplitudes from loads, and displacement and stress anywhere around it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from rimfea.arrays import Bools, Floats
from rimfea.brief import brief
from rimfea.elastic import patches
from rimfea.elastic.discrete import Held, held, pulls
from rimfea.elastic.field import Evidence
from rimfea.elastic.loads import Load, Push, SpokeTension
from rimfea.elastic.ring import STILL, Column, Ring, amplitudes, freed
from rimfea.errors import LoadError
from rimfea.fem.recover import estimate
from rimfea.fem.revolution import COSINE, isotropic, strains

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from scipy.sparse import csr_array

    Complex = NDArray[np.complex128]

ALONG_COSINE = True, True, False  # the components of displacement
ASSUMES = (
    "The whole rim in three dimensions on its spokes, linear elastic, without holes and joint."
)


@dataclass(frozen=True)
class RingField:
    """The answer of the ring to loads that act together: amplitudes (h, l) on its columns, and
    the change of every spoke's tension (j,) in N under those that are not spoke tension itself.
    """

    ring: Ring
    amplitudes: Complex
    tension_change: Floats
    unbalanced: float

    __repr__ = brief

    @cached_property
    def weights(self) -> Complex:
        """Weights (h, m) of the basis."""
        return self.ring.weights(self.amplitudes)

    @property
    def assumes(self) -> str:
        """What the model leaves out, in words."""
        return ASSUMES

    def without_top_quarter(self) -> RingField:
        """The same field without the highest quarter of its harmonics."""
        kept = self.ring.n <= 0.75 * self.ring.n[-1]
        return replace(self, amplitudes=np.where(kept[:, None], self.amplitudes, 0.0))

    def sums(self, theta: Floats) -> tuple[Complex, Complex]:
        """Σ c_n e^{inθ} and Σ n c_n e^{inθ} (m, t) for the basis, at angles (t,)."""
        n, angles = self.ring.n, np.asarray(theta, dtype=np.float64).tobytes()
        if angles not in self._summed:
            wave = _waves(len(n), angles)
            self._summed[angles] = (self.weights.T @ wave, (self.weights * n[:, None]).T @ wave)
        return self._summed[angles]

    @cached_property
    def _summed(self) -> dict[bytes, tuple[Complex, Complex]]:
        """Sums by their angles: several cases ask for the same."""
        return {}

    def displacement_at(self, theta: float) -> Floats:
        """Displacement (n, 3) of the section at angle θ, mm."""
        C0, _ = self.sums(np.array([theta]))
        basis = self.ring.harmonics.basis
        even, odd = basis @ C0[:, 0].real, basis @ C0[:, 0].imag
        return np.column_stack([even[0::3], even[1::3], odd[2::3]])

    def path(self, node: int, theta: Floats) -> Floats:
        """Displacement (t, 3) of one node of the section at angles θ (t,), mm."""
        C0, _ = self.sums(theta)
        x, y, z = (self.ring.harmonics.basis[3 * node + i] @ C0 for i in range(3))
        return np.column_stack([x.real, y.real, z.imag])

    def stress_at(self, theta: float) -> Floats:
        """Smooth nodal stress (n, 6) of the section at angle θ, MPa."""
        return self._recovered(theta)[0]

    def everywhere(self, theta: Floats) -> tuple[Floats, Floats]:
        """Displacement (t, n, 3) in mm and smooth nodal stress (t, n, 6) in MPa at angles θ (t,).

        What :meth:`displacement_at` and :meth:`stress_at` find at one angle, for many in less time:
        the stress of every vector of the basis is recovered once, and then only summed.
        """
        ring, (C0, C1) = self.ring, self.sums(theta)
        basis = ring.harmonics.basis.reshape(len(ring.mesh.nodes), 3, -1)
        D = isotropic(ring.metal.youngs_MPa, ring.metal.poisson)
        first, second = (
            _smooth(ring.recovery, D, part) for part in strains(ring.sampled, ring.radius, basis)
        )
        stress = _at_angles(first, C0, COSINE) + _at_angles(second, C1, COSINE)
        return _at_angles(basis, C0, ALONG_COSINE), stress

    @cached_property
    def evidence(self) -> Evidence:
        """How far the equations, the balance of forces and the mesh can be trusted."""
        smooth, rough = self._recovered(0.0)
        ring = self.ring
        C = np.asarray(np.linalg.inv(isotropic(ring.metal.youngs_MPa, ring.metal.poisson)))
        error = estimate(ring.sampled, rough, smooth, C).relative
        return Evidence(ring.harmonics.error, self.unbalanced, error)

    def _recovered(self, theta: float) -> tuple[Floats, Floats]:
        """Stress (n, 6) in the nodes and (e, q, 6) in the elements."""
        ring = self.ring
        C0, C1 = self.sums(np.array([theta]))
        basis = ring.harmonics.basis
        fields = np.hstack([basis @ C.view(np.float64) for C in (C0, C1)])
        first, second = strains(ring.sampled, ring.radius, fields.reshape(-1, 3, 4))
        cosine = first[..., 0] + second[..., 2]
        sine = first[..., 1] + second[..., 3]
        D = isotropic(ring.metal.youngs_MPa, ring.metal.poisson)
        rough = np.where(COSINE, cosine, sine) @ D
        return np.asarray(ring.recovery @ rough.reshape(-1, 6)), rough


def _smooth(recovery: csr_array, D: Floats, strain: Floats) -> Floats:
    """Nodal stress (n, 6, m) from the strain (e, q, 6, m) of fields m."""
    e, q, s, m = strain.shape
    smooth = np.asarray(recovery @ strain.reshape(e * q, s * m))
    return np.einsum("st,ntm->nsm", D, smooth.reshape(-1, s, m), optimize=True)


def _at_angles(parts: Floats, C: Complex, cosine: Sequence[bool] | Bools) -> Floats:
    """Components (t, n, s) of parts (n, s, m) with weights (m, t): which go with cos nθ."""
    weights = (C.real if even else C.imag for even in cosine)
    return np.stack([parts[:, s].dot(w).T for s, w in enumerate(weights)], axis=-1)


@lru_cache(maxsize=32)
def _waves(harmonics: int, angles: bytes) -> Complex:
    """e^{inθ} (h, t), kept because every case of a rim is looked at from the same angles."""
    return np.exp(1j * np.outer(np.arange(harmonics), np.frombuffer(angles)))


def solve_loads(ring: Ring, together: Sequence[Sequence[Load]]) -> tuple[RingField, ...]:
    """One field for each set of loads; the spokes carry all loads but their own tension."""
    outside = [_summed(ring, loads, tension=False) for loads in together]
    return tuple(
        RingField(
            ring,
            answer.amplitudes + freed(ring, _summed(ring, loads, tension=True)),
            answer.tension_change,
            _unbalanced(ring, A, answer),
        )
        for loads, A, answer in zip(together, outside, held(ring, outside), strict=True)
    )


def turned_fields(ring: Ring, load: Load, angles: Floats) -> tuple[RingField, ...]:
    """One field for each of the angles (k,) to which a load, not spoke tension, is turned."""
    once = load_amplitudes(ring, load)
    outside = [once * patches.turned(ring.n, angle)[:, None] for angle in angles]
    return tuple(
        RingField(ring, answer.amplitudes, answer.tension_change, _unbalanced(ring, A, answer))
        for A, answer in zip(outside, held(ring, outside), strict=True)
    )


def _summed(ring: Ring, loads: Sequence[Load], *, tension: bool) -> Complex:
    A = np.zeros((len(ring.n), len(ring.columns)), dtype=np.complex128)
    for load in loads:
        if isinstance(load, SpokeTension) == tension:
            A += load_amplitudes(ring, load)
    return A


def stiffness(field: RingField, load: Load) -> float:
    """Force by displacement (N/mm) of ``field`` where ``load`` meets the rim, its mean over the
    patch weighted by the load itself: F²/2 of it is the energy that the load has done.
    """
    return float(load.size**2 / work(load_amplitudes(field.ring, load), field))


def work(amplitudes: Complex, field: RingField) -> float:
    """What loads of amplitudes (h, l) that come to a place do on the movement of a field, N mm."""
    ring = field.ring
    A = amplitudes[:, :-STILL]
    d = np.einsum("nlk,nk->nl", ring.seen, field.amplitudes)
    around = np.where(ring.n == 0, 2 * np.pi, np.pi)
    return float((around[:, None] * (A.conj() * d).real).sum())


def load_amplitudes(ring: Ring, load: Load) -> Complex:
    """Amplitudes (h, l) of one load."""
    if isinstance(load, SpokeTension):
        spokes = ring.spokes
        force = spokes.direction * spokes.tension[:, None]
        return pulls(ring, force * (load.tension_N / spokes.tension.max()))
    A = np.zeros((len(ring.n), len(ring.columns)), dtype=np.complex128)
    for push in load.pushes(ring.inner_width):
        column = Column(push.place, push.direction)
        A += amplitudes(ring, {column: push.amount * _spread(ring, push)})
    return A


def columns_of(load: Load) -> set[Column]:
    """The columns of a ring that a load needs besides the seat's and those alike all around."""
    return {
        Column(push.place, push.direction)
        for push in load.pushes(0.0)
        if push.patch_mm and push.amount
    }


def _spread(ring: Ring, push: Push) -> Floats:
    if push.patch_mm is None:
        return np.where(ring.n == 0, 1.0, 0.0)
    half_angle = push.patch_mm / 2 / ring.radius_at(push.place)
    if half_angle > np.pi:
        raise LoadError(f"a load over {push.patch_mm:g} mm is longer than the rim goes round")
    return patches.smooth(ring.n, half_angle)


def _unbalanced(ring: Ring, A: Complex, answer: Held) -> float:
    """Force left over between the loads and the spokes' reactions, relative to the loads."""
    pull = -np.einsum("jab,jb->ja", ring.spokes.tensors, answer.displacement)
    reaction = pulls(ring, pull)
    size = np.abs(resultant(ring, A)).max() + np.abs(pull).max()
    return float(np.abs(resultant(ring, A + reaction)).max() / size) if size > 0 else 0.0


def resultant(ring: Ring, A: Complex) -> Floats:
    """Force (3,) along the axle, up (θ = 0) and sideways of amplitudes (h, l): harmonics 0, 1.

    Loads that are alike all around have none.
    """
    moving = ring.columns[:-STILL]
    x, y, z = (
        A[:, [k for k, column in enumerate(moving) if column.direction == i]].sum(axis=1)
        for i in range(3)
    )
    in_plane = y[1] - z[1]
    return np.array([2 * np.pi * x[0].real, np.pi * in_plane.real, -np.pi * in_plane.imag])
