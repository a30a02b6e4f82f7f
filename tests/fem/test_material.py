"""Hooke's law in the plane and the equivalent stress."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.fem.material import plane_strain, plane_stress, von_mises

E, NU = 70e3, 0.33


def compliance():
    """Strain (6, 6) from stress in space, order xx yy zz yz zx xy, shear as γ."""
    C = np.full((6, 6), 0.0)
    C[:3, :3] = -NU / E
    np.fill_diagonal(C, [1 / E] * 3 + [2 * (1 + NU) / E] * 3)
    return C


def test_plane_stress_is_hookes_law_in_space_without_stress_across():
    in_plane = np.ix_([0, 1, 5], [0, 1, 5])
    np.testing.assert_allclose(plane_stress(E, NU), np.linalg.inv(compliance()[in_plane]))


def test_plane_strain_is_hookes_law_in_space_without_strain_across():
    in_plane = np.ix_([0, 1, 5], [0, 1, 5])
    np.testing.assert_allclose(
        plane_strain(E, NU), np.linalg.inv(compliance())[in_plane], atol=1e-9
    )


@pytest.mark.parametrize(
    ("stress", "expected"),
    [
        ([5, 0, 0, 0, 0, 0], 5),
        ([0, -5, 0, 0, 0, 0], 5),
        ([4, 4, 4, 0, 0, 0], 0),
        ([0, 0, 0, 2, 0, 0], 2 * np.sqrt(3)),
        ([0, 0, 0, 0, 2, 0], 2 * np.sqrt(3)),
        ([0, 0, 0, 0, 0, 2], 2 * np.sqrt(3)),
        ([6, 6, 0, 0, 0, 0], 6),
        ([6, -6, 0, 0, 0, 0], 6 * np.sqrt(3)),
    ],
)
def test_the_equivalent_stress_of_simple_states(stress, expected):
    np.testing.assert_allclose(von_mises(np.array(stress, dtype=float)), expected, atol=1e-12)


@given(st.lists(st.floats(-500, 500), min_size=6, max_size=6), st.floats(-500, 500))
def test_pressure_from_all_sides_changes_nothing(stress, pressure):
    plain = np.array(stress)
    pressed = plain + pressure * np.array([1, 1, 1, 0, 0, 0])
    np.testing.assert_allclose(von_mises(pressed), von_mises(plain), rtol=1e-9, atol=1e-6)


@given(st.lists(st.floats(-500, 500), min_size=6, max_size=6))
def test_it_is_the_norm_of_the_deviator(stress):
    xx, yy, zz, yz, zx, xy = stress
    tensor = np.array([[xx, xy, zx], [xy, yy, yz], [zx, yz, zz]])
    deviator = tensor - np.trace(tensor) / 3 * np.eye(3)
    expected = np.sqrt(1.5 * (deviator**2).sum())
    np.testing.assert_allclose(von_mises(np.array(stress)), expected, rtol=1e-9, atol=1e-6)


def test_it_works_on_whole_fields():
    assert von_mises(np.ones((4, 3, 6))).shape == (4, 3)
