"""Element arrays into global sparse matrices and vectors."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse

from rimfea.arrays import Floats, Ints

if TYPE_CHECKING:
    from scipy.sparse import csc_array


def degrees_of_freedom(connected: Ints, components: int) -> Ints:
    """Global numbers (e, a·components) of the unknowns of each element, node by node."""
    numbers = components * connected[:, :, None] + np.arange(components)
    return numbers.reshape(len(connected), -1)


def matrix(connected: Ints, blocks: Floats, nodes: int) -> csc_array:
    """Sum of blocks (e, m, m) of elements (e, a) into one sparse matrix."""
    components = blocks.shape[1] // connected.shape[1]
    dof = degrees_of_freedom(connected, components).astype(np.int32)
    row = np.broadcast_to(dof[:, :, None], blocks.shape).ravel()
    column = np.broadcast_to(dof[:, None, :], blocks.shape).ravel()
    size = components * nodes
    summed = sparse.coo_array((blocks.ravel(), (row, column)), shape=(size, size))
    return summed.tocsc()


def vector(connected: Ints, blocks: Floats, nodes: int) -> Floats:
    """Sum of element loads (e, m) into one vector."""
    components = blocks.shape[1] // connected.shape[1]
    dof = degrees_of_freedom(connected, components)
    summed = np.bincount(dof.ravel(), blocks.ravel(), minlength=components * nodes)
    return summed.astype(np.float64)
