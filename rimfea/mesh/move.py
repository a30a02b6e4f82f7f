"""A mesh moved along with its outline: no new triangles, so no noise of meshing in a difference.

Every boundary node keeps its fraction of the edge it lies on; the nodes inside follow smoothly.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import SuperLU, splu

from rimfea.arrays import Bools, Floats, Ints
from rimfea.errors import MeshError
from rimfea.geometry.outline import Outline, moments
from rimfea.geometry.ring import Ring, normals_at, points_at
from rimfea.mesh.build import LARGEST_AREA_ERROR
from rimfea.mesh.mesh import Mesh, Quality, smallest_angles

if TYPE_CHECKING:
    from scipy.sparse import csr_array

# A fresh mesh has 25° or more. Down to this a moved one gives loads at first yield within 2 % of a
# fresh one's; a wall that grows by 0.2 mm flattens the triangles under a hook to 17°.
SMALLEST_MOVED_ANGLE = np.radians(15.0)
ON_THE_OUTLINE = 1e-6  # mm


@dataclass(frozen=True)
class Feet:
    """Where points (p,) stand on an outline: ring, edge of that ring, fraction ``t`` along it,
    and how far beside it they were, mm.
    """

    ring: Ints
    edge: Ints
    t: Floats
    beside: Floats


def feet(outline: Outline, points: Floats) -> Feet:
    """The nearest place on the true edges of the outline to each point (p, 2)."""
    rings = [_feet_on(ring, points) for ring in outline.rings]
    edge, t, beside = (np.stack(each) for each in zip(*rings, strict=True))
    nearest, p = beside.argmin(axis=0), np.arange(len(points))
    return Feet(nearest, edge[nearest, p], t[nearest, p], beside[nearest, p])


def standing(outline: Outline, at: Feet) -> Floats:
    """The places (p, 2) on an outline with the same edges."""
    return _on_rings(outline, at, points_at)


def facing(outline: Outline, at: Feet) -> Floats:
    """The unit normals (p, 2) out of the metal at those places."""
    return _on_rings(outline, at, normals_at)


def same_edges(one: Outline, other: Outline) -> bool:
    """Whether both have the same rings of lines and arcs with the same names in the same order."""
    return [_kinds(ring) for ring in one.rings] == [_kinds(ring) for ring in other.rings]


@dataclass(frozen=True)
class Mover:
    """Moves the mesh of one outline onto others with the same edges; what that needs is worked
    out once. Raises :class:`~rimfea.errors.MeshError` for a mesh that is not on the outline.
    """

    outline: Outline
    mesh: Mesh

    def __post_init__(self) -> None:
        if self._feet.beside.max() > ON_THE_OUTLINE:
            raise MeshError("this mesh does not lie on this outline")

    def moved(self, variant: Outline) -> Mesh:
        """The same triangles on another outline.

        Raises :class:`~rimfea.errors.MeshError`, with the reason, where only a fresh mesh will do:
        edges came or went, a triangle is folded or too sharp, the area is missed.
        """
        if not same_edges(self.outline, variant):
            raise MeshError("edges of the outline came or went")
        gone = standing(variant, self._feet) - standing(self.outline, self._feet)
        nodes = self.mesh.nodes + self._spread(gone)
        quality = _quality(variant, nodes, self.mesh)
        return replace(self.mesh, nodes=nodes, quality=quality)

    def ready(self) -> None:
        """Factorise now, and in this thread."""
        _ = self._balance

    @cached_property
    def _boundary(self) -> Ints:
        return np.unique(self.mesh.sides)

    @cached_property
    def _feet(self) -> Feet:
        return feet(self.outline, self.mesh.nodes[self._boundary])

    @cached_property
    def _inside(self) -> Bools:
        """Which nodes (n,) are corners of triangles and not on the boundary."""
        inside = np.zeros(len(self.mesh.nodes), dtype=bool)
        inside[self.mesh.triangles[:, :3]] = True
        inside[self._boundary] = False
        return inside

    @cached_property
    def _balance(self) -> tuple[csr_array, SuperLU]:
        """Rows of Laplace's equation for the corners inside, and their factorisation."""
        rows = _laplacian(self.mesh)[self._inside]
        return rows, splu(rows[:, self._inside].tocsc())

    def _spread(self, at_boundary: Floats) -> Floats:
        """The shift (n, 2) of all nodes: harmonic in the corners, halfway in the middles."""
        shift, triangles = np.zeros_like(self.mesh.nodes), self.mesh.triangles
        shift[self._boundary] = at_boundary
        rows, factor = self._balance
        shift[self._inside] = factor.solve(-(rows @ shift))
        corners = shift[triangles[:, :3]]
        shift[triangles[:, 3:]] = (corners + np.roll(corners, -1, axis=1)) / 2
        shift[self._boundary] = at_boundary
        return shift


