"""What a builder asks for each outcome by: one list for options, completion, messages and data. It
stands alone so that help and completion need not wait for numpy.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

NAMES: Mapping[str, str] = MappingProxyType(
    {
        "mass_g": "mass",
        "yield_N": "first-yield",
        "set_N": "set",
        "dent_N": "dent",
        "dent_J": "dent-energy",
        "dent_drop_mm": "dent-drop",
        "own_dent_mm": "own-dent",
        "yield_both_N": "first-yield-both",
        "set_both_N": "set-both",
        "drop_mm": "drop",
        "squeeze_MPa": "squeeze",
        "hole_amplitude_MPa": "hole-amplitude",
        "hole_MPa": "hole-stress",
        "most_tension_N": "highest-tension",
        "least_tension_N": "lowest-tension",
        "radial_N_mm": "radial-stiffness",
        "lateral_N_mm": "lateral-stiffness",
    }
)
"""The name of every outcome by its key in data, in the order of tables."""
