"""Alloys a rim is extruded from, with the source of each strength."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeAlias

from rimfea.brief import brief
from rimfea.errors import Fault, SheetError

DEFAULT_ALLOY = "6061-T6"

# EN 1999-1-1:2007 cl. 3.2.5 gives one set of constants for all its alloys; Young's modulus seen
# in the text, Poisson's ratio and density: citation from memory.
_YOUNGS_MPA = 70_000.0
_POISSON = 0.3
_DENSITY_KG_M3 = 2700.0
# But zinc and copper are heavy. Nominal densities of 7005 and 7075: Aluminum Association, Aluminum
# Standards and Data; that of 7020, which is not in that book, as for 7005; citation from memory.
_OWN_DENSITY_KG_M3 = {"7005": 2780.0, "7020": 2780.0, "7075": 2810.0}

# The least elongation at fracture of a delivery: EN 755-2, citation from memory.
LEAST_ELONGATION = 0.08
_OWN_ELONGATION = {"6061-T4": 0.15, "7005-T6": 0.10, "7020-T6": 0.10, "7075-T6": 0.07}

_LAMINATES = ("carbon", "cfrp", "cfk", "gfrp", "composite", "laminate", "fibre", "fiber", "epoxy")


@dataclass(frozen=True)
class Alloy:
    """An isotropic metal; stresses in MPa, density in kg/m3.

    All strengths of the table are minimum values, which a delivery must reach; typical ones are a
    tenth or so higher. ``source`` says where proof and ultimate strength come from;
    ``from_memory`` marks those that were not checked against the open book. ``weld_proof_MPa`` and
    ``weld_ultimate_MPa`` are the strengths of the zone beside a weld that its heat has softened,
    None where none is published. ``elongation`` is the least strain at which it breaks.
    """

    name: str
    proof_MPa: float
    ultimate_MPa: float
    youngs_MPa: float
    poisson: float
    density_kg_m3: float
    source: str
    from_memory: bool
    weld_proof_MPa: float | None = None
    weld_ultimate_MPa: float | None = None
    elongation: float = LEAST_ELONGATION

    __repr__ = brief


_EUROCODE = "EN 1999-1-1:2007 Table 3.2b"
_EXTRUDED = "EN 755-2"

_Row: TypeAlias = tuple[str, str, float, float, float | None, float | None]

# Alloy and temper; what the strengths hold for; proof and ultimate strength; the same beside a
# weld.
_SEEN: tuple[_Row, ...] = (
    ("6060-T5", "extruded, up to 5 mm", 120, 160, 50, 80),
    ("6060-T6", "extruded, up to 15 mm", 140, 170, 60, 100),
    ("6060-T66", "extruded, up to 3 mm", 160, 215, 65, 110),
    ("6061-T4", "extruded, up to 25 mm", 110, 180, 95, 150),
    ("6061-T6", "extruded, up to 20 mm", 240, 260, 115, 175),
    ("6063-T5", "extruded, up to 3 mm", 130, 175, 60, 100),
    ("6063-T6", "extruded, up to 25 mm", 160, 195, 65, 110),
    ("6063-T66", "extruded, up to 10 mm", 200, 245, 75, 130),
    ("6005A-T6", "hollow profile, up to 5 mm", 215, 255, 115, 165),
    ("6106-T6", "extruded, up to 10 mm", 200, 250, 95, 160),
)
_REMEMBERED: tuple[_Row, ...] = (
    ("6082-T5", "extruded, up to 5 mm", 230, 270, 125, 185),
    ("6082-T6", "extruded, up to 5 mm", 250, 290, 125, 185),
    ("7020-T6", "extruded, up to 40 mm", 290, 350, 205, 280),
)
# Not among the alloys of the table of welded strengths; 7075 cannot be welded at all.
_UNWELDED: tuple[_Row, ...] = (
    ("7005-T6", "profile up to 40 mm", 290, 350, None, None),
    ("7075-T6", "profile up to 25 mm", 460, 530, None, None),
)


def _alloy_of(row: _Row, table: str, *, from_memory: bool) -> Alloy:
    name, limits, proof, ultimate, weld_proof, weld_ultimate = row
    return Alloy(
        name=name,
        proof_MPa=proof,
        ultimate_MPa=ultimate,
        youngs_MPa=_YOUNGS_MPA,
        poisson=_POISSON,
        density_kg_m3=_OWN_DENSITY_KG_M3.get(name.partition("-")[0], _DENSITY_KG_M3),
        source=f"{table}, minimum, {limits}"
        + (", not checked against the standard" if from_memory else ""),
        from_memory=from_memory,
        weld_proof_MPa=weld_proof,
        weld_ultimate_MPa=weld_ultimate,
        elongation=_OWN_ELONGATION.get(name, LEAST_ELONGATION),
    )


_ALL = (
    *(_alloy_of(row, _EUROCODE, from_memory=False) for row in _SEEN),
    *(_alloy_of(row, _EUROCODE, from_memory=True) for row in _REMEMBERED),
    *(_alloy_of(row, _EXTRUDED, from_memory=True) for row in _UNWELDED),
)

ALLOYS: Mapping[str, Alloy] = MappingProxyType(
    {metal.name: metal for metal in sorted(_ALL, key=lambda each: each.name)}
)
"""Every alloy known, by its name: number, hyphen, temper."""


def alloy(name: str) -> Alloy:
    """Find an alloy by its name; capitals, blanks and hyphens do not matter.

    Raises :class:`SheetError` for a laminate (it has no single strength) and for an unknown
    name, then with the nearest known ones.
    """
    metal = listed_alloy(name)
    if metal is None:
        raise SheetError([unknown_alloy(name)])
    return metal


def listed_alloy(name: str) -> Alloy | None:
    """The same, but None for an unknown name; raises :class:`SheetError` for a laminate."""
    metal = _BY_PLAIN_NAME.get(_plain(name))
    if metal is None and _is_laminate(name):
        raise SheetError([_laminate(name)])
    return metal


def unlisted_alloy(name: str, proof_MPa: float, ultimate_MPa: float) -> Alloy:
    """An alloy that is not in the table, with the builder's strengths and otherwise the numbers
    of an aluminium alloy.
    """
    return Alloy(
        name=name,
        proof_MPa=proof_MPa,
        ultimate_MPa=ultimate_MPa,
        youngs_MPa=_YOUNGS_MPA,
        poisson=_POISSON,
        density_kg_m3=_DENSITY_KG_M3,
        source="usual for aluminium, EN 1999-1-1:2007 cl. 3.2.5",
        from_memory=False,
    )


def unknown_alloy(name: str) -> Fault:
    """What is wrong with a name that is not in the table."""
    near = difflib.get_close_matches(_plain(name), _BY_PLAIN_NAME, n=3, cutoff=0.5)
    names = " or ".join(_BY_PLAIN_NAME[match].name for match in near)
    meant = f"did you mean {names}? " if near else ""
    return Fault(
        "alloy",
        "no such alloy is known",
        value=repr(name),
        allowed=", ".join(ALLOYS),
        remedy=f"{meant}for any other metal give proof_MPa and ultimate_MPa too",
    )


def _plain(name: str) -> str:
    return "".join(letter for letter in name.upper() if letter.isalnum())


_BY_PLAIN_NAME = {_plain(metal.name): metal for metal in ALLOYS.values()}


def _is_laminate(name: str) -> bool:
    return any(word in name.lower() for word in _LAMINATES)


def _laminate(name: str) -> Fault:
    return Fault(
        "alloy",
        "the strength of a laminate depends on its lay-up, which a caliper cannot tell",
        value=repr(name),
        allowed="isotropic metal only: " + ", ".join(ALLOYS),
    )
