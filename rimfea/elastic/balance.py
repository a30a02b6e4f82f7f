"""What balances a load on a slice: the rim on either side, as a body force over the metal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.fem.assemble import vector
from rimfea.fem.elements import Elements
from rimfea.fem.forms import body_load
from rimfea.fem.saint_venant import torque


@dataclass(frozen=True)
class Balance:
    """The two ways in which a ring carries a load off: by shear and by hoop force.

    ``tau`` (e, q, 3, i) is the shear stress of a unit force along x, along y, and of a unit
    torque. Loads ``f`` (2n,) are nodal forces in N per mm of rim.
    """

    el: Elements
    nodes: Floats
    tau: Floats

    def by_shear(self, f: Floats) -> Floats:
        """Nodal forces (2n,) of the change of Saint-Venant's shear stress along the rim."""
        x, y, moment = self._resultant(f)
        flow = x * self.tau[:, :, 0] + y * self.tau[:, :, 1]
        twist = moment - torque(self.el, flow)
        return self._body(-flow - twist * self.tau[:, :, 2])

    def by_hoop(self, f: Floats) -> Floats:
        """Nodal forces (2n,) of hoop stress in a thin ring: a radial force that is even over
        the metal, and for a load beside the middle linear across the rim.
        """
        x, y, moment = self._resultant(f)
        centroid = np.einsum("eqi,eq->i", self.el.points, self.el.w) / self.el.w.sum()
        across = self.el.points[..., 0] - centroid[0]
        tilt = (moment - centroid[0] * y + centroid[1] * x) / (across**2 * self.el.w).sum()
        b = np.empty_like(self.el.points)
        b[..., 0] = -x / self.el.w.sum()
        b[..., 1] = -y / self.el.w.sum() - tilt * across
        return self._body(b)

    def _resultant(self, f: Floats) -> tuple[float, float, float]:
        """Force along x and y, and moment about the origin."""
        x, y = f.reshape(-1, 2).T
        moment = self.nodes[:, 0] @ y - self.nodes[:, 1] @ x
        return float(x.sum()), float(y.sum()), float(moment)

    def _body(self, b: Floats) -> Floats:
        return vector(self.el.triangles, body_load(self.el, b), self.el.nodes)
