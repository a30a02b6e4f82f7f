"""The ring: the whole rim in three dimensions on its spokes, from the section's mesh.

The rim is a body of revolution, so its response to loads on a few fixed places of the section
(the columns: each crown, the nipple seat, the bead seats) is solved once for every harmonic,
with the spokes smeared into a foundation under the nipple seat. A case is then a set of
amplitudes on the columns. Discrete spokes enter the same way: what N real spokes do instead of
the foundation is another load on the seat's columns, found from the ring's own compliance.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from scipy import sparse

from rimfea.alloys import Alloy
from rimfea.arrays import Floats, Ints
from rimfea.brief import brief
from rimfea.elastic.harmonics import Guess, Harmonics, Near, solve_harmonics
from rimfea.elastic.spokes import Spokes
from rimfea.elastic.surfaces import bead_seats, casing_pull, crown, nipple_bearing, tyre_side
from rimfea.errors import LoadError
from rimfea.fem.assemble import vector
from rimfea.fem.elements import Elements, Sides, elements, sides
from rimfea.fem.forms import traction_load
from rimfea.fem.recover import recovery
from rimfea.fem.revolution import hoop_stiffnesses, isotropic, stiffnesses
from rimfea.fem.revolved import Revolved, revolved
from rimfea.fem.shape import THREE_POINTS
from rimfea.mesh.mesh import Mesh

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from scipy.sparse import csc_array, csr_array

    Complex = NDArray[np.complex128]

Bearing: TypeAlias = tuple[float, float] | tuple[float, float, float]

# So much of the foundation stays under a "free" ring that its rigid motions are not singular.
LEFT_OVER = 1e-6
SEAT = (0, 1, 2)
SPOKELESS = {"seen", "released", "sampled", "recovery"}  # do not depend on where the spokes are


@dataclass(frozen=True)
class Column:
    """A unit load on one place of the section: ``place`` and direction 0 1 2 for x y z."""

    place: str
    direction: int


COLUMNS = (
    Column("seat", 0),
    Column("seat", 1),
    Column("seat", 2),
    Column("right crown", 0),
    Column("right crown", 1),
    Column("left crown", 0),
    Column("left crown", 1),
    Column("bead seats", 0),
    Column("bead seats", 1),
    Column("air", 1),
    Column("casing pull", 0),
)
# The last of them are alike all around the rim, in N per radian and unit pressure or pull.
STILL = 2


@dataclass(frozen=True, eq=False)
class Ring:
    """A solved ring: mesh, metal, distance ``radius`` of y = 0 from the axle, spokes, and the
    answers to unit loads on its ``columns``, whose nodal forces are ``F`` (3n, l) but for those
    that are alike all around. The nipples sit at ``seat_radius`` and bear on ``bearing`` mm;
    ``inner_width`` is the width between the faces that the casing pulls apart.
    """

    mesh: Mesh
    metal: Alloy
    radius: float
    spokes: Spokes
    F: Floats
    body: Revolved
    harmonics: Harmonics
    seat_radius: float
    bearing: float
    inner_width: float
    columns: tuple[Column, ...] = COLUMNS

    __repr__ = brief

    @property
    def n(self) -> Ints:
        """The harmonics 0, 1, 2 … (h,)."""
        return self.harmonics.n

    @cached_property
    def seen(self) -> Floats:
        """Mean displacement (h, l, k) of the place of column l under a unit load on column k."""
        return np.einsum(
            "dl,dm,nmk->nlk", self.F, self.harmonics.basis, self.harmonics.weights, optimize=True
        )

    @cached_property
    def released(self) -> Floats:
        """(I − C k)⁻¹ (h, 3, 3) for the compliance C of the seat and the foundation k less the
        share that stays: from the seat's movement on the foundation to that without it.
        """
        k = (1 - LEFT_OVER) * self.spokes.smeared
        return np.asarray(np.linalg.inv(np.eye(3) - self.seen[:, :3, :3] @ k))

    @cached_property
    def at_spokes(self) -> Complex:
        """e^{inθ} (h, j) at every spoke."""
        return np.exp(1j * np.outer(self.n, self.spokes.angle))

    @cached_property
    def sampled(self) -> Elements:
        """The mesh at the points where stress is sampled."""
        return elements(self.mesh.nodes, self.mesh.triangles, THREE_POINTS)

    @cached_property
    def recovery(self) -> csr_array:
        """The matrix from sampled values to the nodes."""
        return recovery(self.mesh.nodes, self.sampled)

    def turned(self, spacings: float) -> Ring:
        """The same with θ = 0 so many spacings of spokes further on."""
        if spacings == 0:
            return self
        laced = self.spokes
        step = 2 * np.pi / len(laced.angle)
        other = replace(self, spokes=replace(laced, angle=laced.angle - spacings * step))
        for name in SPOKELESS:
            vars(other)[name] = getattr(self, name)
        return other

    def radius_at(self, place: str) -> float:
        """How far a place of the section is from the axle, mm."""
        height = float(self.mesh.nodes[:, 1].max()) if place.endswith("crown") else 0.0
        return self.radius + height

    def weights(self, amplitudes: Complex) -> Complex:
        """Weights (h, m) of the basis under amplitudes (h, l) on the columns."""
        return times(self.harmonics.weights, amplitudes)


def solve_ring(
    mesh: Mesh,
    metal: Alloy,
    radius: float,
    spokes: Spokes,
    bearing: Bearing,
    highest: int,
    columns: tuple[Column, ...] = COLUMNS,
    guess: Guess | Near | None = None,
) -> Ring:
    """Solve the ring on its smeared spokes for harmonics 0 … ``highest``.

    ``columns`` are those that the cases need, see :func:`with_seat`: fewer are sooner solved.
    ``guess`` gives near answers, say from what was kept of a ring much like this one.

    ``bearing`` is the diameter of the spoke hole, that of what bears on its edge, and, where it is
    not in the middle, how far to the right of that it lies, mm. The hoop
    compression of the spokes' tension softens the ring, as a geometric stiffness.
    """
    el = elements(mesh.nodes, mesh.triangles)
    F, still = _unit_loads(mesh, bearing, columns), _still_loads(mesh, radius)
    soft = hoop_stress(spokes, float(el.w.sum()))
    blocks = tuple(
        K + soft * G
        for K, G in zip(
            stiffnesses(el, isotropic(metal.youngs_MPa, metal.poisson), radius),
            hoop_stiffnesses(el, radius),
            strict=True,
        )
    )
    held = foundation(F, spokes.smeared)
    body = revolved(mesh.triangles, blocks, len(mesh.nodes), held)
    harmonics = solve_harmonics(body, F, still, highest, guess=guess)
    seat = nipple_bearing(mesh, *bearing)
    y = float(mesh.nodes[seat[:, 2], 1].mean())
    return Ring(
        mesh=mesh,
        metal=metal,
        radius=radius,
        spokes=spokes,
        F=F,
        body=body,
        harmonics=harmonics,
        seat_radius=radius + y,
        bearing=bearing[1],
        inner_width=_inner_width(mesh),
        columns=columns,
    )


def hoop_stress(spokes: Spokes, area: float) -> float:
    """Hoop stress (MPa, negative) of the spokes' tension in a thin ring: Σ T e_y / 2π over the
    area (mm²).
    """
    return float((spokes.tension * spokes.direction[:, 1]).sum() / (2 * np.pi * area))


def with_seat(wanted: Iterable[Column]) -> tuple[Column, ...]:
    """The columns wanted, with the seat's in front and those alike all around at the end, which
    every ring has.
    """
    between = set(wanted)
    kept = [column for column in COLUMNS[len(SEAT) : -STILL] if column in between]
    return (*COLUMNS[: len(SEAT)], *kept, *COLUMNS[-STILL:])


def _unit_loads(mesh: Mesh, bearing: Bearing, columns: tuple[Column, ...]) -> Floats:
    """Nodal forces (3n, l) of a unit load on every column, evenly over its faces."""
    faces = {
        "seat": nipple_bearing(mesh, *bearing),
        "right crown": crown(mesh, right=True),
        "left crown": crown(mesh, right=False),
        "bead seats": bead_seats(mesh),
    }
    F = np.zeros((3 * len(mesh.nodes), len(columns) - STILL))
    for k, column in enumerate(columns[:-STILL]):
        side = sides(mesh.nodes, faces[column.place])
        t = np.full((*side.w.shape, 1), 1 / side.w.sum())
        share = vector(side.sides, traction_load(side, t), side.nodes)
        F[column.direction :: 3, k] = share
    return F


def _still_loads(mesh: Mesh, radius: float) -> Floats:
    """Nodal forces (3n, 2) per radian of unit air pressure, and of a unit pull per mm of rim of
    the casing outward on either side.
    """
    F = np.zeros((3 * len(mesh.nodes), STILL))
    air = sides(mesh.nodes, tyre_side(mesh))
    push = -air.normal * (radius + air.points[..., 1:])
    F.reshape(-1, 3, STILL)[:, :2, 0] = _nodal(air, push)
    faces = {right: sides(mesh.nodes, casing_pull(mesh, right=right)) for right in (True, False)}
    # At one radius for both, so that the two pulls balance whatever the triangles.
    r = radius + float(np.mean([face.points[..., 1].mean() for face in faces.values()]))
    for right, face in faces.items():
        outward = np.array([1.0 if right else -1.0, 0.0])
        pull = np.broadcast_to(outward * r / face.w.sum(), face.points.shape)
        F.reshape(-1, 3, STILL)[:, :2, 1] += _nodal(face, pull)
    return F


def _inner_width(mesh: Mesh) -> float:
    """Mean distance between the faces on which the casing pulls."""
    right, left = (
        float(mesh.nodes[casing_pull(mesh, right=side)[:, 2], 0].mean()) for side in (True, False)
    )
    return right - left


def _nodal(side: Sides, t: Floats) -> Floats:
    """Nodal forces (n, 2) of a traction (f, q, 2)."""
    return vector(side.sides, traction_load(side, t), side.nodes).reshape(-1, 2)


def foundation(F: Floats, tensor: Floats) -> csc_array:
    """A a k aᵀ: a foundation (3, 3) per radian acts on the mean displacement of the seat."""
    a = sparse.csc_array(F[:, list(SEAT)])
    return (a @ sparse.csc_array(tensor) @ a.T).tocsc()


def amplitudes(ring: Ring, loads: Mapping[Column, Floats]) -> Complex:
    """Amplitudes (h, l) on all columns from those of some."""
    A = np.zeros((len(ring.n), len(ring.columns)), dtype=np.complex128)
    for column, amplitude in loads.items():
        if not np.any(amplitude):
            continue
        if column not in ring.columns:
            raise LoadError(f"the ring takes no load on {column}")
        # A load around the rim goes with sin nθ in the family in which the others go with cos.
        A[:, ring.columns.index(column)] += (1j if column.direction == 2 else 1.0) * amplitude
    return A


def times(M: Floats, A: Complex) -> Complex:
    """M_n A_n (h, k) for real matrices (h, k, l) and complex vectors (h, l), without a complex
    copy of the matrices.
    """
    parts = np.ascontiguousarray(A).view(np.float64).reshape(*A.shape, 2)
    return np.ascontiguousarray(M @ parts).view(np.complex128)[..., 0]


def freed(ring: Ring, A: Complex) -> Complex:
    """Amplitudes that have, on the ring with its foundation, the effect of ``A`` without it.

    Harmonic for harmonic, the foundation pushes with −k d; pushing back with k d needs the
    seat's displacement d of the free ring, (I − C k) d = d₀ with the compliance C. A share
    :data:`LEFT_OVER` of the foundation stays, so that rigid motions have an answer.
    """
    d = times(ring.released, times(ring.seen[:, :3], A))
    freed_A = A.copy()
    freed_A[:, :3] += (1 - LEFT_OVER) * d @ ring.spokes.smeared.T
    return freed_A