def jacobians(nodes: Floats, triangles: Ints) -> Floats:
    """Of six-node triangles det J (e, 6) at their nodes, mm²: positive unless folded.

    At corner a between b and c it is (4 m_ab − 3a − b) × (4 m_ca − 3a − c), in the middle of ab
    (b − a) × (2 (m_bc + m_ca − m_ab) − a − c), m being the middle nodes.
    """
    x = nodes[triangles]
    a, m_ab = x[:, :3], x[:, 3:]
    b, c, m_bc, m_ca = (np.roll(each, -k, axis=1) for each in (a, m_ab) for k in (1, 2))
    corner = _cross(4 * m_ab - 3 * a - b, 4 * m_ca - 3 * a - c)
    middle = _cross(b - a, 2 * (m_bc + m_ca - m_ab) - a - c)
    return np.concatenate([corner, middle], axis=1)


def _quality(outline: Outline, nodes: Floats, mesh: Mesh) -> Quality:
    """The figures of the moved mesh. Cuts move along, and still meet as many triangles.

    det J is quadratic: its mean over a triangle, which has the area 1/2 in ξ and η, is that of
    the three middle nodes.
    """
    det = jacobians(nodes, mesh.triangles)
    if det.min() <= 0:
        raise MeshError("a moved triangle is folded")
    angle = float(smallest_angles(nodes[mesh.triangles[:, :3]]).min())
    if angle < SMALLEST_MOVED_ANGLE:
        raise MeshError(f"the smallest angle of the moved mesh is {np.degrees(angle):.1f}°")
    exact = moments(outline)[0]
    area_error = float(abs(det[:, 3:].sum() / 6 - exact) / exact)
    if area_error > LARGEST_AREA_ERROR:
        raise MeshError(f"the moved mesh misses the area of the outline by {area_error:.1e}")
    return replace(mesh.quality, smallest_angle_deg=float(np.degrees(angle)), area_error=area_error)


def _laplacian(mesh: Mesh) -> csr_array:
    """∫ ∇N_a · ∇N_b (n, n) of the corners: d_a · d_b / 4A, d_a the side opposite corner a."""
    n, triangles = len(mesh.nodes), mesh.triangles[:, :3]
    x = mesh.nodes[triangles]
    d = np.roll(x, -2, axis=1) - np.roll(x, -1, axis=1)
    twice_area = _cross(d[:, 0], d[:, 1])
    blocks = np.einsum("eai,ebi->eab", d, d) / (2 * twice_area[:, None, None])
    row, column = triangles.repeat(3, axis=1).ravel(), np.tile(triangles, 3).ravel()
    return sparse.coo_array((blocks.ravel(), (row, column)), shape=(n, n)).tocsr()


def _feet_on(ring: Ring, points: Floats) -> tuple[Ints, Floats, Floats]:
    """Edge (p,), fraction (p,) and distance (p,) of the nearest place on one ring.

    In the complex plane with an edge from 0 to 1, the centre of an arc of half sweep h lies at
    (1 + i cot h) / 2; the angle seen from there grows along it, by h on either side of its middle.
    """
    p, m = len(points), len(ring.labels)
    start = _complex(ring.corners)
    place = (_complex(points)[:, None] - start) / (np.roll(start, -1) - start)
    h = 2 * np.arctan(ring.bulge)
    curved = h != 0
    centre = (1 + 1j / np.tan(h, where=curved, out=np.ones(m))) / 2
    turned = np.angle(1j * np.sign(h) * (place - centre)) / np.where(curved, 2 * h, 1.0)
    t = np.clip(np.where(curved, turned + 0.5, place.real), 0.0, 1.0)
    on_edge = points_at(ring, np.tile(np.arange(m), p), t.ravel()).reshape(p, m, 2)
    beside = np.linalg.norm(on_edge - points[:, None], axis=2)
    edge = beside.argmin(axis=1)
    return edge, t[np.arange(p), edge], beside[np.arange(p), edge]


def _on_rings(outline: Outline, at: Feet, found: Callable[[Ring, Ints, Floats], Floats]) -> Floats:
    vectors = np.empty((len(at.ring), 2))
    for number, ring in enumerate(outline.rings):
        here = at.ring == number
        vectors[here] = found(ring, at.edge[here], at.t[here])
    return vectors


def _kinds(ring: Ring) -> list[tuple[str, float]]:
    return list(zip(ring.labels, np.sign(ring.bulge).tolist(), strict=True))


def _complex(points: Floats) -> np.ndarray[tuple[int, ...], np.dtype[np.complex128]]:
    return points[..., 0] + 1j * points[..., 1]


def _cross(u: Floats, v: Floats) -> Floats:
    return np.asarray(u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0])
