"""Bead seat diameters that tyres are made for."""

from __future__ import annotations

from rimfea.errors import Fault

CODES = (
    *(203, 222, 239, 248, 251, 279, 288, 298, 305, 317, 330, 337, 340, 349, 355, 357, 369, 390),
    *(400, 406, 419, 428, 432, 438, 440, 451, 457, 484, 489, 490, 498, 501, 507, 520, 531, 534),
    *(540, 541, 547, 559, 565, 571, 584, 590, 597, 609, 622, 630, 635, 642, 686),
)
"""Diameter codes of ISO 5775-1 and ISO 5775-2, citation from memory."""

_NEAR_MM = 1.5  # the exact diameters are 0.05 to 0.2 mm off their codes; a tape adds the rest
_NOMINAL_INCHES = (12, 36)


def misfit(diameter: float) -> Fault | None:
    """The fault of a bead seat diameter (mm) that no tyre is made for, if it is one."""
    if min(abs(diameter - code) for code in CODES) <= _NEAR_MM:
        return None
    near = sorted(sorted(CODES, key=lambda code: abs(code - diameter))[:3])
    return Fault(
        "bead_seat_diameter_mm",
        "no tyre has this bead seat diameter",
        value=f"{diameter:g}",
        unit="mm",
        allowed="the nearest ISO 5775 codes are " + ", ".join(map(str, near)),
        remedy="read the second number on the tyre, as 622 in 32-622",
    )


def nominal_inches(value: float) -> bool:
    """Whether a number looks like the nominal inches of a wheel, which are not diameters."""
    return _NOMINAL_INCHES[0] <= value <= _NOMINAL_INCHES[1]
