"""A closed ring of straight lines and true circular arcs, every edge with a name.

An edge runs from one corner to the next. Its *bulge* is tan(sweep / 4) of its arc: 0 for a
straight line, 1 for a half circle, positive when the arc turns left on the way (the notation
of DXF polylines). Formulas hold for many edges at once; ``t`` runs from 0 to 1 along an edge,
in equal lengths of line or arc.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimfea.arrays import Floats, Ints
from rimfea.errors import OutlineError

FINE_SWEEP, FINE_RISE_MM = np.radians(3.0), 0.001
SLIGHT = 1e-4  # sweep (radians) of an arc that is as good as a parabola
GAUSS_POINTS, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(16)


@dataclass(frozen=True)
class Ring:
    """Corners (m, 2) in mm, bulge (m,) and name (m) of the edge that leaves each corner."""

    corners: Floats
    bulge: Floats
    labels: tuple[str, ...]

    def __repr__(self) -> str:
        return f"<Ring of {len(self.labels)} edges>"

    def __post_init__(self) -> None:
        m = len(self.labels)
        if m < 2 or self.corners.shape != (m, 2) or self.bulge.shape != (m,):
            raise OutlineError("a ring needs at least two corners, a bulge and a label for each")
        if not (np.isfinite(self.corners).all() and np.isfinite(self.bulge).all()):
            raise OutlineError("a ring has a coordinate that is not a finite number")
        if (chord_lengths(self) < 1e-9).any():
            raise OutlineError("a ring has two corners in the same place, one after the other")


def chord_lengths(ring: Ring) -> Floats:
    """Straight distance (m,) from each corner to the next."""
    return np.asarray(np.linalg.norm(_ends(ring) - ring.corners, axis=1))


def edge_lengths(ring: Ring) -> Floats:
    """Length (m,) of each edge along its line or arc, mm."""
    half_sweep = 2 * np.arctan(ring.bulge)
    return chord_lengths(ring) / np.sinc(half_sweep / np.pi)


def arc_radii(ring: Ring) -> Floats:
    """Radius (m,) of each edge, infinite for a straight one, mm."""
    b = np.abs(ring.bulge)
    with np.errstate(divide="ignore"):
        return np.asarray(chord_lengths(ring) * (1 + b**2) / (4 * b))


def points_at(ring: Ring, edge: Ints, t: Floats) -> Floats:
    """Points (p, 2) on the true edges, at fraction ``t`` (p,) of edge ``edge`` (p,)."""
    start, chord, sweep = ring.corners[edge], (_ends(ring) - ring.corners)[edge], _sweep(ring)[edge]
    # A chord of the arc from its start to t: its length over the whole chord, and its turn.
    along = t * np.sinc(t * sweep / (2 * np.pi)) / np.sinc(sweep / (2 * np.pi))
    return start + along[:, None] * _turned(chord, (t - 1) * sweep / 2)


def normals_at(ring: Ring, edge: Ints, t: Floats) -> Floats:
    """Unit normals (p, 2) pointing out of the metal, which lies to the left of every edge."""
    chord, sweep = (_ends(ring) - ring.corners)[edge], _sweep(ring)[edge]
    tangent = _turned(chord, (t - 0.5) * sweep)
    outward = np.column_stack([tangent[:, 1], -tangent[:, 0]])
    return np.asarray(outward / np.linalg.norm(outward, axis=1)[:, None])


def signed_area(ring: Ring) -> float:
    """Area enclosed, mm²; negative for a clockwise ring: of the polygon through the corners, and
    c²/8 · (θ − sin θ) / sin²(θ/2) between each chord c and its arc of sweep θ.
    """
    start, end, sweep = ring.corners, _ends(ring), _sweep(ring)
    triangles = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    bent, arcs = 2 / 3 * sweep, np.abs(sweep) > SLIGHT
    bent[arcs] = (sweep[arcs] - np.sin(sweep[arcs])) / np.sin(sweep[arcs] / 2) ** 2
    return float((triangles / 2 + ((end - start) ** 2).sum(axis=1) / 8 * bent).sum())


def signed_moments(ring: Ring) -> Floats:
    """Contour integrals of 1, x, y, x², y², xy over the area enclosed (Green), exact on arcs.

    Returns (6,), in mm² to mm⁴; negative for a clockwise ring. Gauss quadrature of sixteen points
    an edge meets the closed form of a circular arc to round-off.
    """
    m = len(ring.labels)
    t = np.tile((GAUSS_POINTS + 1) / 2, m)
    edge = np.repeat(np.arange(m), len(GAUSS_POINTS))
    x, y = points_at(ring, edge, t).T
    n = normals_at(ring, edge, t)
    ds = np.tile(GAUSS_WEIGHTS / 2, m) * edge_lengths(ring)[edge]
    n_x, n_y = n.T
    return np.array(
        [
            ((x * n_x + y * n_y) / 2 * ds).sum(),
            (x**2 / 2 * n_x * ds).sum(),
            (y**2 / 2 * n_y * ds).sum(),
            (x**3 / 3 * n_x * ds).sum(),
            (y**3 / 3 * n_y * ds).sum(),
            (x**2 * y / 2 * n_x * ds).sum(),
        ]
    )


def turned_over(ring: Ring) -> Ring:
    """The same ring walked the other way round, every edge keeping its name."""
    corners = np.roll(ring.corners[::-1], 1, axis=0)
    return Ring(corners, -ring.bulge[::-1], ring.labels[::-1])


def relabelled(ring: Ring, labels: tuple[str, ...]) -> Ring:
    """The same ring with other names on its edges."""
    return replace(ring, labels=labels)


def subdivided(ring: Ring, pieces: Ints) -> tuple[Ring, Ints, Floats]:
    """Each edge cut into ``pieces`` (m,) equal parts: the finer ring, and for each of its
    corners the edge of ``ring`` it lies on and the fraction along it.
    """
    edge = np.repeat(np.arange(len(pieces)), pieces)
    first = np.cumsum(pieces) - pieces
    t = (np.arange(len(edge)) - first[edge]) / pieces[edge]
    bulge = np.tan(np.arctan(ring.bulge) / pieces)[edge]
    labels = tuple(ring.labels[k] for k in edge)
    return Ring(points_at(ring, edge, t), bulge, labels), edge, t


def cut_every(
    ring: Ring, *, length: float = np.inf, sweep: float = np.inf, rise: float = np.inf
) -> Ints:
    """How many pieces (m,) each edge needs so that none is longer than ``length`` (mm), turns by
    more than ``sweep`` (radians) or rises above its chord by more than ``rise`` (mm).
    """
    lengths = edge_lengths(ring)
    wanted = np.maximum(lengths / length, np.abs(_sweep(ring)) / sweep)
    if rise < np.inf:  # a piece of length c on a radius R rises by c² / 8R
        wanted = np.maximum(wanted, lengths / np.sqrt(8 * rise * arc_radii(ring)))
    return np.maximum(1, np.ceil(wanted - 1e-9)).astype(np.int64)


def chorded(ring: Ring) -> Ring:
    """The ring of chords that stands for its arcs where those need not be exact: in pieces of
    three degrees, and no further from the arc than a thousandth of a mm.
    """
    return subdivided(ring, cut_every(ring, sweep=FINE_SWEEP, rise=FINE_RISE_MM))[0]


def _ends(ring: Ring) -> Floats:
    return np.concatenate([ring.corners[1:], ring.corners[:1]])


def _sweep(ring: Ring) -> Floats:
    return np.asarray(4 * np.arctan(ring.bulge))


def _turned(vectors: Floats, angle: Floats) -> Floats:
    c, s = np.cos(angle), np.sin(angle)
    return np.column_stack(
        [
            c * vectors[:, 0] - s * vectors[:, 1],
            s * vectors[:, 0] + c * vectors[:, 1],
        ]
    )
