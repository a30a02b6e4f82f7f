"""Laws of hardening."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from rimfea.errors import LoadError
from rimfea.plastic.metal import FIRST_STRAIN, PROOF_STRAIN, Linear, RambergOsgood, ramberg_osgood

LAWS = [Linear(240.0), Linear(240.0, 1000.0), RambergOsgood(240.0, 55.0), RambergOsgood(160.0, 5.0)]


def at(law, p):
    """The flow stress after plastic strain p."""
    stress, _ = law.flow(np.array([p]))
    return stress.item()


@pytest.mark.parametrize("law", LAWS)
def test_work_is_the_integral_of_flow(law):
    for p in (1e-4, 2e-3, 0.1):
        summed, _ = quad(lambda q: at(law, q), 0, p, epsabs=0, epsrel=1e-11, limit=200)
        assert law.work(np.array([p])).item() == pytest.approx(summed, rel=1e-9)


@pytest.mark.parametrize("law", LAWS)
def test_the_slope_is_that_of_flow(law):
    p, d = np.array([[1e-4, 2e-3], [0.02, 0.1]]), 1e-7
    (more, _), (less, _) = law.flow(p + d), law.flow(p - d)
    _, slope = law.flow(p)
    np.testing.assert_allclose(slope, (more - less) / (2 * d), rtol=1e-5, atol=1e-4)


@pytest.mark.parametrize("law", LAWS)
def test_nothing_is_worked_before_it_flows(law):
    np.testing.assert_array_equal(law.work(np.zeros((2, 3))), np.zeros((2, 3)))


def test_the_proof_stress_is_that_at_two_thousandths():
    law = ramberg_osgood(240.0, 260.0)
    assert at(law, PROOF_STRAIN - FIRST_STRAIN) == pytest.approx(240.0, rel=1e-12)


@pytest.mark.parametrize(
    ("proof", "ultimate", "strain"),
    [
        (240.0, 260.0, 0.30 - 0.22 * 0.6),
        (160.0, 195.0, 0.30 - 0.22 * 0.4),
        (460.0, 530.0, 0.08),  # 0.30 − 0.22 · 1.15 is less than that
    ],
)
def test_the_ultimate_stress_is_reached_at_the_strain_of_the_code(proof, ultimate, strain):
    law = ramberg_osgood(proof, ultimate)
    assert at(law, strain - FIRST_STRAIN) == pytest.approx(ultimate, rel=1e-12)


def test_metal_whose_proof_and_ultimate_are_alike_still_hardens_a_little():
    law = ramberg_osgood(300.0, 300.0)
    assert 300.0 < at(law, 0.1) < 303.1
    _, slope = law.flow(np.array([0.1]))
    assert slope.item() > 0


@pytest.mark.parametrize(("proof", "n"), [(0.0, 20.0), (-1.0, 20.0), (240.0, 0.0), (np.nan, 20.0)])
def test_a_law_without_stress_or_exponent_is_refused(proof, n):
    with pytest.raises(LoadError, match="must be more than 0"):
        RambergOsgood(proof, n)
