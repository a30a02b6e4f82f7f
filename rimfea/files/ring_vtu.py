"""Writing the whole rim, swept around its axle, as a VTK XML unstructured grid (.vtu).

Six-node triangles of the section become wedges of eighteen nodes (the biquadratic-quadratic wedge
of "VTK File Formats", Kitware, cell type 32) in this order: the corners of the triangle at the
smaller angle and of that at the larger, the middles of the sides of the one and of the other, and
the six nodes of the triangle halfway between. The wedge of fifteen leaves out the last three of
these, and meshio has none.
"""

from __future__ import annotations

from pathlib import Path

import meshio
import numpy as np
import scipy
from numpy.typing import NDArray

from rimfea.arrays import Floats, Ints
from rimfea.elastic.field import Field
from rimfea.elastic.ring_field import RingField
from rimfea.errors import LoadError
from rimfea.files.mesh_vtu import on_nodes, vtu_text
from rimfea.files.whole_file import file_errors, write_file
from rimfea.mesh.mesh import Mesh
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer

# How long a wedge is along the rim: a share of the load's patch at the load, of the way to the load
# beside it, and far away the gap between two spokes, for a wedge bends.
OF_PATCH, OF_WAY = 0.2, 0.2
# Single precision and no finer than this, by powers of two: a third less to send.
PLACE_MM, MOVE_MM, STRESS_MPA = 2.0**-13, 2.0**-16, 2.0**-8
FINE = 100  # angles to a gap at which that length is summed
CLOSEST_MM = 1.0  # a spoke so near to the load or to the worst place is passed over


def write_ring_vtu(
    path: str | Path, analysis: Analysis, answer: Answer, *, overwrite: bool = False
) -> None:
    """Write one case of a rim in three dimensions: its mesh, displacement and stress all around.

    The axle lies along x through 0, and the load meets the rim where y is largest. On the nodes
    stand ``displacement_mm`` in those axes of the growing loads, and of all loads
    ``stress_xx_MPa`` to ``stress_xy_MPa``, in the axes of the section there (x lateral, y outward,
    z along the rim), and ``von_mises_MPa``; on the wedges the integer ``wall``, which field data
    name as they do for :func:`rimfea.write_vtu`. Places are rounded to 0.1 µm, displacements to
    0.01 µm, stresses to 0.004 MPa; wedges are longer away from the load. The file of a usual mesh
    is 25 to 50 MB.

    Raises :class:`FileError` if the file is already there, unless ``overwrite``, or cannot be
    written; :class:`LoadError` if the answer is a slice's; ValueError if it is another rim's.
    """
    if not any(answer is each for each in analysis.answers):
        raise ValueError(f"'{answer.name}' is an answer of another rim")
    if not isinstance(answer.field, RingField) or isinstance(answer.standing, Field):
        raise LoadError("a plane slice has no ring: analyse the rim on its spokes")
    ends = angles(answer, answer.field)
    grid = _grid(analysis.mesh, answer.field, answer.standing, ends)
    with file_errors(path, "written"):
        text = vtu_text(grid, analysis.mesh.names)
    write_file(path, text, overwrite=overwrite)


def angles(answer: Answer, field: RingField) -> Floats:
    """Rising angles (t,), once around, at which wedges meet: the load, the worst place and the
    spokes are among them.
    """
    radius, spokes = field.ring.radius, field.ring.spokes.angle
    gap = 2 * np.pi * radius / len(spokes)
    shortest = min(OF_PATCH * min(answer.case.loads[0].patches_mm, default=gap), gap)
    stops = _stops(answer.verdict.governing.theta, spokes, CLOSEST_MM / radius)
    theta = np.union1d(np.linspace(stops[0], stops[-1], FINE * len(spokes)), stops)
    length = np.clip(OF_WAY * radius * np.abs(_turned(theta)), shortest, gap)
    # So many wedges.
    passed = scipy.integrate.cumulative_trapezoid(radius / length, theta, initial=0)
    at_stops = passed[np.searchsorted(theta, stops)]
    counts = np.maximum(np.ceil(np.diff(at_stops).round(3)), 1).astype(np.int64)
    shares = np.concatenate([k + np.arange(count) / count for k, count in enumerate(counts)])
    return np.interp(np.interp(shares, np.arange(len(stops)), at_stops), passed, theta)


def wedges(mesh: Mesh, count: int) -> Ints:
    """The nodes (count·e, 18) of wedges swept to so many angles and back to the first: those of
    the section at the first angle, then halfway to the second, at the second, and so on.
    """
    here = 2 * np.arange(count)[:, None, None]
    near, between, far = (
        mesh.triangles + (here + step) % (2 * count) * len(mesh.nodes) for step in range(3)
    )
    parts = near[..., :3], far[..., :3], near[..., 3:], far[..., 3:], between
    return np.concatenate(parts, axis=2).reshape(-1, 18)


def _grid(mesh: Mesh, growing: RingField, standing: RingField | None, ends: Floats) -> meshio.Mesh:
    theta = _halved(ends)
    moved, stress = growing.everywhere(theta)
    if standing is not None:
        stress += standing.everywhere(theta)[1]
    still = np.pad(mesh.nodes, ((0, 0), (0, 1))) + np.array([0.0, growing.ring.radius, 0.0])
    data = on_nodes(_around(moved, theta), stress.reshape(-1, 6))
    fine = {name: MOVE_MM if name.endswith("_mm") else STRESS_MPA for name in data}
    return meshio.Mesh(
        _rounded(_around(still[None], theta), PLACE_MM),
        [("wedge18", wedges(mesh, len(ends)).astype(np.int32))],
        point_data={name: _rounded(values, fine[name]) for name, values in data.items()},
        cell_data={"wall": [np.tile(mesh.triangle_label.astype(np.int32), len(ends))]},
    )


def _halved(ends: Floats) -> Floats:
    """The angles (2t,) with those in the middle between them, the last with the first."""
    following = np.append(ends[1:], ends[0] + 2 * np.pi)
    return np.column_stack([ends, (ends + following) / 2]).ravel()


def _around(vectors: Floats, theta: Floats) -> Floats:
    """Vectors (t or 1, n, 3) in the section's axes as those (t·n, 3) of the rim, at angles (t,)."""
    x, y, z = np.moveaxis(vectors, -1, 0)
    cos, sin = np.cos(theta)[:, None], np.sin(theta)[:, None]
    turned = np.broadcast_arrays(x, y * cos - z * sin, y * sin + z * cos)
    return np.stack(turned, axis=-1).reshape(-1, 3)


def _rounded(values: Floats, step: float) -> NDArray[np.float32]:
    return (np.round(values / step) * step).astype(np.float32)


def _stops(worst: float, spokes: Floats, closest: float) -> Floats:
    """Where wedges have to meet, once around: the first comes again at the end."""
    kept = np.unique([0.0, _turned(worst)])
    apart = np.abs(_turned(spokes[:, None] - kept)).min(axis=1) > closest
    stops = np.sort(np.concatenate([kept, _turned(spokes[apart])]))
    return np.append(stops, stops[0] + 2 * np.pi)


def _turned(angle: Floats | float) -> Floats:
    """The same angle from −π to π."""
    return np.asarray(np.angle(np.exp(1j * np.asarray(angle))))
