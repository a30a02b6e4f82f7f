"""A body of revolution as a sector that repeats."""

from __future__ import annotations

from dataclasses import dataclass
from threading import get_ident

import numpy as np
import pytest
from scipy import sparse

from rimfea.errors import SolveError
from rimfea.fem.elements import elements
from rimfea.fem.revolution import isotropic, stiffnesses
from rimfea.fem.revolved import Revolved, revolved
from rimfea.fem.shape import THREE_POINTS
from rimfea.fem.solve import factor, factorised
from rimfea.plastic.metal import Linear
from rimfea.plastic.response import solid, symmetric
from rimfea.plastic.sector import EVEN, ODD, Sector, sector

RADIUS, YOUNGS, POISSON = 40.0, 70e3, 0.3
ALL_AROUND = 4.0


@dataclass(frozen=True)
class Made:
    """A body, its nodes and a sector of it."""

    body: Revolved
    nodes: np.ndarray
    part: Sector

    def amplitudes(self, *fields):
        """Amplitudes (d, h) of fields (harmonic, w, u, v), each a function of x and y."""
        whole = np.zeros((3 * len(self.nodes), len(self.part.n)))
        for n, *components in fields:
            column = list(self.part.n).index(n)
            for i, component in enumerate(components):
                whole[i::3, column] = component(*self.nodes.T)
        return whole[self.part.unknowns]


@pytest.fixture
def cut(block, foot):
    """``cut(repeats, highest)`` of the block on springs at its foot; where ``chosen`` the metal may
    yield.
    """

    def make(repeats, highest, chosen=None, window=ALL_AROUND, stiff=1e8):
        el = elements(block.nodes, block.triangles)
        d = 3 * len(block.nodes)
        springs = np.zeros(d)
        springs[foot] = stiff
        blocks = stiffnesses(el, isotropic(YOUNGS, POISSON), RADIUS)
        held = sparse.diags_array(springs).tocsc()
        body = revolved(block.triangles, blocks, len(block.nodes), held)
        sampled = elements(block.nodes, block.triangles, THREE_POINTS)
        every = np.arange(len(block.triangles))
        return Made(body, block.nodes, sector(
            body, sampled, RADIUS, every if chosen is None else chosen,
            repeats=repeats, highest=highest, window=window,
        ))  # fmt: skip

    return make


@pytest.fixture
def upper(block):
    """The elements (e,) of the upper right quarter."""
    middle = block.nodes[block.triangles[:, :3]].mean(axis=1)
    return np.flatnonzero((middle > 0).all(axis=1))


def nothing(x, y):
    return 0 * (x + y)


def test_only_harmonics_that_repeat_are_there(cut):
    assert list(cut(6, 20).part.n) == [0, 6, 12, 18]


def test_points_and_stations_fill_the_sector(cut, upper):
    part = cut(6, 18).part
    # 3 mm by 5 mm about 40 mm from the axis: Pappus
    assert part.volume.sum() == pytest.approx(15 * 2 * np.pi * RADIUS / 6, rel=1e-12)
    assert part.theta.max() < np.pi / 6
    near = cut(6, 18, upper, window=0.1).part
    assert 0 < near.theta.max() < 0.1
    assert near.points.min() > -0.5
    assert len(near.points) == 3 * len(upper)


@pytest.mark.parametrize(
    "field",
    [
        # A shift along the axis, one across it, and a tilt: u_x = −r cos θ, u_r = x cos θ.
        (0, lambda x, y: 1 + nothing(x, y), nothing, nothing),
        (1, nothing, lambda x, y: 1 + nothing(x, y), lambda x, y: -1 + nothing(x, y)),
    ],
)
def test_a_shift_has_no_gradient(cut, field):
    made = cut(1, 2)
    np.testing.assert_allclose(made.part.gradients(made.amplitudes(field)), 0, atol=1e-13)


def test_a_tilt_turns_and_does_not_strain(cut):
    made = cut(1, 2)
    tilt = (1, lambda _, y: -(RADIUS + y), lambda x, _: x, lambda x, _: -x)
    H = made.part.gradients(made.amplitudes(tilt))
    np.testing.assert_allclose(symmetric(H), 0, atol=1e-13)
    rows = {pair: H[k] for k, pair in enumerate((*EVEN, *ODD))}
    shape = made.part.volume.shape
    cos, sin = (np.broadcast_to(f(made.part.theta), shape) for f in (np.cos, np.sin))
    np.testing.assert_allclose(rows[1, 0], cos, atol=1e-13)
    np.testing.assert_allclose(rows[2, 0], -sin, atol=1e-13)
    np.testing.assert_allclose(rows[1, 2], 0, atol=1e-13)


