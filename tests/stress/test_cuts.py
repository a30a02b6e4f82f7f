"""Cuts of the rim, and the polynomial whose membrane and bending are known."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.fem.interpolate import Places
from rimfea.stress.cuts import GAUSS, Cuts, linearised
from rimfea.study.analysis import inspect


def test_the_matrix_integrates_a_cubic_across_every_cut_exactly():
    """σ = 100 + 60 s + 20 s³ on −1 … 1: σ_m = 100 and σ_b = 60 + 3/5 · 20 = 72."""
    along = Places(np.arange(6)[None].repeat(len(GAUSS), axis=0), _cubic_of_nodes())
    one = Cuts(*np.zeros((2, 1, 2)), np.ones(1), np.zeros(1, dtype=int), ("flank",), along)
    line = linearised(one, np.tile(np.array([[100, 60, 20, 0, 0, 0.0]]).T, (1, 6)))
    np.testing.assert_allclose(line.membrane, 100, rtol=1e-12)
    np.testing.assert_allclose(line.bending, 72, rtol=1e-12)


def _cubic_of_nodes():
    """Weights (q, 6) that make of six nodal values 1, s and s³ times the first three."""
    nothing = np.zeros_like(GAUSS)
    return np.column_stack([np.ones_like(GAUSS), GAUSS, GAUSS**3, nothing, nothing, nothing])


def test_a_stress_even_in_the_section_is_all_membrane(rim):
    even = np.tile([10.0, -20.0, 30.0, 4.0, 5.0, -6.0], (len(rim.mesh.nodes), 1))
    line = linearised(rim.cuts, even)
    np.testing.assert_allclose(line.membrane[:, 0], even[: len(rim.cuts.start)], atol=1e-9)
    np.testing.assert_allclose(line.bending, 0, atol=1e-9)


def test_a_stress_linear_in_the_section_has_its_mean_and_half_its_difference(rim):
    x, y = rim.mesh.nodes.T
    stress = np.zeros((len(x), 6))
    stress[:, 0] = 3 * x - 2 * y
    line = linearised(rim.cuts, stress)
    start, end = (3 * p[:, 0] - 2 * p[:, 1] for p in (rim.cuts.start, rim.cuts.end))
    np.testing.assert_allclose(line.membrane[:, 0, 0], (start + end) / 2, atol=1e-8)
    np.testing.assert_allclose(line.bending[:, 0, 0], (end - start) / 2, atol=1e-8)


def test_cuts_are_as_long_as_a_caliper_reads(rim):
    cuts = rim.cuts
    np.testing.assert_allclose(np.linalg.norm(cuts.end - cuts.start, axis=1), cuts.length)
    sidewall = cuts.length[cuts.wall == cuts.names.index("sidewall")]
    assert np.median(sidewall) == pytest.approx(rim.sheet.sidewall_mm, rel=1e-3)


def test_every_wall_of_the_sheet_is_cut(rim):
    cut = {rim.cuts.names[k] for k in rim.cuts.wall}
    assert cut == set(rim.sheet.walls)


def test_cuts_stay_where_they_are_when_the_mesh_is_finer(rim):
    finer = inspect(rim.sheet, coarseness=1.0).cuts
    np.testing.assert_allclose(finer.start, rim.cuts.start)
