"""Plane elasticity against published values and closed solutions."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.fem.assemble import vector
from rimfea.fem.elements import elements, sides
from rimfea.fem.forms import stress, traction_load
from rimfea.fem.material import plane_strain, plane_stress
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring
from rimfea.geometry.rounded import Corner, rounded
from rimfea.mesh.build import mesh_outline

GOODIER = "Timoshenko & Goodier, Theory of Elasticity, 3rd ed."
MEMORY = "(citation from memory)"


def on_sides(nodes, chosen, traction):
    """Load vector of a traction: an array (2,), or a function of points and normals."""
    side = sides(nodes, chosen)
    t = traction(side.points, side.normal) if callable(traction) else np.asarray(traction)
    return vector(chosen, traction_load(side, np.broadcast_to(t, side.points.shape)), len(nodes))


def tensor_traction(field):
    """The traction σ n of a stress field points -> (..., 3) in the order xx yy xy."""

    def traction(points, normal):
        xx, yy, xy = np.moveaxis(field(points), -1, 0)
        n_x, n_y = normal[..., 0], normal[..., 1]
        return np.stack([xx * n_x + xy * n_y, xy * n_x + yy * n_y], axis=-1)

    return traction


def unknowns(chosen, component):
    """The unknowns of one component in all nodes of some sides."""
    return 2 * np.unique(chosen) + component


def node_at(nodes, place):
    gap = np.linalg.norm(nodes - np.asarray(place, dtype=float), axis=1)
    assert gap.min() < 1e-9, f"no node at {place}"
    return int(gap.argmin())


def polar(inner, outer):
    """Unit square onto a quarter ring: first coordinate outward, second anticlockwise."""

    def mapping(p):
        r = inner * (outer / inner) ** p[:, 0]
        angle = p[:, 1] * np.pi / 2
        return np.column_stack([r * np.cos(angle), r * np.sin(angle)])

    return mapping


def in_polar(stresses, points):
    """Radial, hoop and shear stress (n, 3) of stress (n, 3) in the order xx yy xy."""
    xx, yy, xy = stresses.T
    angle = np.arctan2(points[:, 1], points[:, 0])
    c, s = np.cos(angle), np.sin(angle)
    return np.column_stack(
        [
            xx * c**2 + yy * s**2 + 2 * xy * s * c,
            xx * s**2 + yy * c**2 - 2 * xy * s * c,
            (yy - xx) * s * c + xy * (c**2 - s**2),
        ]
    )


# --- patch test -----------------------------------------------------------------------------

PATCH_CORNERS = np.array(
    [[0, 0], [0.24, 0], [0.24, 0.12], [0, 0.12],
     [0.04, 0.02], [0.18, 0.03], [0.16, 0.08], [0.08, 0.08]]
)  # fmt: skip
PATCH_TRIANGLES = np.array(
    [[0, 1, 5], [0, 5, 4], [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6], [3, 0, 4], [3, 4, 7],
     [4, 5, 6], [4, 6, 7]]
)  # fmt: skip


def with_middles(corners, triangles):
    """Six-node triangles with straight sides from three-node ones."""
    walked = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    pairs, number = np.unique(np.sort(walked, axis=1), axis=0, return_inverse=True)
    nodes = np.vstack([corners, corners[pairs].mean(axis=1)])
    return nodes, np.hstack([triangles, len(corners) + number.reshape(-1, 3)])


def test_a_patch_of_distorted_triangles_carries_constant_stress_to_round_off(verified, solved):
    source = f"MacNeal & Harder, Finite Elem. Anal. Des. 1 (1985) 3-20 {MEMORY}"
    nodes, triangles = with_middles(PATCH_CORNERS, PATCH_TRIANGLES)
    field = 1e-3 * nodes @ np.array([[1, 0.5], [0.5, 1]])
    x, y = nodes.T
    edge = (x == 0) | (x == 0.24) | (y == 0) | (y == 0.12)
    held = np.flatnonzero(np.repeat(edge, 2))
    D = plane_stress(1e6, 0.25)
    u, _ = solved(nodes, triangles, D, held, field.ravel()[held], np.zeros(2 * len(nodes)))
    found = stress(elements(nodes, triangles), D, u).reshape(-1, 3)
    for k, (name, published) in enumerate([("xx", 4000 / 3), ("yy", 4000 / 3), ("xy", 400.0)]):
        worst = found[np.abs(found[:, k] - published).argmax(), k]
        verified(f"patch test, stress {name}, worst point", published, worst, source, within=1e-11)
    np.testing.assert_allclose(u, field, atol=1e-16)


# --- NAFEMS LE1 -----------------------------------------------------------------------------


def elliptic_membrane(patch, solved, smoothed, cells):
    """Quarter of the elliptic membrane in confocal coordinates, in mm and MPa."""
    focus = 1000 * np.sqrt(3.0)
    inner, outer = np.arctanh(1 / 2), np.arctanh(2.75 / 3.25)

    def mapping(p):
        s, t = inner + p[:, 0] * (outer - inner), p[:, 1] * np.pi / 2
        return focus * np.column_stack([np.cosh(s) * np.cos(t), np.sinh(s) * np.sin(t)])

    body = patch(mapping, cells, cells)
    load = on_sides(body.nodes, body.right, lambda _, normal: 10.0 * normal)
    held = np.concatenate([unknowns(body.bottom, 1), unknowns(body.top, 0)])
    D = plane_stress(210e3, 0.3)
    u, reactions = solved(body.nodes, body.triangles, D, held, 0.0, load)
    D_point = node_at(body.nodes, (2000, 0))
    sigma = smoothed(body.nodes, body.triangles, D, u)
    return sigma[D_point], u[D_point], load.reshape(-1, 2), reactions, body.nodes


NAFEMS = "NAFEMS, The Standard NAFEMS Benchmarks, TNSB Rev. 3, 1990, test LE1"


def test_the_elliptic_membrane_has_its_published_stress(verified, patch, solved, smoothed):
    sigma, u, *_ = elliptic_membrane(patch, solved, smoothed, 64)
    verified("NAFEMS LE1, stress yy at D, MPa", 92.7, sigma[1], NAFEMS, within=1e-3)
    verified(
        "NAFEMS LE1, u_x at D, mm", -0.102209, u[0], "worked out again independently", within=1e-4
    )


def test_the_elliptic_membrane_settles_as_the_mesh_gets_finer(patch, solved, smoothed):
    found = [elliptic_membrane(patch, solved, smoothed, n)[0][1] for n in (8, 16, 32, 64)]
    gaps = np.abs(np.array(found) - 92.66)
    assert (gaps[1:] < 0.7 * gaps[:-1]).all(), f"stress yy at D by mesh: {found}"
    assert gaps[-1] < 0.03, f"stress yy at D by mesh: {found}"


def test_loads_and_reactions_of_the_elliptic_membrane_balance(verified, patch, solved, smoothed):
    _, _, load, reactions, nodes = elliptic_membrane(patch, solved, smoothed, 8)
    per_depth = load.sum(axis=0)
    verified("NAFEMS LE1, load in x, N/mm", 27500.0, per_depth[0], NAFEMS, within=1e-12)
    verified("NAFEMS LE1, load in y, N/mm", 32500.0, per_depth[1], NAFEMS, within=1e-12)
    whole = load + reactions
    turning = (nodes[:, 0] * whole[:, 1] - nodes[:, 1] * whole[:, 0]).sum()
    np.testing.assert_allclose(whole.sum(axis=0), 0, atol=1e-6)
    np.testing.assert_allclose(turning, 0, atol=1e-3)


# --- Cook's membrane ------------------------------------------------------------------------


def test_cooks_membrane_sinks_as_published(verified, patch, solved):
    def mapping(p):
        x = 48 * p[:, 0]
        low, high = 44 * p[:, 0], 44 + 16 * p[:, 0]
        return np.column_stack([x, low + p[:, 1] * (high - low)])

    body = patch(mapping, 40, 40)
    load = on_sides(body.nodes, body.right, (0, 1 / 16))
    held = np.concatenate([unknowns(body.left, 0), unknowns(body.left, 1)])
    u, _ = solved(body.nodes, body.triangles, plane_stress(1.0, 1 / 3), held, 0.0, load)
    source = "R. D. Cook, J. Struct. Div. ASCE 100(9) (1974) 1851-1863"
    middle = u[node_at(body.nodes, (48, 52)), 1]
    verified("Cook's membrane, middle of the edge", 23.96, middle, source, within=1e-3)
    corner = u[node_at(body.nodes, (48, 44)), 1]
    again = "worked out again independently"
    verified("Cook's membrane, lower corner", 23.21, corner, again, within=1e-3)


# --- thick cylinder -------------------------------------------------------------------------


def test_a_thick_cylinder_under_inner_pressure(verified, patch, solved, smoothed):
    body = patch(polar(1.0, 2.0), 24, 24)
    load = on_sides(body.nodes, body.left, lambda _, normal: -normal)
    held = np.concatenate([unknowns(body.bottom, 1), unknowns(body.top, 0)])
    D = plane_strain(1000.0, 0.3)
    u, _ = solved(body.nodes, body.triangles, D, held, 0.0, load)
    sigma = in_polar(smoothed(body.nodes, body.triangles, D, u), body.nodes)
    source = f"Lamé; {GOODIER} sec. 28 {MEMORY}"
    at_a, at_b = node_at(body.nodes, (1, 0)), node_at(body.nodes, (2, 0))
    verified("thick cylinder, hoop stress inside", 5 / 3, sigma[at_a, 1], source, within=1e-3)
    verified("thick cylinder, hoop stress outside", 2 / 3, sigma[at_b, 1], source, within=1e-3)
    verified("thick cylinder, radial stress inside", -1, sigma[at_a, 0], source, within=2e-3)
    verified("thick cylinder, radial stress outside", 0, sigma[at_b, 0], source, within=1e-3)
    verified("thick cylinder, u_r inside", 1.906667e-3, u[at_a, 0], source, within=1e-6)


# --- hole in an infinite plate --------------------------------------------------------------


def kirsch(points):
    """Stress (..., 3) around a hole of radius 1 under a unit pull along x."""
    x, y = points[..., 0], points[..., 1]
    r2, angle = x**2 + y**2, np.arctan2(y, x)
    c2, s2 = np.cos(2 * angle), np.sin(2 * angle)
    q, q2 = 1 / r2, 1 / r2**2
    radial = (1 - q) / 2 + (1 + 3 * q2 - 4 * q) / 2 * c2
    hoop = (1 + q) / 2 - (1 + 3 * q2) / 2 * c2
    shear = -(1 - 3 * q2 + 2 * q) / 2 * s2
    mean, half = (radial + hoop) / 2, (radial - hoop) / 2
    return np.stack(
        [
            mean + half * c2 - shear * s2,
            mean - half * c2 + shear * s2,
            half * s2 + shear * c2,
        ],
        axis=-1,
    )


def kirsch_upright(points):
    """The same under a unit pull along y."""
    return kirsch(points[..., ::-1])[..., [1, 0, 2]]


@pytest.mark.parametrize(
    ("case", "along_y", "at"),
    [("one-way pull", 0, (3, -1)), ("all-round pull", 1, (2, 2)), ("pure shear", -1, (4, -4))],
)
def test_a_hole_in_a_large_plate(verified, patch, solved, smoothed, case, along_y, at):
    body = patch(polar(1.0, 4.0), 24, 24)
    load = on_sides(
        body.nodes,
        body.right,
        tensor_traction(lambda p: kirsch(p) + along_y * kirsch_upright(p)),
    )
    held = np.concatenate([unknowns(body.bottom, 1), unknowns(body.top, 0)])
    D = plane_stress(70e3, 0.33)
    u, _ = solved(body.nodes, body.triangles, D, held, 0.0, load)
    sigma = smoothed(body.nodes, body.triangles, D, u)
    source = f"Kirsch 1898; {GOODIER} sec. 35"
    top, side = node_at(body.nodes, (0, 1)), node_at(body.nodes, (1, 0))
    verified(f"hole in a plate, {case}, at 90°", at[0], sigma[top, 0], source, within=3e-3)
    verified(f"hole in a plate, {case}, at 0°", at[1], sigma[side, 1], source, within=6e-3)


# --- hole in a strip ------------------------------------------------------------------------


def holed_strip(radius, half_width, half_length):
    """The strip with its hole as two true half circles."""
    w, length = half_width, half_length
    outer = rounded(
        [
            Corner(-length, -w, "long"),
            Corner(length, -w, "pulled"),
            Corner(length, w, "long"),
            Corner(-length, w, "pulled"),
        ]
    )
    hole = Ring(np.array([[-radius, 0.0], [radius, 0.0]]), np.ones(2), ("hole", "hole"))
    return Outline(outer, (hole,))


# The allowances are wide for two reasons. At d/H = 0.5 the table itself seems off: this mesh and a
# structured one of a quarter both come to 4.34-4.35 and -1.61 to -1.62 (0.6 % and 2 % away). At
# d/H = 0.1 and 0° it is our mesh: -0.996 here, -1.040 on the structured one.
@pytest.mark.long
@pytest.mark.parametrize(
    ("share", "at_top", "at_side", "sizes"),
    [(0.1, 3.03, -1.03, (2, 0.25)), (0.2, 3.14, -1.11, (1, 0.3)), (0.3, 3.36, -1.26, (1, 0.25)),
     (0.4, 3.74, -1.44, (1, 0.25)), (0.5, 4.32, -1.58, (1, 0.25))],
)  # fmt: skip
def test_a_hole_in_a_strip(verified, solved, smoothed, share, at_top, at_side, sizes):
    coarseness, finer = sizes
    radius, half_width = 10 * share, 10.0
    outline = holed_strip(radius, half_width, 30.0)
    mesh = mesh_outline(outline, coarseness=coarseness, finer={"hole": finer})
    pulled = mesh.sides[mesh.side_label == mesh.names.index("pulled")]
    load = on_sides(mesh.nodes, pulled, lambda _, normal: normal)
    left, right = node_at(mesh.nodes, (-radius, 0)), node_at(mesh.nodes, (radius, 0))
    held = np.array([2 * left, 2 * left + 1, 2 * right + 1])
    D = plane_stress(70e3, 0.33)
    u, reactions = solved(mesh.nodes, mesh.triangles, D, held, 0.0, load)
    sigma = smoothed(mesh.nodes, mesh.triangles, D, u)
    hole = np.unique(mesh.sides[mesh.side_label == mesh.names.index("hole")])
    top, side = sigma[hole, 0].max(), (sigma[left, 1] + sigma[right, 1]) / 2
    source = "R. C. J. Howland, Phil. Trans. R. Soc. A 229 (1930) 49-86"
    verified(f"hole in a strip, d/H {share}, at 90°", at_top, top, source, within=1e-2)
    verified(f"hole in a strip, d/H {share}, at 0°", at_side, side, source, within=4e-2)
    assert np.abs(reactions).max() < 1e-9, "a strip in balance leans on no support"


# --- cantilever -----------------------------------------------------------------------------


def test_a_deep_cantilever_sinks_exactly(verified, patch, solved):
    length, depth, force, youngs, poisson = 48.0, 12.0, 1000.0, 3e7, 0.3
    inertia = depth**3 / 12

    def exact_at_root(y):
        """Displacement on x = 0 for a beam pulled up at x = L, centre line held there."""
        k = force / (6 * youngs * inertia)
        return np.column_stack(
            [-k * y * (2 + poisson) * (y**2 - depth**2 / 4), k * 3 * poisson * length * y**2]
        )

    def shear(points, _):
        tau = force / (2 * inertia) * (depth**2 / 4 - points[..., 1] ** 2)
        return np.stack([np.zeros_like(tau), tau], axis=-1)

    body = patch(lambda p: p * [length, depth] - [0, depth / 2], 32, 8)
    load = on_sides(body.nodes, body.right, shear)
    root = np.unique(body.left)
    held = np.concatenate([2 * root, 2 * root + 1])
    given = exact_at_root(body.nodes[root, 1]).T.ravel()
    u, reactions = solved(
        body.nodes, body.triangles, plane_stress(youngs, poisson), held, given, load
    )
    source = f"{GOODIER} sec. 21; Augarde & Deeks, Finite Elem. Anal. Des. 44 (2008) {MEMORY}"
    tip = u[node_at(body.nodes, (length, 0)), 1]
    verified("deep cantilever, tip", 0.0089, tip, source, within=1e-4)
    verified("deep cantilever, reaction", -force, reactions[:, 1].sum(), source, within=1e-9)
    moment = (body.nodes[:, 0] * reactions[:, 1] - body.nodes[:, 1] * reactions[:, 0]).sum()
    verified("deep cantilever, root moment", -force * length, moment, source, within=1e-9)


# --- strip load on a half-plane -------------------------------------------------------------


def strip_load(points):
    """Stress (..., 3) of a unit pressure on |x| <= 1 of the half-plane y <= 0."""
    x, z = points[..., 0], -points[..., 1]
    one, two = np.arctan2(z, x - 1), np.arctan2(z, x + 1)
    spread, ripple = 2 * (one - two), np.sin(2 * one) - np.sin(2 * two)
    slide = np.cos(2 * one) - np.cos(2 * two)
    return np.stack([-(spread + ripple), -(spread - ripple), -slide], axis=-1) / (2 * np.pi)


def test_a_strip_load_on_a_half_plane(verified, patch, solved, smoothed):
    """A box cut from the half-plane, with the exact tractions of the half-plane on its faces."""
    reach, depth = 6.0, 6.0
    body = patch(lambda p: np.column_stack([2 * reach * p[:, 0] - reach, depth * p[:, 1] - depth]),
                 48, 24)  # fmt: skip
    under = np.abs(body.nodes[body.top[:, 2], 0]) < 1
    cut = np.vstack([body.left, body.bottom, body.right])
    load = on_sides(body.nodes, cut, tensor_traction(strip_load))
    load += on_sides(body.nodes, body.top[under], (0, -1))
    low, lower = (node_at(body.nodes, (x, -depth)) for x in (-reach, reach))
    held = [2 * low, 2 * low + 1, 2 * lower + 1]
    D = plane_strain(70e3, 0.33)
    u, reactions = solved(body.nodes, body.triangles, D, held, 0.0, load)
    sigma = smoothed(body.nodes, body.triangles, D, u)
    source = f"Johnson, Contact Mechanics, sec. 2.5 {MEMORY}"
    for z, upright, sideways in [(0.5, 0.95948, 0.45018), (1, 0.81831, 0.18169),
                                 (2, 0.54981, 0.04052), (4, 0.30575, 0.00617)]:  # fmt: skip
        xx, yy, _ = -sigma[node_at(body.nodes, (0, -z))]
        verified(f"strip load, stress down at z = {z} a", upright, yy, source, within=5e-3)
        verified(f"strip load, stress across at z = {z} a", sideways, xx, source, within=3e-2)
    assert np.abs(reactions).max() < 1e-3, "a box in balance leans on no support"
