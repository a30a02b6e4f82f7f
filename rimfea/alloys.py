"""Alloys a rim is extruded from, with the source of each strength."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from rimfea.errors import Fault, SheetError

DEFAULT_ALLOY = "6061-T6"

# EN 1999-1-1:2007 cl. 3.2.5 gives one set of constants for all its alloys; Young's modulus seen
# in the text, Poisson's ratio and density: citation from memory.
_YOUNGS_MPA = 70_000.0
_POISSON = 0.3
_DENSITY_KG_M3 = 2700.0

_LAMINATES = ("carbon", "cfrp", "cfk", "gfrp", "composite", "laminate", "fibre", "fiber", "epoxy")


@dataclass(frozen=True)
class Alloy:
    """An isotropic metal; stresses in MPa, density in kg/m3.

    ``source`` says where the strengths come from; ``from_memory`` marks those that were not
    checked against the open book.
    """

    name: str
    proof_MPa: float
    ultimate_MPa: float
    youngs_MPa: float
    poisson: float
    density_kg_m3: float
    source: str
    from_memory: bool


def _eurocode(name: str, limits: str, proof: float, ultimate: float) -> Alloy:
    source = f"EN 1999-1-1:2007 Table 3.2b, {limits}"
    return Alloy(
        name, proof, ultimate, _YOUNGS_MPA, _POISSON, _DENSITY_KG_M3, source, from_memory=False
    )


def _remembered(name: str, source: str, proof: float, ultimate: float) -> Alloy:
    told = f"{source}, citation from memory"
    return Alloy(
        name, proof, ultimate, _YOUNGS_MPA, _POISSON, _DENSITY_KG_M3, told, from_memory=True
    )


ALLOYS: Mapping[str, Alloy] = MappingProxyType(
    {
        metal.name: metal
        for metal in (
            _eurocode("6060-T66", "extruded, up to 3 mm", 160.0, 215.0),
            _eurocode("6061-T6", "extruded, up to 20 mm", 240.0, 260.0),
            _eurocode("6063-T5", "extruded, up to 3 mm", 130.0, 175.0),
            _eurocode("6063-T6", "extruded, up to 25 mm", 160.0, 195.0),
            _eurocode("6063-T66", "extruded, up to 10 mm", 200.0, 245.0),
            _eurocode("6005A-T6", "hollow profile, up to 5 mm", 215.0, 255.0),
            _eurocode("6106-T6", "extruded, up to 10 mm", 200.0, 250.0),
            _remembered("6082-T6", "EN 1999-1-1:2007 Table 3.2b, up to 5 mm", 250.0, 290.0),
            _remembered("7005-T6", "EN 755-2, profile up to 40 mm", 290.0, 350.0),
        )
    }
)
"""Every alloy known, by its name: number, hyphen, temper."""


def alloy(name: str) -> Alloy:
    """Find an alloy by its name; capitals, blanks and hyphens do not matter.

    Raises :class:`SheetError` for a laminate (it has no single strength) and for an unknown
    name, then with the nearest known ones.
    """
    plain = _plain(name)
    for metal in ALLOYS.values():
        if _plain(metal.name) == plain:
            return metal
    raise SheetError([_laminate(name) if _is_laminate(name) else _unknown(name)])


def _plain(name: str) -> str:
    return "".join(letter for letter in name.upper() if letter.isalnum())


def _is_laminate(name: str) -> bool:
    return any(word in name.lower() for word in _LAMINATES)


def _laminate(name: str) -> Fault:
    return Fault(
        "alloy",
        "the strength of a laminate depends on its lay-up, which a caliper cannot tell",
        value=repr(name),
        allowed="isotropic metal only: " + ", ".join(ALLOYS),
    )


def _unknown(name: str) -> Fault:
    plain = {_plain(known): known for known in ALLOYS}
    near = difflib.get_close_matches(_plain(name), plain, n=3, cutoff=0.5)
    remedy = "did you mean " + " or ".join(plain[match] for match in near) + "?" if near else ""
    return Fault(
        "alloy",
        "no such alloy is known",
        value=repr(name),
        allowed=", ".join(ALLOYS),
        remedy=remedy,
    )
