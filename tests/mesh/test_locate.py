"""Which triangle holds a point."""

from __future__ import annotations

import numpy as np

from rimfea.mesh.locate import barycentric, containing


def test_barycentric_coordinates_sum_to_one_and_give_the_point_back():
    rng = np.random.default_rng(3)
    corners, points = rng.uniform(-1, 1, (50, 3, 2)), rng.uniform(-1, 1, (50, 2))
    share = barycentric(corners, points)
    np.testing.assert_allclose(share.sum(axis=1), 1, atol=1e-12)
    np.testing.assert_allclose(np.einsum("pa,pai->pi", share, corners), points, atol=1e-9)


def test_the_corners_have_one_coordinate_each():
    corners = np.array([[[0, 0], [3, 1], [1, 2.0]]])
    np.testing.assert_allclose(barycentric(corners, corners[0]), np.eye(3), atol=1e-14)


def test_points_inside_triangles_are_found_in_them(box_mesh):
    rng = np.random.default_rng(4)
    corners = box_mesh.nodes[box_mesh.triangles[:, :3]]
    share = rng.dirichlet((1, 1, 1), (len(corners), 5))
    points = np.einsum("epa,eai->epi", share, corners).reshape(-1, 2)
    np.testing.assert_array_equal(
        containing(corners, points), np.repeat(np.arange(len(corners)), 5)
    )


def test_a_point_under_the_bulge_of_an_arc_belongs_to_the_triangle_beneath(box_mesh):
    corners = box_mesh.nodes[box_mesh.triangles[:, :3]]
    start, end, middle = (box_mesh.nodes[box_mesh.sides[:, k]] for k in range(3))
    bulge = np.linalg.norm(middle - (start + end) / 2, axis=1)
    bent = np.flatnonzero(bulge > 1e-6)
    assert len(bent) > 10
    found = containing(corners, middle[bent])
    held = np.isin(box_mesh.triangles[found, 3:], box_mesh.sides[bent, 2]).any(axis=1)
    own = [
        box_mesh.sides[k, 2] in box_mesh.triangles[e, 3:] for k, e in zip(bent, found, strict=True)
    ]
    assert held.all()
    assert all(own)


def test_a_single_triangle_holds_everything():
    corners = np.array([[[0, 0], [1, 0], [0, 1.0]]])
    np.testing.assert_array_equal(containing(corners, np.array([[0.2, 0.2], [5, 5.0]])), [0, 0])
