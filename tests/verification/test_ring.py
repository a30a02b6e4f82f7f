"""Rings of plain section, one harmonic at a time, against the books."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy import sparse

from rimfea.elastic import patches
from rimfea.elastic.harmonics import Revolved, revolved, solve_harmonics
from rimfea.errors import SolveError
from rimfea.fem.assemble import matrix, vector
from rimfea.fem.elements import Elements, elements, sides
from rimfea.fem.forms import stiffness, traction_load
from rimfea.fem.material import plane_strain
from rimfea.fem.recover import recovered
from rimfea.fem.revolution import COSINE, isotropic, stiffnesses, strains
from rimfea.fem.shape import THREE_POINTS
from rimfea.fem.solve import factorised

MEMORY = "(citation from memory)"
ROARK = f"Roark, Formulas for Stress and Strain, Table 9.2 case 1 {MEMORY}"
TIMOSHENKO = f"Timoshenko, Vibration Problems in Engineering {MEMORY}"
STRENGTH = f"Timoshenko, Strength of Materials II {MEMORY}"
GOODIER = f"Timoshenko & Goodier, Theory of Elasticity, 3rd ed. sec. 28 {MEMORY}"
HETENYI = f"Hetényi, Beams on Elastic Foundation, 1946, sec. 2 {MEMORY}"
SUMMED = f"inextensible ring on radial springs, summed by harmonics; {HETENYI}"

YOUNGS, POISSON = 70e3, 0.3
SHEAR = YOUNGS / 2.6
# Torsion constant of a rectangle with sides 1:2 over a b³: Timoshenko & Goodier sec. 109.
K1_TWO = 0.228682
NONE = np.array([], dtype=np.int64)


@dataclass(frozen=True)
class Hoop:
    """A ring of rectangular section ``width`` (x) by ``height`` (y), its middle at ``radius``.

    ``share`` (n,) spreads a unit force evenly over the section.
    """

    nodes: np.ndarray
    triangles: np.ndarray
    radius: float
    width: float
    height: float
    el: Elements
    share: np.ndarray
    body: Revolved
    poisson: float

    def unit(self, direction):
        """Nodal forces (3n,) of a unit force per radian over the section."""
        F = np.zeros(3 * len(self.nodes))
        F[direction::3] = self.share
        return F

    def mean(self, u, direction):
        """Mean displacement of the section."""
        return self.share @ u[direction::3]

    def solved(self, n, F, held=NONE):
        """Displacement (3n,) of harmonic n."""
        return factorised(self.body.at(n), held).solve(F)

    @property
    def bending(self):
        """E I in the ring's plane."""
        return YOUNGS * self.width * self.height**3 / 12

    def founded(self, k):
        """The same ring on springs k (3,) per radian under the mean of its section."""
        K0, K1, K2 = self.body.parts()
        for direction in range(3):
            a = sparse.csc_array(self.unit(direction)[:, None])
            K0 = K0 + k[direction] * (a @ a.T)
        pattern = abs(K0) + abs(K1) + abs(K2)
        pattern.data[:] = 0
        pairs = [(pattern + K).tocsc() for K in (K0, K1, K2)]
        size = pattern.shape[0]
        order = sparse.csc_array(
            (np.arange(1, pattern.nnz + 1), pattern.indices, pattern.indptr), shape=(size, size)
        )
        data = []
        for K in pairs:
            values = np.zeros(pattern.nnz)
            entries = K.tocoo()
            place = np.asarray(order[entries.row, entries.col]).ravel() - 1
            values[place] = entries.data
            data.append(values)
        return replace(self, body=Revolved(order, tuple(data)))


@pytest.fixture
def hoop(patch):
    """``hoop(radius, width, height)`` makes a ring, on springs (3,) per radian if given."""

    def make(radius, width=1.0, height=1.0, *, cells=(2, 2), springs=(0, 0, 0), poisson=POISSON):
        made = patch(lambda p: (p - 0.5) * [width, height], *cells)
        el = elements(made.nodes, made.triangles)
        area = np.einsum("qa,eq->ea", el.N, el.w) / el.w.sum()
        share = vector(made.triangles, area, len(made.nodes))
        held = sparse.csc_array((3 * len(share), 3 * len(share)))
        for direction, k in enumerate(springs):
            a = np.zeros((3 * len(share), 1))
            a[direction::3, 0] = share
            held = held + k * (sparse.csc_array(a) @ sparse.csc_array(a).T)
        blocks = stiffnesses(el, isotropic(YOUNGS, poisson), radius)
        body = revolved(made.triangles, blocks, len(made.nodes), held.tocsc())
        return Hoop(made.nodes, made.triangles, radius, width, height, el, share, body, poisson)

    return make
