"""Free modes of a body of revolution."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.alloys import alloy
from rimfea.elastic.modes import Kind, energies, free_modes, mode_strains, movements
from rimfea.errors import LoadError
from rimfea.fem.elements import elements
from rimfea.fem.revolution import isotropic

METAL = alloy("6061-T6")
RADIUS = 40.0


@pytest.fixture(scope="module")
def section(looked):
    return looked.mesh.nodes, looked.mesh.triangles


@pytest.fixture(scope="module")
def modes(section):
    return free_modes(*section, METAL, RADIUS, (2, 3))


def squared(section, modes, metal=METAL, radius=RADIUS):
    """ω² (m,) of every mode."""
    strain, moved = energies(elements(*section), metal, radius, modes)
    return strain / moved


def test_every_number_of_waves_has_one_mode_of_each_kind(modes):
    assert [(mode.waves, mode.kind) for mode in modes] == [
        (n, kind) for n in (2, 3) for kind in Kind
    ]


def test_the_kind_is_that_of_most_of_the_movement(section, modes):
    el = elements(*section)
    for mode in modes:
        weight = el.w * (RADIUS + el.points[..., 1])
        aside, *others = np.einsum("eqim,eq->i", movements(el, [mode]) ** 2, weight)
        assert (aside > sum(others)) == (mode.kind is Kind.SIDEWAYS)


def test_a_frequency_is_the_least_that_a_shape_can_have(section, modes):
    """Rayleigh: a mode a little off by δ has an ω² that is off by δ², and never too low for the
    slowest.
    """
    slowest = min(modes, key=lambda mode: squared(section, [mode])[0])
    size = np.abs(slowest.form).max()
    off = size * np.sin(np.arange(slowest.form.size)).reshape(slowest.form.shape)
    own, far, near = (
        squared(section, [replace(slowest, form=slowest.form + by * off)])[0]
        for by in (0.0, 1e-4, 1e-5)
    )
    assert own < near < far
    assert (far - own) / (near - own) == pytest.approx(100.0, rel=0.05)


def test_stiffer_metal_rings_higher_and_denser_metal_lower(section, modes):
    stiff = replace(METAL, youngs_MPa=4 * METAL.youngs_MPa)
    dense = replace(METAL, density_kg_m3=4 * METAL.density_kg_m3)
    base = squared(section, modes)
    np.testing.assert_allclose(squared(section, modes, stiff), 4 * base)
    np.testing.assert_allclose(squared(section, modes, dense), base / 4)


def test_strain_and_movement_make_the_energies(section, modes):
    el = elements(*section)
    strain, moved = mode_strains(el, RADIUS, modes), movements(el, modes)
    weight = el.w * (RADIUS + el.points[..., 1])
    D = isotropic(METAL.youngs_MPa, METAL.poisson)
    by_hand = [
        sum(
            weight[e, q] * strain[e, q, :, 1] @ D @ strain[e, q, :, 1]
            for e, q in np.ndindex(weight.shape)
        ),
        METAL.density_kg_m3 * 1e-12 * (weight * (moved[..., 1] ** 2).sum(axis=2)).sum(),
    ]
    found = [each[1] for each in energies(el, METAL, RADIUS, modes)]
    np.testing.assert_allclose(found, by_hand)


def test_the_same_body_has_the_same_modes_every_time(section, modes):
    again = free_modes(*section, METAL, RADIUS, (2, 3))
    for one, other in zip(modes, again, strict=True):
        np.testing.assert_array_equal(one.form, other.form)


def test_waves_with_rigid_motions_are_refused(section):
    with pytest.raises(LoadError, match="2 waves or more, not 1"):
        free_modes(*section, METAL, RADIUS, (2, 1))


def test_a_mode_is_short_to_print(modes):
    assert "array" in repr(modes[0])
    assert len(repr(modes[0])) < 120
