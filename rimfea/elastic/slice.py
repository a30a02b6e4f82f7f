"""The slice: one millimetre of rim in plane strain, its load balanced by the rim beside it.

What holds a slice? In the wheel it is the rim on either side. A strike is carried off by shear:
the shear force in the ring changes along it, and what it changes by pulls on the slice as
Saint-Venant's shear flow, along the walls, with the flow of a torque for a load beside the
shear centre. Spoke tension is carried by the hoop compression of the ring, evenly over the
metal. Both balances are applied as body forces, so no wall is clamped and none is falsified;
the three pins that stop rigid motion carry nothing, and how little is part of the evidence.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from rimfea.alloys import Alloy
from rimfea.arrays import Floats, Ints
from rimfea.elastic.balance import Balance
from rimfea.elastic.field import Evidence, Field
from rimfea.elastic.loads import Case, Load, SpokeTension, Strike
from rimfea.elastic.surfaces import crown, nipple_bearing
from rimfea.errors import LoadError
from rimfea.fem.assemble import matrix, vector
from rimfea.fem.elements import Sides, elements, sides
from rimfea.fem.forms import stiffness, stress, traction_load
from rimfea.fem.material import plane_strain
from rimfea.fem.recover import estimate, recovery
from rimfea.fem.saint_venant import unit_shear
from rimfea.fem.shape import THREE_POINTS
from rimfea.fem.solve import factorised
from rimfea.mesh.mesh import Mesh

ASSUMES = (
    "Plane slice: a strike counts as its force per millimetre of the rim it touches and is carried "
    "off by shear in the rim beside it. Its spreading around the rim is ignored; in a wheel that "
    "makes it milder. Spoke tension is smeared around the rim and carried by hoop compression."
)

Pull: TypeAlias = tuple[Sides, Floats]


def solve_slice(
    mesh: Mesh, metal: Alloy, seat_radius_mm: float, cases: Sequence[Case]
) -> tuple[Field, ...]:
    """One field for each case; K is factorised once. Linear, so loads scale the answer.

    ``seat_radius_mm`` is the distance of y = 0 from the axle. Raises
    :class:`~rimfea.errors.SolveError` when an answer does not balance.
    """
    D = plane_strain(metal.youngs_MPa, metal.poisson)
    C = np.asarray(np.linalg.inv(D), dtype=np.float64)
    el = elements(mesh.nodes, mesh.triangles)
    sampled = elements(mesh.nodes, mesh.triangles, THREE_POINTS)
    K = factorised(matrix(mesh.triangles, stiffness(el, D), len(mesh.nodes)), _pins(mesh))
    balance = Balance(el, mesh.nodes, unit_shear(el))
    to_nodes = recovery(mesh.nodes, sampled)
    fields = []
    for case in cases:
        applied, F = _loaded(mesh, seat_radius_mm, case, balance)
        U = K.solve(F)
        u = U.reshape(-1, 2)
        smooth = np.asarray(to_nodes @ stress(sampled, D, u).reshape(-1, 3))
        error = estimate(el, stress(el, D, u), smooth, C).relative
        reaction = np.abs(K.reactions(U, F)).max() / np.abs(applied).sum()
        evidence = Evidence(K.residual(U, F), float(reaction), error)
        fields.append(Field(case, u, _six(smooth, metal.poisson), evidence, ASSUMES))
    return tuple(fields)


def force_per_mm(load: Load, seat_radius_mm: float, y: float) -> float:
    """What a load puts on each millimetre of rim at height y, N/mm."""
    match load:
        case Strike():
            return load.force_N / load.patch_mm
        case SpokeTension():
            return load.tension_N * load.spokes / (2 * np.pi * (seat_radius_mm + y))
        case _:
            raise LoadError(f"a slice takes strikes and spoke tension, not {type(load).__name__}")


def _loaded(
    mesh: Mesh, seat_radius_mm: float, case: Case, balance: Balance
) -> tuple[Floats, Floats]:
    """The forces (2n,) of a case in N per mm of rim, alone and with what balances them."""
    applied, whole = np.zeros(2 * len(mesh.nodes)), np.zeros(2 * len(mesh.nodes))
    for load in case.loads:
        f = np.sum(
            [
                vector(side.sides, traction_load(side, t), side.nodes)
                for side, t in _pulls(mesh, seat_radius_mm, load)
            ],
            axis=0,
        )
        held = balance.by_shear(f) if isinstance(load, Strike) else balance.by_hoop(f)
        applied, whole = applied + f, whole + f + held
    return applied, whole


def _pulls(mesh: Mesh, seat_radius_mm: float, load: Load) -> list[Pull]:
    match load:
        case Strike():
            inward = np.array([np.sin(load.angle), -np.cos(load.angle)])
            shares = ((True, load.right_share), (False, 1 - load.right_share))
            force = force_per_mm(load, seat_radius_mm, 0.0)
            return [
                _spread(mesh, crown(mesh, right=right), share * force * inward)
                for right, share in shares
                if share > 0
            ]
        case SpokeTension():
            seat = nipple_bearing(mesh, load.hole_mm, load.bearing_mm, load.offset_mm)
            y = float(mesh.nodes[seat[:, 2], 1].mean())
            force = force_per_mm(load, seat_radius_mm, y)
            return [_spread(mesh, seat, force * np.array([0.0, -1.0]))]
        case _:
            return []


def _spread(mesh: Mesh, chosen: Ints, force: Floats) -> Pull:
    """A force (2,) in N/mm as an even traction on the chosen sides."""
    side = sides(mesh.nodes, chosen)
    return side, np.broadcast_to(force / side.w.sum(), side.points.shape)


def _pins(mesh: Mesh) -> Ints:
    """Three unknowns that stop rigid motion: both of a node low on the left, and the height of
    one low on the right, so that displacement is seen from the spoke bed.
    """
    x, y = mesh.nodes.T
    left, right = np.argmin(y + x / 2), np.argmin(y - x / 2)
    return np.array([2 * left, 2 * left + 1, 2 * right + 1])


def _six(plane: Floats, poisson: float) -> Floats:
    """Stress (n, 6) from its part in the section (n, 3): σ_zz = ν (σ_xx + σ_yy)."""
    xx, yy, xy = plane.T
    zero = np.zeros_like(xx)
    return np.column_stack([xx, yy, poisson * (xx + yy), zero, zero, xy])
