"""The mesh itself: what it refuses, and the smallest angle."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.errors import MeshError
from rimfea.mesh.mesh import smallest_angles


def test_smallest_angles_of_known_triangles_either_way_round():
    corners = np.array(
        [
            [[0, 0], [1, 0], [0, 1]],
            [[0, 0], [0, 1], [1, 0]],
            [[0, 0], [2, 0], [1, np.sqrt(3)]],
            [[0, 0], [np.sqrt(3), 0], [0, 1]],
            [[0, 0], [4, 0], [2, 0.1]],
        ]
    )
    expected = [45, 45, 60, 30, np.degrees(np.arctan(0.05))]
    np.testing.assert_allclose(np.degrees(smallest_angles(corners)), expected)


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        (lambda m: {"triangles": m.triangles[:, :3]}, "six nodes"),
        (lambda m: {"triangle_label": m.triangle_label[1:]}, "each triangle"),
        (lambda m: {"side_label": m.side_label[1:]}, "each boundary side"),
        (lambda m: {"nodes": m.nodes[:-1]}, "does not exist"),
    ],
)
def test_a_mesh_that_does_not_fit_together_is_refused(box_mesh, change, complaint):
    with pytest.raises(MeshError, match=complaint):
        replace(box_mesh, **change(box_mesh))
