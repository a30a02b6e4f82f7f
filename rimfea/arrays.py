"""Array types of the kernel; shapes are given in the docstrings in the kernel's letters.

Index legend: e element, q quadrature point, a b nodes of an element, i j components,
p any point, v vertex.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Bools: TypeAlias = NDArray[np.bool_]
Values: TypeAlias = float | Floats
"""One number, or an array of them that is taken element by element."""