def test_gradients_are_those_of_a_known_field(cut):
    """Two waves at once, each a quadratic in x and y, differentiated by hand."""
    made = cut(3, 6)
    w, u, v = (lambda x, y: x * y), (lambda x, y: x**2 - 2 * y), (lambda x, y: 3 + x - y**2)
    part = made.part
    H = part.gradients(made.amplitudes((3, w, u, v), (6, u, v, w)))
    rows = {pair: H[k] for k, pair in enumerate((*EVEN, *ODD))}
    x, y = part.points.T[..., None]
    r, theta = RADIUS + y, part.theta
    w_x, w_y, u_x, u_y, v_x, v_y = y, x, 2 * x, -2.0, 1.0, -2 * y
    c3, s3, c6, s6 = np.cos(3 * theta), np.sin(3 * theta), np.cos(6 * theta), np.sin(6 * theta)
    one, two, three = w(x, y), u(x, y), v(x, y)
    expected = {
        (0, 0): w_x * c3 + u_x * c6, (0, 1): w_y * c3 + u_y * c6,
        (1, 0): u_x * c3 + v_x * c6, (1, 1): u_y * c3 + v_y * c6,
        (2, 2): ((two + 3 * three) * c3 + (three + 6 * one) * c6) / r,
        (0, 2): -(3 * one * s3 + 6 * two * s6) / r,
        (1, 2): -((3 * two + three) * s3 + (6 * three + one) * s6) / r,
        (2, 0): v_x * s3 + w_x * s6, (2, 1): v_y * s3 + w_y * s6,
    }  # fmt: skip
    assert expected.keys() == rows.keys()
    for pair, value in expected.items():
        np.testing.assert_allclose(rows[pair], value, atol=1e-12, err_msg=str(pair))


@pytest.mark.parametrize("window", [ALL_AROUND, 0.2])
def test_forces_of_a_stress_work_as_the_stress_does(cut, upper, window):
    part = cut(6, 24, upper, window=window).part
    draw = np.random.default_rng(0)
    T = draw.normal(size=(9, *part.volume.shape))
    U = draw.normal(size=(len(part.unknowns), len(part.n)))
    inside = (T * part.gradients(U) * part.volume).sum()
    assert part.work(part.forces(T), U) == pytest.approx(inside, rel=1e-12)


def test_the_condensed_body_moves_as_the_whole_one_does(cut, upper):
    made = cut(6, 24, upper)
    part = made.part
    assert part.factors[0].shape[0] == len(part.unknowns) < len(made.nodes)
    f = np.random.default_rng(1).normal(size=(len(part.unknowns), len(part.n)))
    moved = part.solve(f)
    for column, n in enumerate(part.n):
        F = np.zeros(3 * len(made.nodes))
        F[part.unknowns] = f[:, column]
        whole = factorised(made.body.at(n), np.array([], dtype=int)).solve(F)
        there = whole[part.unknowns]
        np.testing.assert_allclose(moved[:, column], there, atol=1e-9 * np.abs(there).max())


def test_elastic_stress_bears_what_the_stiffness_does(cut):
    """K(n) is summed over six points of an element, the window's stress over three: near enough for
    a field that is smooth. A wave of one length makes forces of that length only.
    """
    made, bare = cut(6, 24, stiff=1e8), cut(6, 24, stiff=1e-6)
    part = made.part
    f = np.zeros((len(part.unknowns), len(part.n)))
    f[made.nodes[part.unknowns // 3, 1] > 2.4, 2] = 1.0
    U = part.solve(f)
    six = solid(YOUNGS, POISSON, Linear(1e9)).stress(symmetric(part.gradients(U)))
    order = [0, 3, 3, 1, 2, 5, 4, 5, 4]  # xx xy yx yy zz, xz yz zx zy
    back = part.forces(six[order])
    np.testing.assert_allclose(np.delete(back, 2, axis=1), 0, atol=1e-9 * np.abs(back).max())
    K = bare.body.at(12)[part.unknowns][:, part.unknowns]
    assert U[:, 2] @ back[:, 2] == pytest.approx(U[:, 2] @ K @ U[:, 2], rel=5e-3)


def test_a_body_that_nothing_holds_is_refused(cut):
    with pytest.raises(SolveError, match="free to move"):
        cut(6, 12, stiff=0.0)


def test_factors_are_made_by_the_thread_that_keeps_them(cut, monkeypatch):
    """Dropped by another one they would stay in memory for ever."""
    makers = []

    def noted(K):
        makers.append(get_ident())
        return factor(K)

    monkeypatch.setattr("rimfea.plastic.sector.factor", noted)
    part = cut(3, 9).part
    assert makers == [get_ident()] * len(part.n)
