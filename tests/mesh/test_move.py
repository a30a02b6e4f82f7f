"""A mesh moved along with its outline: exact at the boundary, smooth inside, given up in time."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.errors import MeshError
from rimfea.fem.elements import elements
from rimfea.fem.shape import Rule
from rimfea.geometry.outline import Outline, from_rings, moments
from rimfea.geometry.ring import Ring, normals_at, points_at
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline
from rimfea.mesh.mesh import smallest_angles
from rimfea.mesh.move import Mover, feet, jacobians, same_edges, standing

AT_NODES = Rule(
    np.array([[0, 0], [1, 0], [0, 1], [0.5, 0], [0.5, 0.5], [0, 0.5]], dtype=float), np.ones(6)
)


def box_of(roof=2.0, fillet=0.8, name="roof"):
    """The rounded box of the fixtures with another roof, fillets and name of the roof."""
    outer = [Corner(0, 0, "floor", 1.5), Corner(20, 0, "right", 1.5), Corner(20, 12, name, 1.0),
             Corner(0, 12, "left", 1.0)]  # fmt: skip
    top = 12 - roof
    inner = [Corner(1.5, 2, "floor", fillet), Corner(18.5, 2, "right", fillet),
             Corner(18.5, top, name, fillet), Corner(1.5, top, "left", fillet)]  # fmt: skip
    return Outline(rounded(outer), (rounded(inner),))


def plate(left=4.0):
    """A plate, 12 × 4 mm, with a square hole, 2 mm wide."""
    hole = [(left, 1), (left + 2, 1), (left + 2, 3), (left, 3)]
    return from_rings([(0, 0), (12, 0), (12, 4), (0, 4)], [hole])


def vault(bulge):
    """A block, 10 × 6 mm, under an arc."""
    ends = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 6.0], [0.0, 6.0]])
    return Outline(Ring(ends, np.array([0.0, 0.0, bulge, 0.0]), tuple("abcd")))


@pytest.fixture(scope="module")
def moved_tube(tube):
    base = tube(15.0, 1.0)
    return Mover(base, mesh_outline(base)).moved(tube(15.3, 1.2))


@pytest.fixture(scope="module")
def mover(box, box_mesh):
    return Mover(box, box_mesh)


def test_boundary_nodes_and_middles_lie_on_the_arcs_of_the_variant(moved_tube):
    radius = np.linalg.norm(moved_tube.nodes[moved_tube.sides], axis=2)
    gap = np.minimum(np.abs(radius - 15.3), np.abs(radius - 14.1))
    assert gap.max() < 1e-9


def test_boundary_nodes_lie_on_the_lines_and_fillets_of_the_variant(mover, box_mesh):
    variant = box_of(roof=2.2, fillet=0.9)
    moved = mover.moved(variant)
    assert feet(variant, moved.nodes[np.unique(moved.sides)]).beside.max() < 1e-9
    ceiling = np.abs(box_mesh.nodes[:, 1] - 10) < 1e-9
    assert ceiling.sum() > 20
    np.testing.assert_allclose(moved.nodes[ceiling, 1], 9.8, atol=1e-12)


def test_no_change_gives_the_same_mesh(mover, box, box_mesh):
    same = mover.moved(box)
    np.testing.assert_array_equal(same.nodes, box_mesh.nodes)
    assert same.quality.smallest_angle_deg == box_mesh.quality.smallest_angle_deg
    assert same.quality.area_error == pytest.approx(box_mesh.quality.area_error, abs=1e-12)


def test_triangles_sides_and_names_are_kept(mover, box_mesh):
    moved = mover.moved(box_of(roof=2.1))
    for kept in ("triangles", "sides", "triangle_label", "side_label", "names"):
        assert getattr(moved, kept) is getattr(box_mesh, kept)


def test_the_area_is_that_of_the_variant_as_in_a_fresh_mesh(mover):
    variant = box_of(roof=2.2, fillet=0.9)
    exact = moments(variant)[0]
    for mesh in (mover.moved(variant), mesh_outline(variant)):
        np.testing.assert_allclose(elements(mesh.nodes, mesh.triangles).w.sum(), exact, rtol=3e-6)


def test_the_quality_is_that_of_the_moved_mesh(mover, box_mesh):
    variant = box_of(roof=2.2)
    moved = mover.moved(variant)
    angles = np.degrees(smallest_angles(moved.nodes[moved.triangles[:, :3]]))
    assert moved.quality.smallest_angle_deg == pytest.approx(angles.min())
    assert moved.quality.smallest_angle_deg != box_mesh.quality.smallest_angle_deg
    met = elements(moved.nodes, moved.triangles).w.sum()
    exact = moments(variant)[0]
    assert moved.quality.area_error == pytest.approx(abs(met / exact - 1), abs=1e-12)


def test_a_stretched_outline_stretches_the_whole_mesh_alike():
    base, stretch = plate(), np.array([1.1, 0.95])
    outer, hole = (replace(ring, corners=ring.corners * stretch) for ring in base.rings)
    mesh = mesh_outline(base)
    moved = Mover(base, mesh).moved(Outline(outer, (hole,)))
    np.testing.assert_allclose(moved.nodes, mesh.nodes * stretch, atol=1e-11)


def test_middle_nodes_inside_stay_halfway(mover):
    moved = mover.moved(box_of(roof=2.2))
    inside = ~np.isin(np.arange(len(moved.nodes)), moved.sides[:, 2])
    for a, b, m in [(0, 1, 3), (1, 2, 4), (2, 0, 5)]:
        row = moved.triangles[inside[moved.triangles[:, m]]]
        halfway = (moved.nodes[row[:, a]] + moved.nodes[row[:, b]]) / 2
        np.testing.assert_allclose(moved.nodes[row[:, m]], halfway, atol=1e-13)


def test_a_mesh_without_a_corner_inside_moves_too():
    base = from_rings([(0, 0), (2, 0), (2, 2), (0, 2)])
    mesh = mesh_outline(base, coarseness=10)
    assert np.isin(mesh.triangles[:, :3], mesh.sides).all()
    moved = Mover(base, mesh).moved(from_rings([(0, 0), (2, 0), (2, 2.2), (0, 2.2)]))
    np.testing.assert_allclose(moved.nodes, mesh.nodes * np.array([1, 1.1]), atol=1e-12)


@pytest.mark.parametrize(
    "variant",
    [box_of(fillet=0.0), box_of(name="ceiling"), Outline(box_of().outer)],
    ids=["fillets gone", "another name", "no hole"],
)
def test_an_outline_with_other_edges_is_refused(mover, variant):
    with pytest.raises(MeshError, match="came or went"):
        mover.moved(variant)


def test_an_arc_that_turns_the_other_way_is_another_edge():
    assert same_edges(vault(0.2), vault(0.3))
    assert not same_edges(vault(0.2), vault(0.0))
    assert not same_edges(vault(0.2), vault(-0.2))


def test_a_wall_that_grows_too_much_is_refused_with_the_angle(mover):
    with pytest.raises(MeshError, match=r"smallest angle of the moved mesh is \d+\.\d°"):
        mover.moved(box_of(roof=6.0))


def test_a_folded_triangle_is_refused():
    base = plate()
    with pytest.raises(MeshError, match="folded"):
        Mover(base, mesh_outline(base)).moved(plate(left=9.9))


def test_an_arc_that_grows_too_round_for_its_sides_is_refused():
    base = vault(0.2)
    with pytest.raises(MeshError, match="misses the area"):
        Mover(base, mesh_outline(base)).moved(vault(0.4))


def test_a_mesh_of_another_outline_is_refused(box_mesh):
    with pytest.raises(MeshError, match="does not lie on this outline"):
        Mover(box_of(roof=2.2), box_mesh)


@pytest.mark.parametrize("bulge", [0.0, 0.3, -0.3, 1.0, -1.0, 2.5, 1e-7])
def test_feet_find_edge_and_fraction_on_lines_and_arcs_of_any_sweep(bulge):
    ring = vault(bulge).outer
    edge, t = np.full(7, 2), np.linspace(0.02, 0.98, 7)
    place = points_at(ring, edge, t) + 0.1 * normals_at(ring, edge, t)
    found = feet(vault(bulge), place)
    np.testing.assert_array_equal(found.edge, edge)
    np.testing.assert_allclose(found.t, t, atol=1e-8)
    np.testing.assert_allclose(found.beside, 0.1, atol=1e-9)
    np.testing.assert_allclose(standing(vault(bulge), found), points_at(ring, edge, t), atol=1e-7)


def test_feet_tell_the_rings_apart(box):
    found = feet(box, np.array([[10.0, 12.1], [10.0, 9.9], [10.0, 0.2]]))
    np.testing.assert_array_equal(found.ring, [0, 1, 0])
    assert [box.rings[r].labels[e] for r, e in zip(found.ring, found.edge, strict=True)] == [
        "roof", "roof", "floor",
    ]  # fmt: skip


def test_jacobians_are_those_of_the_shape_functions_at_the_nodes(moved_tube):
    expected = elements(moved_tube.nodes, moved_tube.triangles, AT_NODES).w
    found = jacobians(moved_tube.nodes, moved_tube.triangles)
    np.testing.assert_allclose(found, expected, rtol=1e-10)
