"""Keys of a sheet as a builder calls them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from rimfea.profile.fields import BY_KEY

OF_THEIR_OWN: Mapping[str, str] = MappingProxyType(
    {
        "family": "kind of section",
        "erd_mm": "ERD",
        "tones_Hz": "tones",
        "spoke_count": "spokes",
        "spoke_hole_mm": "spoke hole",
        "proof_MPa": "proof stress",
        "ultimate_MPa": "tensile strength",
        "youngs_GPa": "Young's modulus",
        "poisson": "Poisson's ratio",
        "density_kg_m3": "density",
    }
)
_KEYS = re.compile(rf"\b({'|'.join(sorted(BY_KEY, key=len, reverse=True))})\b")


def called(key: str) -> str:
    """A key as a builder calls it, without its unit."""
    if key in OF_THEIR_OWN:
        return OF_THEIR_OWN[key]
    return key.removesuffix(f"_{BY_KEY[key].unit}").replace("_", " ")


def in_words(text: str) -> str:
    """A message with every key in it called so."""
    return _KEYS.sub(lambda found: called(found[0]) if "_" in found[0] else found[0], text)
