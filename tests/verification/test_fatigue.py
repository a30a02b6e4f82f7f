"""Fatigue against published numbers."""

from __future__ import annotations

import numpy as np

from rimfea.stress.fatigue import with_mean

SOURCE = "Smith, Watson, Topper, J. Materials 5 (1970) 767, citation from memory"


def test_a_swing_about_a_mean_at_a_known_point(verified):
    own = with_mean(np.array(100.0), np.array(50.0))
    verified("√(σ_max σ_a) of 100 about 50 MPa", 122.47, float(own), SOURCE, within=1e-4)
