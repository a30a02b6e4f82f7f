"""Element arrays into global ones, against plain loops."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.fem.assemble import degrees_of_freedom, matrix, vector

CONNECTED = np.array([[0, 1, 2, 4, 5, 6], [2, 1, 3, 5, 7, 8]])


def test_unknowns_are_numbered_node_by_node():
    np.testing.assert_array_equal(degrees_of_freedom(np.array([[3, 0]]), 2), [[6, 7, 0, 1]])
    np.testing.assert_array_equal(degrees_of_freedom(np.array([[3, 0]]), 3), [[9, 10, 11, 0, 1, 2]])


@pytest.mark.parametrize("components", [1, 2, 3])
def test_blocks_are_summed_where_elements_share_nodes(components):
    rng = np.random.default_rng(2)
    m, nodes = 6 * components, 9
    blocks, loads = rng.normal(size=(2, m, m)), rng.normal(size=(2, m))
    K, f = np.zeros((components * nodes,) * 2), np.zeros(components * nodes)
    for element, block, load in zip(CONNECTED, blocks, loads, strict=True):
        for a in range(m):
            row = components * element[a // components] + a % components
            f[row] += load[a]
            for b in range(m):
                K[row, components * element[b // components] + b % components] += block[a, b]
    np.testing.assert_allclose(matrix(CONNECTED, blocks, nodes).toarray(), K, atol=1e-14)
    np.testing.assert_allclose(vector(CONNECTED, loads, nodes), f, atol=1e-14)


def test_nodes_without_elements_get_empty_rows():
    K = matrix(CONNECTED, np.ones((2, 6, 6)), 12)
    assert K.shape == (12, 12)
    assert abs(K[9:]).sum() == 0
    assert len(vector(CONNECTED, np.ones((2, 6)), 12)) == 12
