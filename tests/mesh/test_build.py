"""Outline to mesh: shape of the triangles, names, sides, true arcs."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rimfea.errors import MeshError
from rimfea.fem.elements import elements
from rimfea.geometry.outline import Outline, from_rings, moments
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline
from rimfea.mesh.mesh import smallest_angles
from tests.often import few


def area_of(mesh):
    """By quadrature over the curved triangles, not by the boundary."""
    return elements(mesh.nodes, mesh.triangles).w.sum()


def side_lengths(mesh):
    corners = mesh.nodes[mesh.triangles[:, :3]]
    return np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2)


def assert_sound(mesh, outline):
    """What every mesh promises."""
    degrees = np.degrees(smallest_angles(mesh.nodes[mesh.triangles[:, :3]]))
    assert degrees.min() >= 25
    np.testing.assert_allclose(area_of(mesh), moments(outline)[0], rtol=1e-5)
    assert len(np.unique(mesh.triangles)) == len(mesh.nodes), "a node belongs to no triangle"
    assert mesh.triangle_label.min() >= 0
    assert mesh.triangle_label.max() < len(mesh.names)


def test_no_angle_is_below_25_degrees_and_the_figure_says_so(box_mesh):
    degrees = np.degrees(smallest_angles(box_mesh.nodes[box_mesh.triangles[:, :3]]))
    assert degrees.min() >= 25
    assert box_mesh.quality.smallest_angle_deg == pytest.approx(degrees.min())


def test_the_area_is_that_of_the_outline_with_its_arcs(box, box_mesh):
    np.testing.assert_allclose(area_of(box_mesh), moments(box)[0], rtol=3e-6)
    assert box_mesh.quality.area_error < 3e-6


def test_a_straight_outline_is_met_to_round_off():
    outline = from_rings([(0, 0), (6, 0), (6, 3), (0, 3)], [[(2, 1), (4, 1), (4, 2), (2, 2)]])
    np.testing.assert_allclose(area_of(mesh_outline(outline)), 16.0, rtol=1e-13)


def test_the_quality_counts_what_is_there(box_mesh):
    assert box_mesh.quality.triangles == len(box_mesh.triangles)
    assert box_mesh.quality.nodes == len(box_mesh.nodes)


def test_every_triangle_bears_the_name_of_the_wall_it_lies_in(box_mesh):
    x, y = box_mesh.nodes[box_mesh.triangles[:, :3]].mean(axis=1).T
    name = np.array(box_mesh.names)[box_mesh.triangle_label]
    middle = (x > 5) & (x < 15)
    assert set(name[middle & (y < 2)]) == {"floor"}
    assert set(name[middle & (y > 10)]) == {"roof"}
    upright = (y > 4) & (y < 8)
    assert set(name[upright & (x < 1.5)]) == {"left"}
    assert set(name[upright & (x > 18.5)]) == {"right"}


def test_every_side_bears_the_name_of_the_edge_it_lies_on(box_mesh):
    x, y = box_mesh.nodes[box_mesh.sides[:, 2]].T
    name = np.array(box_mesh.names)[box_mesh.side_label]
    assert set(name[y == 0]) == {"floor"}
    assert set(name[y == 12]) == {"roof"}
    assert set(name[x == 0]) == {"left"}
    assert set(name[x == 20]) == {"right"}


def test_at_least_two_triangles_lie_across_every_wall(box_mesh, tube):
    assert box_mesh.quality.across >= 2
    assert mesh_outline(tube(15.0, 1.0)).quality.across >= 2


def test_sides_walk_with_the_metal_on_the_left_and_close(box_mesh):
    start, end, middle = (box_mesh.nodes[box_mesh.sides[:, k]] for k in range(3))
    along = end - start
    inward = np.column_stack([-along[:, 1], along[:, 0]])
    owner = {
        (a, b): k
        for k, row in enumerate(box_mesh.triangles.tolist())
        for a, b in zip(row[:3], [row[1], row[2], row[0]], strict=True)
    }
    owners = [owner[a, b] for a, b in box_mesh.sides[:, :2].tolist()]
    centre = box_mesh.nodes[box_mesh.triangles[owners, :3]].mean(axis=1)
    assert (((centre - middle) * inward).sum(axis=1) > 0).all()
    assert sorted(box_mesh.sides[:, 0]) == sorted(box_mesh.sides[:, 1])


def test_the_middle_node_of_a_side_is_that_of_its_triangle(box_mesh):
    middle = {
        (row[a], row[b]): row[m]
        for row in box_mesh.triangles.tolist()
        for a, b, m in [(0, 1, 3), (1, 2, 4), (2, 0, 5)]
    }
    for start, end, own in box_mesh.sides.tolist():
        assert middle[start, end] == own


def test_all_boundary_nodes_lie_on_the_true_arcs(tube):
    mesh = mesh_outline(tube(15.0, 1.0))
    radius = np.linalg.norm(mesh.nodes[mesh.sides], axis=2)
    gap = np.minimum(np.abs(radius - 15), np.abs(radius - 14))
    assert gap.max() < 1e-12


def test_middle_nodes_inside_lie_halfway_between_their_corners(tube):
    mesh = mesh_outline(tube(15.0, 1.0))
    inside = ~np.isin(np.arange(len(mesh.nodes)), mesh.sides[:, 2])
    for a, b, m in [(0, 1, 3), (1, 2, 4), (2, 0, 5)]:
        row = mesh.triangles[inside[mesh.triangles[:, m]]]
        halfway = (mesh.nodes[row[:, a]] + mesh.nodes[row[:, b]]) / 2
        np.testing.assert_allclose(mesh.nodes[row[:, m]], halfway, atol=1e-13)


@pytest.mark.parametrize("coarseness", few([1.0, 1.5, 0.4]))
@pytest.mark.parametrize(("radius", "thickness"), [(5.0, 1.0), (15.0, 0.5), (40.0, 1.0)])
def test_thin_bent_walls_keep_their_angles_at_any_size(tube, radius, thickness, coarseness):
    outline = tube(radius, thickness)
    assert_sound(mesh_outline(outline, coarseness=coarseness), outline)


def test_a_smaller_coarseness_makes_smaller_triangles_everywhere(box, box_mesh):
    fine = mesh_outline(box, coarseness=0.5)
    assert np.median(side_lengths(fine)) < 0.65 * np.median(side_lengths(box_mesh))


def test_finer_makes_smaller_triangles_at_its_label_and_leaves_the_rest(box, box_mesh):
    fine = mesh_outline(box, finer={"roof": 0.4})

    def median_side(mesh, name):
        at = mesh.triangle_label == mesh.names.index(name)
        return np.median(side_lengths(mesh)[at])

    assert median_side(fine, "roof") < 0.55 * median_side(box_mesh, "roof")
    assert median_side(fine, "floor") > 0.8 * median_side(box_mesh, "floor")


@pytest.mark.parametrize("coarseness", [0.0, 0.099, 10.1, -1.0, float("nan")])
def test_a_coarseness_out_of_range_is_refused_with_the_range(box, coarseness):
    with pytest.raises(MeshError, match=r"allowed 0\.1 to 10"):
        mesh_outline(box, coarseness=coarseness)


def test_a_needle_is_refused_with_a_remedy():
    needle = from_rings([(0, 0), (20, 0), (20, 2)])
    with pytest.raises(MeshError, match=r"too sharp|below 25°"):
        mesh_outline(needle)


def test_the_same_outline_gives_the_same_mesh(box, box_mesh):
    again = mesh_outline(box)
    np.testing.assert_array_equal(again.nodes, box_mesh.nodes)
    np.testing.assert_array_equal(again.triangles, box_mesh.triangles)


@st.composite
def rounded_polygons(draw):
    """Star-shaped polygons of five to nine corners, some of them rounded."""
    count = draw(st.integers(5, 9))
    turn = draw(st.floats(0, 1))
    corners = []
    for k in range(count):
        angle = 2 * np.pi * (k + turn + draw(st.floats(-0.15, 0.15))) / count
        reach = draw(st.floats(7, 12))
        radius = draw(st.sampled_from([0.0, 0.5, 1.5, 4.0]))
        corners.append(Corner(reach * np.cos(angle), reach * np.sin(angle), f"edge {k}", radius))
    return Outline(rounded(corners))


@pytest.mark.long
@given(rounded_polygons())
@settings(max_examples=40, deadline=None)
def test_random_rounded_polygons_mesh_soundly(outline):
    assert_sound(mesh_outline(outline), outline)


@pytest.mark.long
@given(
    st.floats(0.8, 2.5),
    st.floats(0.8, 2.5),
    st.floats(-0.6, 0.6),
    st.floats(-0.6, 0.6),
    st.floats(0.6, 1.5),
)
@settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_random_plates_with_two_holes_mesh_soundly(circle, first, second, up, down, coarseness):
    plate = [Corner(-8, -4, "plate", 1.0), Corner(8, -4, "plate"), Corner(8, 4, "plate", 2.0),
             Corner(-8, 4, "plate", 0.5)]  # fmt: skip
    holes = (
        circle(first, (-4.0, up), ("hole", "hole")),
        circle(second, (4.0, down), ("hole", "hole")),
    )
    outline = Outline(rounded(plate), holes)
    assert_sound(mesh_outline(outline, coarseness=coarseness), outline)
