"""The casing as a thin layer: against its closed form, and against the layer in full."""

from __future__ import annotations

import numpy as np
import pytest
import skfem
from scipy.sparse.linalg import splu
from skfem.models.elasticity import lame_parameters, linear_elasticity

from rimfea.strike.casing import Casing, Crown, squeeze

YOUNGS, POISSON = 3.6, 0.3
CONFINED = YOUNGS * (1 - POISSON) / ((1 + POISSON) * (1 - 2 * POISSON))
LAYER = Casing(thickness_mm=1.0, modulus_MPa=CONFINED)
RADIUS = 100.0
ROWS = 6
JOHNSON = "Johnson, Contact Mechanics, section 5.8 (citation from memory)"
THEIRS = "scikit-fem, bonded layer with frictionless contact"


def cylinder(half: float) -> Crown:
    x = np.linspace(-half, half, 801)
    return Crown(np.column_stack([x, x**2 / (2 * RADIUS)]))


def test_a_cylinder_on_a_thin_layer_carries_the_published_force(verified):
    a = 4.0
    force = 2 * CONFINED * a**3 / (3 * RADIUS * LAYER.thickness_mm)
    found = squeeze(cylinder(2 * a), LAYER, force)
    ours = np.sqrt(2 * RADIUS * found.approach_mm)
    verified("cylinder on a thin layer, half width in touch, mm", a, ours, JOHNSON, within=1e-5)
    peak = CONFINED * a**2 / (2 * RADIUS * LAYER.thickness_mm)
    verified("cylinder on a thin layer, peak, MPa", peak, found.peak_MPa, JOHNSON, within=1e-5)


def layer_top(length: float):
    """Places (k,) of the layer's top nodes and its compliance (k, k) there: how far each sinks
    under unit forces. The layer is bonded below and symmetric about x = 0.
    """
    h = LAYER.thickness_mm
    across = np.linspace(0, length, round(length * ROWS / h) + 1)
    mesh = skfem.MeshQuad.init_tensor(across, np.linspace(-h, 0, ROWS + 1))
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementQuad1()))
    K = linear_elasticity(*lame_parameters(YOUNGS, POISSON)).assemble(basis).tocsc()
    (x, y), (in_x, in_y) = mesh.p, basis.nodal_dofs
    below = y < -h + 1e-9
    held = np.concatenate([in_x[below], in_y[below], in_x[x < 1e-9]])
    free = np.setdiff1d(np.arange(K.shape[0]), held)
    top = np.flatnonzero(y > -1e-9)
    top = top[np.argsort(x[top])]
    unit, sunk = np.zeros((2, K.shape[0], len(top)))
    unit[in_y[top], np.arange(len(top))] = 1
    sunk[free] = splu(K[np.ix_(free, free)]).solve(unit[free])
    return x[top], sunk[in_y[top]]


def pressed(compliance, wanted):
    """Forces (k,) of a rigid body that wants the nodes sunk by ``wanted`` (k,), and only pushes."""
    touching = wanted > 0
    for _ in range(30):
        force = np.zeros(len(wanted))
        force[touching] = np.linalg.solve(compliance[np.ix_(touching, touching)], wanted[touching])
        above = compliance @ force < wanted - 1e-12
        now = np.where(touching, force > 0, above)
        if (now == touching).all():
            return force
        touching = now
    pytest.fail("the contact did not settle")


def whole_and_middle(x, force):
    """Force of both halves, N per mm, and pressure in the middle, MPa."""
    return 2 * force.sum(), force[0] / (x[1] / 2)


@pytest.mark.parametrize("body", ["cylinder", "level lip"])
def test_the_peak_nears_that_of_the_layer_in_full_as_the_layer_gets_thin(verified, body):
    gaps = []
    for a in (2.0, 4.0, 8.0, 16.0):
        x, compliance = layer_top(a + 4 * LAYER.thickness_mm)
        if body == "cylinder":
            crown, wanted = cylinder(2 * a), (a**2 - x**2) / (2 * RADIUS)
        else:
            crown, wanted = Crown(np.array([[-a, 0], [a, 0]])), np.where(x < a + 1e-9, 0.05, -1)
        force, middle = whole_and_middle(x, pressed(compliance, wanted))
        peak = squeeze(crown, LAYER, force).peak_MPa
        gaps.append(abs(peak / middle - 1))
    # Beside a cylinder the pressure has died away; beside a level lip the layer helps to carry
    # over about its own thickness, a share that falls as h/a.
    assert (np.array(gaps[1:]) < 0.6 * np.array(gaps[:-1])).all(), gaps
    what = f"{body} 16 times the thickness of its layer to either side, peak, MPa"
    within = 1e-3 if body == "cylinder" else 0.015
    verified(what, middle, peak, THEIRS, within=within)
