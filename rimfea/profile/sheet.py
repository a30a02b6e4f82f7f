"""The caliper sheet: everything a builder wrote down about one rim, checked at birth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Self

from rimfea.alloys import Alloy
from rimfea.errors import SheetError
from rimfea.profile.brake import Brake
from rimfea.profile.clashes import clashes
from rimfea.profile.families import Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.filling import Filled, filled
from rimfea.profile.joint import Joint
from rimfea.profile.metal import metal
from rimfea.profile.proportions import Known, bearing, bed_shift, lip_step, outer_half, seat_step
from rimfea.profile.trace import Trace
from rimfea.profile.values import Readings
from rimfea.profile.walls import Wall

__all__ = ["Readings", "Sheet"]


@dataclass(frozen=True, init=False)
class Sheet:
    """One rim in caliper numbers; every number known, those nobody measured in ``assumed``.

    Of these the ``guessed`` ones were given and stay what they are; the others follow from the
    rest of the sheet and move along with it.

    Lengths in mm; every other name that has a unit ends in it. For a single wall the keys that
    follow from others (well depth, spoke bed width) hold what follows. Made of numbers, texts and
    readings by key: a number, text, :class:`Readings`, or a mapping with ``readings`` and
    ``tolerance_mm``; None counts as left out. Raises :class:`SheetError` with all faults.
    """

    name: str
    note: str
    family: Family
    section: Trace | None
    alloy: str
    batch: str
    joint: Joint | None
    brake: Brake | None
    bead_seat_diameter_mm: float
    inner_width_mm: float
    overall_depth_mm: float
    bead_hook_mm: float
    hook_lip_mm: float
    sidewall_mm: float
    tyre_well_mm: float
    nipple_seat_mm: float
    hook_height_mm: float
    sidewall_foot_mm: float | None
    lip_taper_mm: float | None
    crown_slope_deg: float | None
    bead_seat_mm: float
    flank_mm: float
    bead_ridge_mm: float | None
    spoke_bed_mm: float
    tyre_well_depth_mm: float
    tyre_well_width_mm: float
    well_slope_deg: float
    spoke_bed_width_mm: float
    spoke_bed_offset_mm: float | None
    middle_width_mm: float | None
    web_mm: float | None
    web_height_mm: float | None
    nipple_seat_width_mm: float
    wear_mark_mm: float | None
    crown_radius_mm: float
    corner_radius_mm: float
    arch_radius_mm: float | None
    fillet_radius_mm: float
    spoke_count: int
    spoke_hole_mm: float
    nipple_head_mm: float
    washer_mm: float | None
    spoke_tension_N: float
    tension_limit_N: float | None
    erd_mm: float
    weighed_mass_g: float | None
    tones_Hz: tuple[float, ...]
    joint_mass_g: float
    proof_MPa: float | None
    ultimate_MPa: float | None
    youngs_GPa: float | None
    poisson: float | None
    density_kg_m3: float | None
    guessed: tuple[str, ...]
    readings: Mapping[str, Readings] = field(hash=False)
    assumed: tuple[str, ...]
    known: Known = field(repr=False, hash=False)

    def __repr__(self) -> str:
        return f"<Sheet of {self.name}: {self.family}, {self.bead_seat_diameter_mm:g} mm>"

    def __init__(self, values: Mapping[str, object]) -> None:
        """Checked once, here: a sheet that is there makes a rim."""
        result = filled(values)
        found = (*result.faults, *clashes(result.known))
        strays = (stray.fault for stray in result.strays if not stray.is_told_by(found))
        faults = (*found, *strays)
        if faults:
            name = values.get("name")
            raise SheetError(faults, name if isinstance(name, str) and name else "sheet")
        for key, value in _arguments(result).items():
            object.__setattr__(self, key, value)

    def varied(self, **changes: object) -> Self:
        """A checked copy with other values for some keys.

        A changed key is no longer assumed and loses its readings; what is still assumed is
        derived anew from what it follows from. A key set to None counts as left out.
        """
        return type(self)({**self._given(), **changes})

    def thickness(self, wall: Wall) -> float:
        """Thickness (mm) of a wall; raises ValueError for a wall this section does not have."""
        if wall not in self.walls:
            raise ValueError(f"a {self.family} rim has no {wall}")
        return float(getattr(self, wall.key_mm))

    @property
    def walls(self) -> tuple[Wall, ...]:
        """The walls this section has."""
        return tuple(
            wall
            for wall in Wall
            if wall.field.used_by(self.family) and wall.key_mm in self.known.numbers
        )

    @property
    def metal(self) -> Alloy:
        """The alloy with its strengths, the sheet's own numbers in place of the table's."""
        return metal(self.alloy, self.known.numbers)

    @property
    def weld_proof_MPa(self) -> float | None:
        """Proof stress of the metal beside the weld; None unless the hoop is known to be welded
        and the strength there is published.
        """
        return self.metal.weld_proof_MPa if self.joint == Joint.WELDED else None

    @property
    def outer_width_mm(self) -> float:
        """Width between the outer faces of the sidewalls."""
        return 2 * outer_half(self.known)

    @property
    def seat_offset_mm(self) -> float:
        """How far the nipple seats lie to the right of the rim's middle."""
        return bed_shift(self.known)

    @property
    def bearing_diameter_mm(self) -> float:
        """Outer diameter of what bears on the nipple seat: the washer, else the nipple head."""
        return bearing(self.known)

    @property
    def seat_radius_mm(self) -> float:
        """Distance of the bead seat, y = 0, from the wheel's axis."""
        return self.bead_seat_diameter_mm / 2

    @property
    def lip_step_mm(self) -> float:
        """How far the lip stands out from the sidewall; 0 where the two are flush."""
        return lip_step(self.known)

    @property
    def seat_step_mm(self) -> float:
        """How far the nipple seat stands up from the spoke bed; 0 where the two are flush."""
        return seat_step(self.known)

    def _given(self) -> dict[str, object]:
        follows = set(self.assumed) - set(self.guessed)
        used = (key for key, item in BY_KEY.items() if item.used_by(self.family))
        own = {key: getattr(self, key) for key in used if key not in follows}
        return {**own, **self.readings}


def _arguments(result: Filled) -> dict[str, object]:
    return {
        **dict.fromkeys(BY_KEY),
        **result.texts,
        **result.known.numbers,
        **result.counts,
        "section": result.known.section,
        "guessed": result.guessed,
        "tones_Hz": result.tones,
        "readings": dict(result.readings),
        "known": replace(result.known, assumed=result.assumed),
        "assumed": tuple(key for key in BY_KEY if key in result.assumed),
    }
