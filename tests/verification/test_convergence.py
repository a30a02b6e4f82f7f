"""How fast the error falls as triangles get smaller, on the thick cylinder with its known solution.

Orders for quadratic elements: energy norm h², displacement h³ (Strang & Fix, An Analysis of the
Finite Element Method, 1973, citation from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from rimfea.fem.assemble import vector
from rimfea.fem.elements import elements, sides
from rimfea.fem.forms import stress, traction_load
from rimfea.fem.material import plane_strain
from rimfea.fem.recover import estimate
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring
from rimfea.mesh.build import mesh_outline

INNER, OUTER, YOUNGS, POISSON = 1.0, 2.0, 1000.0, 0.3
D = plane_strain(YOUNGS, POISSON)
A = INNER**2 / (OUTER**2 - INNER**2)
STRANG = "Strang & Fix 1973 (citation from memory)"
ZIENKIEWICZ = "Zienkiewicz & Zhu, Int. J. Numer. Meth. Engng 33 (1992) (citation from memory)"


@dataclass(frozen=True)
class Errors:
    """Errors of one mesh: displacement in L2, stress of the elements and recovered stress in the
    energy norm, the estimate of the first from the second, and the true energy norm.
    """

    displacement: float
    rough: float
    smooth: float
    estimated: float
    relative_estimated: float
    whole: float


def lame_displacement(points):
    r2 = (points**2).sum(axis=-1, keepdims=True)
    return (1 + POISSON) / YOUNGS * A * ((1 - 2 * POISSON) + OUTER**2 / r2) * points


def lame_stress(points):
    """Stress (..., 3) in the order xx yy xy under unit pressure inside."""
    x, y = points[..., 0], points[..., 1]
    r2 = x**2 + y**2
    ripple = A * OUTER**2 / r2**2
    return np.stack([A - ripple * (x**2 - y**2), A + ripple * (x**2 - y**2), -ripple * 2 * x * y],
                    axis=-1)  # fmt: skip


def errors(nodes, triangles, pressed, held, solved, smoothed):
    side = sides(nodes, pressed)
    load = vector(pressed, traction_load(side, -side.normal), len(nodes))
    given = lame_displacement(nodes).ravel()[held]
    u, _ = solved(nodes, triangles, D, held, given, load)
    el = elements(nodes, triangles)
    exact, rough, smooth = (
        lame_stress(el.points),
        stress(el, D, u),
        smoothed(nodes, triangles, D, u),
    )
    C = np.linalg.inv(D)
    at_points = np.einsum("qa,eas->eqs", el.N, smooth[triangles])
    gap = np.einsum("qa,eai->eqi", el.N, u[triangles]) - lame_displacement(el.points)

    def energy(field):
        return float(np.sqrt(np.einsum("eqs,st,eqt,eq->", field, C, field, el.w)))

    guess = estimate(el, rough, smooth, C)
    return Errors(
        displacement=float(np.sqrt(np.einsum("eqi,eqi,eq->", gap, gap, el.w))),
        rough=energy(rough - exact),
        smooth=energy(at_points - exact),
        estimated=float(np.sqrt(guess.energy.sum())),
        relative_estimated=guess.relative,
        whole=energy(exact),
    )


def quarter(patch, cells):
    def mapping(p):
        r, angle = INNER + (OUTER - INNER) * p[:, 0], p[:, 1] * np.pi / 2
        return np.column_stack([r * np.cos(angle), r * np.sin(angle)])

    return patch(mapping, cells, cells)


def quarter_errors(patch, solved, smoothed, cells):
    body = quarter(patch, cells)
    held = np.concatenate([2 * np.unique(body.bottom) + 1, 2 * np.unique(body.top)])
    return errors(body.nodes, body.triangles, body.left, held, solved, smoothed)


def meshed_errors(solved, smoothed, coarseness):
    """The whole cylinder through the mesher, held at three unknowns at their true values."""
    outer = Ring(np.array([[-OUTER, 0.0], [OUTER, 0.0]]), np.ones(2), ("outer",) * 2)
    inner = Ring(np.array([[-INNER, 0.0], [INNER, 0.0]]), np.ones(2), ("inner",) * 2)
    mesh = mesh_outline(Outline(outer, (inner,)), coarseness=coarseness)
    pressed = mesh.sides[mesh.side_label == mesh.names.index("inner")]
    left, right = (int(mesh.nodes[:, 0].argmin()), int(mesh.nodes[:, 0].argmax()))
    held = np.array([2 * left, 2 * left + 1, 2 * right + 1])
    return errors(mesh.nodes, mesh.triangles, pressed, held, solved, smoothed)


def slope(h, error):
    """Order of convergence: slope of the last two errors in the doubly logarithmic plot."""
    return float(np.log(error[-2] / error[-1]) / np.log(h[-2] / h[-1]))


def test_errors_fall_at_the_orders_of_a_quadratic_element(verified, patch, solved, smoothed):
    cells = (16, 32, 64)
    found = [quarter_errors(patch, solved, smoothed, n) for n in cells]
    h = [1 / n for n in cells]
    energy = slope(h, [x.rough for x in found])
    displacement = slope(h, [x.displacement for x in found])
    assert displacement > 2.85, f"observed slope of the displacement {displacement:.3f}, due 3"
    verified("order in the energy norm", 2, energy, STRANG, within=0.03)
    verified("order of the displacement", 3, displacement, STRANG, within=0.06)


def test_straight_sides_on_a_curved_boundary_cost_an_order(patch, solved, smoothed):
    """Middle nodes off the arcs must show in the slope, or the curved sides are worth nothing."""

    def straightened(cells):
        body = quarter(patch, cells)
        nodes = body.nodes.copy()
        for a, b, middle in [(0, 1, 3), (1, 2, 4), (2, 0, 5)]:
            corner = body.triangles[:, [a, b]]
            nodes[body.triangles[:, middle]] = body.nodes[corner].mean(axis=1)
        held = np.concatenate([2 * np.unique(body.bottom) + 1, 2 * np.unique(body.top)])
        return errors(nodes, body.triangles, body.left, held, solved, smoothed)

    cells = (8, 16, 32)
    seen = slope([1 / n for n in cells], [straightened(n).displacement for n in cells])
    assert seen < 2.3, f"observed slope of the displacement with straight sides {seen:.3f}"


@pytest.mark.parametrize("cells", [16, 32])
def test_recovered_stress_is_nearer_the_truth_than_that_of_the_elements(
    patch, solved, smoothed, cells
):
    found = quarter_errors(patch, solved, smoothed, cells)
    assert found.smooth < 0.6 * found.rough, f"{found.smooth:.2e} against {found.rough:.2e}"


@pytest.mark.parametrize("coarseness", [1.0, 0.5])
def test_recovered_stress_is_nearer_on_meshes_of_our_own_too(solved, smoothed, coarseness):
    found = meshed_errors(solved, smoothed, coarseness)
    assert found.smooth < 0.75 * found.rough, f"{found.smooth:.2e} against {found.rough:.2e}"


@pytest.mark.parametrize("cells", [16, 32])
def test_the_error_estimate_is_near_the_error(verified, patch, solved, smoothed, cells):
    found = quarter_errors(patch, solved, smoothed, cells)
    name = f"error estimate over error, {cells} x {cells} cells"
    verified(name, 1, found.estimated / found.rough, ZIENKIEWICZ, within=0.3)
    relative = found.relative_estimated / (found.rough / found.whole)
    assert 0.7 < relative < 1.3, f"relative estimate over relative error {relative:.3f}"


@pytest.mark.parametrize("coarseness", [1.0, 0.5])
def test_the_error_estimate_is_near_the_error_on_meshes_of_our_own(
    verified, solved, smoothed, coarseness
):
    found = meshed_errors(solved, smoothed, coarseness)
    name = f"error estimate over error, coarseness {coarseness}"
    verified(name, 1, found.estimated / found.rough, ZIENKIEWICZ, within=0.3)
