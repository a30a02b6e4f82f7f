"""The modes of a ring whose rigid motions hardly cost anything."""

from __future__ import annotations

import numpy as np

from rimfea.elastic.buckling import _softest


def test_rigid_motions_that_rounding_made_negative_leave_the_other_modes_as_they_are():
    """Two motions without stiffness, one of them below nothing by rounding, none of which the hoop
    stress feels; the others as solved without them.
    """
    random = np.random.default_rng(7)
    Q, _ = np.linalg.qr(random.normal(size=(6, 6)))
    stiffness = np.array([-1e-9, 1e-14, 2.0, 30.0, 4e2, 5e8])
    inner = random.normal(size=(4, 4))
    G = np.zeros((6, 6))
    G[2:, 2:] = inner + inner.T
    K, G = Q @ np.diag(stiffness) @ Q.T, Q @ G @ Q.T
    factor, modes = _softest((G + G.T) / 2, (K + K.T) / 2)
    root = np.diag(stiffness[2:] ** -0.5)
    expected = np.linalg.eigvalsh(root @ (inner + inner.T) @ root)
    found = np.sort(factor[np.argsort(-np.abs(factor))[:4]])
    np.testing.assert_allclose(found, expected, rtol=1e-6, atol=1e-5)
    assert np.isfinite(modes).all()
    assert np.sort(np.abs(factor))[:2].max() < 1e-3
